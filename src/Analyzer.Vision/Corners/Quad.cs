using Analyzer.Core.Geometry;

namespace Analyzer.Vision.Corners;

/// <summary>Four places in the small picture that might be the block's corners, in the order top-left, top-right, bottom-right, bottom-left.</summary>
internal sealed class Quad
{
    public required (double X, double Y)[] At { get; init; }

    /// <summary>Mean and least share of a side that shows a seam, 0..1.</summary>
    public double MeanSupport { get; init; }

    public double LeastSupport { get; init; }

    /// <summary>How far the shape is from a rectangle of the block's proportions seen by a camera, 0 = exactly one.</summary>
    public double ShapeMisfit { get; init; }

    /// <summary>Area as a share of the picture.</summary>
    public double AreaShare { get; init; }

    /// <summary>Quarter turns of the block against the photo's up.</summary>
    public int QuarterTurns { get; set; }

    public GridEvidence Grid { get; set; }

    public double Score { get; set; }

    /// <summary>The corners as the grid sees them: turned by <see cref="QuarterTurns"/>.</summary>
    public (double X, double Y)[] Turned(int turns) => [At[turns & 3], At[(turns + 1) & 3], At[(turns + 2) & 3], At[(turns + 3) & 3]];

    /// <summary>The same place with its grid turned otherwise.</summary>
    public Quad With(int quarterTurns) => new()
    {
        At = At,
        MeanSupport = MeanSupport,
        LeastSupport = LeastSupport,
        ShapeMisfit = ShapeMisfit,
        AreaShare = AreaShare,
        Grid = Grid,
        Score = Score,
        QuarterTurns = quarterTurns,
    };

    public double DistanceTo(Quad other)
    {
        double worst = 0;
        for (int i = 0; i < 4; i++)
        {
            double nearest = double.MaxValue;
            for (int j = 0; j < 4; j++) nearest = Math.Min(nearest, Math.Sqrt(Square(At[i].X - other.At[j].X) + Square(At[i].Y - other.At[j].Y)));
            worst = Math.Max(worst, nearest);
        }
        return worst;
    }

    private static double Square(double v) => v * v;
}

/// <summary>How well the stitched lines seen inside a quad agree with the intended grid.</summary>
/// <param name="OnLines">Mean ridge evidence on the intended lines, 0..1.</param>
/// <param name="Between">The same half-way between them.</param>
/// <param name="Ends">Evidence just inside the lines' ends less that just outside: stitching ends at the ditch.</param>
internal readonly record struct GridEvidence(double OnLines, double Between, double Ends)
{
    public double Contrast => (OnLines - Between) / (OnLines + Between + 0.08);
}
