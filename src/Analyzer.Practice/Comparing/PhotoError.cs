using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;

namespace Analyzer.Practice.Comparing;

/// <summary>One way in which a block's numbers may be off by one standard uncertainty: a corner, the whole place, the noise taken off the wobble, or a warp of the cloth.</summary>
internal sealed class PhotoError
{
    /// <summary>Relative uncertainty of the photo's stated noise: the one that the report's own straightness carries.</summary>
    private const double NoiseU = NoiseFreeStraightness.NoiseLevelRelativeU;

    private readonly Homography? _map;
    private readonly SmoothWarp? _warp;
    private readonly double _x, _y;

    private PhotoError(Homography? map, double x, double y, double noiseShare, SmoothWarp? warp = null) =>
        (_map, _x, _y, NoiseShare, _warp) = (map, x, y, noiseShare, warp);

    public static PhotoError None { get; } = new(null, 0, 0, 1);

    /// <summary>Share of the stated photo noise that is taken off the wobble.</summary>
    public double NoiseShare { get; }

    public bool IsWarp => _warp is not null;

    public bool MovesPoints => _map is not null || _warp is not null || _x != 0 || _y != 0;

    /// <summary>How far the error moves a point of the block, mm.</summary>
    public (double X, double Y) At(double x, double y)
    {
        if (_warp is not null) return _warp.At(x, y);
        if (_map is null) return (_x, _y);
        (double px, double py) = _map.Map(x, y);
        return (px - x, py - y);
    }

    /// <summary>Every independent error of a block's photo, up and down by one standard uncertainty.</summary>
    public static List<(PhotoError Up, PhotoError Down)> All(double widthMm, double heightMm, double cornerUMm, double placeUMm, double noiseMm)
    {
        var all = new List<(PhotoError, PhotoError)>();
        if (cornerUMm > 0)
            for (int i = 0; i < 8; i++)
                all.Add((Corner(i, cornerUMm), Corner(i, -cornerUMm)));
        if (placeUMm > 0)
        {
            all.Add((new(null, placeUMm, 0, 1), new(null, -placeUMm, 0, 1)));
            all.Add((new(null, 0, placeUMm, 1), new(null, 0, -placeUMm, 1)));
        }
        if (noiseMm > 0) all.Add((new(null, 0, 0, 1 + NoiseU), new(null, 0, 0, 1 - NoiseU)));
        return all;

        PhotoError Corner(int i, double shiftMm)
        {
            var shifts = new double[8];
            shifts[i] = shiftMm;
            return new(CornerErrors.Shifted(widthMm, heightMm, shifts), 0, 0, 1);
        }
    }

    /// <summary>The six smooth modes of a warped block, each with the given standard deviation.</summary>
    public static List<(PhotoError Up, PhotoError Down)> Warps(double widthMm, double heightMm, double modeSdMm)
    {
        var all = new List<(PhotoError, PhotoError)>();
        if (modeSdMm > 0)
            for (int mode = 0; mode < SmoothWarp.Modes; mode++)
                all.Add((Warp(mode, modeSdMm), Warp(mode, -modeSdMm)));
        return all;

        PhotoError Warp(int mode, double size)
        {
            var sizes = new double[SmoothWarp.Modes];
            sizes[mode] = size;
            return new(null, 0, 0, 1, new SmoothWarp(widthMm, heightMm, sizes));
        }
    }
}
