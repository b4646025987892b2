using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;

namespace Analyzer.Vision.Corners;

/// <summary>Draws corners that were marked by hand to the true seam.</summary>
public static class CornerRefiner
{
    /// <summary>Marks may be off by this share of the block's longer side.</summary>
    public const double MostOffShare = 0.02;

    /// <summary>Energy that one millimetre of distance costs.</summary>
    private const double PullPerMm = 0.12;

    /// <summary>The block with refined corners; confidence is low where a side shows no seam near the mark.</summary>
    public static FoundBlock Refine(Photo photo, BlockCorners marked, IntendedGrid grid)
    {
        BlockSize size = grid.Size;
        double reach = 0.8 + MostOffShare * Math.Max(size.WidthMm, size.HeightMm);
        CornerFit? wide = CornerFit.Of(photo.Bgr, marked.ToArray(), size, reach, PullPerMm);
        CornerFit? fine = wide is null ? null : CornerFit.Of(photo.Bgr, wide.Corners, size, 1.2, 0.3);
        return fine is null ? Unchanged(marked) : FoundBlocks.From(fine, size, 0, [], []);
    }

    private static FoundBlock Unchanged(BlockCorners marked)
    {
        double u = marked.UncertaintyPx > 0 ? marked.UncertaintyPx : 5;
        var covariance = new double[8, 8];
        for (int i = 0; i < 8; i++) covariance[i, i] = u * u;
        return new FoundBlock
        {
            Corners = marked with { UncertaintyPx = u },
            CovariancePx = covariance,
            Confidence = CornerConfidence.Low,
            Doubts = ["the marked corners do not make a block that can be measured; mark the four corners of the block again"],
        };
    }
}
