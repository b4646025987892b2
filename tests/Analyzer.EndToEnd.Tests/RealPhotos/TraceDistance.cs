using Analyzer.Core.Geometry;
using Analyzer.Core.Report;

namespace Analyzer.EndToEnd.Tests.RealPhotos;

/// <summary>How far hand-marked points lie from the traces of a report.</summary>
internal static class TraceDistance
{
    /// <summary>Longest stretch between two samples that still counts as one trace, mm.</summary>
    private const double GapMm = 1.6;

    private sealed record Piece(PhotoPoint From, PhotoPoint To, double UMm);

    /// <summary>Distance of a photo point from the nearest trace (px) and the trace's own standard uncertainty there (mm).</summary>
    public static (double Px, double UMm)[] Of(IEnumerable<double[]> marksPx, AccuracyReport report)
    {
        Piece[] pieces = Pieces(report);
        return [.. marksPx.Select(m => Nearest(new PhotoPoint(m[0], m[1]), pieces))];
    }

    private static (double Px, double UMm) Nearest(PhotoPoint mark, Piece[] pieces)
    {
        (double Px, double UMm) best = (double.PositiveInfinity, 0);
        foreach (Piece piece in pieces)
            if (Distance(mark, piece) is var px && px < best.Px) best = (px, piece.UMm);
        return best;
    }

    private static Piece[] Pieces(AccuracyReport report)
    {
        BlockInfo block = report.Block!;
        Homography photoFromBlock = Homography.FromFourPoints(
            [(0, 0), (block.WidthMm, 0), (block.WidthMm, block.HeightMm), (0, block.HeightMm)], [.. block.CornersPx.Select(c => (c[0], c[1]))]);
        var pieces = new List<Piece>();
        foreach (LineReport line in report.Lines)
        {
            (double sin, double cos) = Math.SinCos(report.Grid!.Families[line.Family].AngleDeg * Math.PI / 180);
            PhotoPoint At(LineSample s)
            {
                (double x, double y) = photoFromBlock.Map(line.FromMm[0] + cos * s.AlongMm + sin * s.DeviationMm, line.FromMm[1] - sin * s.AlongMm + cos * s.DeviationMm);
                return new PhotoPoint(x, y);
            }
            foreach ((LineSample a, LineSample b) in line.Samples.Zip(line.Samples.Skip(1)))
                if (b.AlongMm - a.AlongMm < GapMm) pieces.Add(new Piece(At(a), At(b), Math.Max(a.U, b.U)));
        }
        return [.. pieces];
    }

    private static double Distance(PhotoPoint m, Piece p)
    {
        double dx = p.To.X - p.From.X, dy = p.To.Y - p.From.Y;
        double t = Math.Clamp(((m.X - p.From.X) * dx + (m.Y - p.From.Y) * dy) / (dx * dx + dy * dy), 0, 1);
        return m.DistanceTo(new PhotoPoint(p.From.X + t * dx, p.From.Y + t * dy));
    }
}
