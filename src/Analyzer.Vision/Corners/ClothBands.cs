using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Corners;

/// <summary>The cloths beside the seams that run near a place's sides.</summary>
internal sealed class ClothBands
{
    /// <summary>The bands beside a seam, mm: what cloth lies there, and, near by, whether it changes at this seam and not at its neighbour.</summary>
    private const double FromMm = 0.8, NearMm = 2.8, ToMm = 5;

    /// <summary>Ends of a side that are left out, as a share; looks along and across a band, and along the middle.</summary>
    private const double EndShare = 0.04;
    private const int Looks = 48, Wide = 6, MiddleLooks = 20;

    private readonly ClothMap _cloths;
    private readonly BlockSize _size;
    private readonly ProjectiveMap _photo;
    private readonly float[] _middle;

    /// <param name="photoFromBlock">Block mm to pixels of the map.</param>
    public ClothBands(ClothMap cloths, Homography photoFromBlock, BlockSize size)
    {
        (_cloths, _size, _photo) = (cloths, size, new ProjectiveMap(photoFromBlock.Rows));
        _middle = ClothSight.Middle(cloths, _photo, size, MiddleLooks);
    }

    /// <summary>What the cloth inside a seam and outside it have in common with the block's middle, and with each other near by; the seam as outward offsets at its start and end, and its bow, mm.</summary>
    public (double Within, double Beyond, double Across) Beside(int side, double startMm, double endMm, double bowMm)
    {
        float[] inner = Band(side, startMm, endMm, bowMm, -ToMm, -FromMm), outer = Band(side, startMm, endMm, bowMm, FromMm, ToMm);
        float[] near = Band(side, startMm, endMm, bowMm, -NearMm, -FromMm), beyond = Band(side, startMm, endMm, bowMm, FromMm, NearMm);
        return (ClothMap.Common(inner, _middle), ClothMap.Common(outer, _middle), ClothMap.Common(near, beyond));
    }

    private float[] Band(int side, double startMm, double endMm, double bowMm, double fromMm, double toMm)
    {
        Span<int> counts = stackalloc int[ClothMap.Kinds];
        (BlockPoint start, double ux, double uy, double length) = SideStrip.Side(_size, side);
        for (int i = 0; i < Looks; i++)
        {
            double t = EndShare + (1 - 2 * EndShare) * (i + 0.5) / Looks, along = length * t, path = startMm + t * (endMm - startMm) - (double.IsNaN(bowMm) ? 0 : 4 * bowMm * t * (1 - t));
            for (int j = 0; j < Wide; j++)
            {
                double outward = path + fromMm + (toMm - fromMm) * (j + 0.5) / Wide;
                ClothSight.Count(_cloths, _photo, start.Xmm + ux * along + uy * outward, start.Ymm + uy * along - ux * outward, counts);
            }
        }
        return _cloths.Shares(counts);
    }
}
