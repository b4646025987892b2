using Analyzer.Core.Geometry;

namespace Analyzer.Core.Pattern;

/// <summary>Finished size of the block, stitched ditch to stitched ditch, in millimetres.</summary>
public readonly record struct BlockSize
{
    /// <summary>Smallest and largest side that is accepted, mm.</summary>
    public const double SmallestMm = 20, LargestMm = 1500;

    public BlockSize(double widthMm, double heightMm)
    {
        if (!(widthMm >= SmallestMm && widthMm <= LargestMm))
            throw new ArgumentOutOfRangeException(nameof(widthMm), widthMm, $"A block side is between {SmallestMm} mm and {LargestMm} mm.");
        if (!(heightMm >= SmallestMm && heightMm <= LargestMm))
            throw new ArgumentOutOfRangeException(nameof(heightMm), heightMm, $"A block side is between {SmallestMm} mm and {LargestMm} mm.");
        WidthMm = widthMm;
        HeightMm = heightMm;
    }

    public double WidthMm { get; }

    public double HeightMm { get; }

    /// <summary>Top-left, top-right, bottom-right, bottom-left.</summary>
    public BlockPoint[] Corners() => [new(0, 0), new(WidthMm, 0), new(WidthMm, HeightMm), new(0, HeightMm)];

    /// <summary>How far inside the nearest edge a place lies, mm; negative outside.</summary>
    public double EdgeDistanceMm(BlockPoint p) => Math.Min(Math.Min(p.Xmm, p.Ymm), Math.Min(WidthMm - p.Xmm, HeightMm - p.Ymm));
}
