using Analyzer.Core.Geometry;

namespace Analyzer.Core.Deviation;

/// <summary>Where two stitched lines really cross, with the covariance from the samples.</summary>
/// <remarks>
/// At the crossing each thread is its tangent there (or the least-squares line of a short piece); the two are intersected and taken anew where they meet.
/// A change δ of line A's height at the crossing moves it by M⁻¹(δ, 0), M the matrix of the two normals.
/// </remarks>
public sealed record TraceCrossing(TraceProfile A, TraceProfile B, BlockPoint At, Covariance2 Covariance)
{
    /// <summary>Half the piece where the hand's course is not to count, mm.</summary>
    public const double HalfWindowMm = 3;

    /// <summary>Tangents are taken anew so often at most.</summary>
    private const int MostTurns = 12;

    /// <summary>A crossing farther than this from the intended point does not belong to it, mm.</summary>
    private const double FarthestMm = 3.2;

    private ReferenceLineFit PieceA { get; init; } = null!;

    private ReferenceLineFit PieceB { get; init; } = null!;

    /// <summary>Movement of the crossing per mm of height of A and of B.</summary>
    private (double X, double Y) PerA { get; init; }

    private (double X, double Y) PerB { get; init; }

    /// <summary>Crossing near an intended point, of the threads' most likely courses; null where one of them was not seen there.</summary>
    public static TraceCrossing? Near(TraceProfile a, TraceProfile b, BlockPoint intended) => Near(a, b, intended, FarthestMm, a.BestPiece, b.BestPiece);

    /// <summary>The same with each thread taken as straight over a length of it.</summary>
    public static TraceCrossing? Near(TraceProfile a, TraceProfile b, BlockPoint intended, double halfWindowMm) =>
        Near(a, b, intended, 4 * halfWindowMm, at => a.LocalLine(at, halfWindowMm), at => b.LocalLine(at, halfWindowMm));

    private static TraceCrossing? Near(
        TraceProfile a, TraceProfile b, BlockPoint intended, double farthestMm, Func<double, ReferenceLineFit?> pieceOfA, Func<double, ReferenceLineFit?> pieceOfB)
    {
        BlockPoint at = intended;
        TraceCrossing? found = null;
        for (int turn = 0; turn < MostTurns; turn++)
        {
            if (pieceOfA(a.AlongOf(at)) is not { } la || pieceOfB(b.AlongOf(at)) is not { } lb) return null;
            found = Meet(a, la, b, lb);
            if (found is null || found.At.DistanceTo(at) < 1e-3) break;
            at = found.At;
        }
        return found is not null && found.At.DistanceTo(intended) <= farthestMm ? found : null;
    }

    private static TraceCrossing? Meet(TraceProfile a, ReferenceLineFit la, TraceProfile b, ReferenceLineFit lb)
    {
        (double nx, double ny, double c) = Normal(a, la);
        (double mx, double my, double d) = Normal(b, lb);
        double det = nx * my - ny * mx;
        if (Math.Abs(det) < 0.05) return null;
        var at = new BlockPoint((c * my - d * ny) / det, (nx * d - mx * c) / det);
        (double X, double Y) perA = (my / det, -mx / det), perB = (-ny / det, nx / det);
        double ua = la.UAt(a.AlongOf(at)), ub = lb.UAt(b.AlongOf(at));
        Covariance2 covariance = Covariance2.Outer(perA.X, perA.Y, ua * ua).Plus(Covariance2.Outer(perB.X, perB.Y, ub * ub));
        return new TraceCrossing(a, b, at, covariance) { PieceA = la, PieceB = lb, PerA = perA, PerB = perB };
    }

    /// <summary>The local line as n'·p = c: n·p - n·from = offset + slope·(u·p - u·from - mid).</summary>
    private static (double X, double Y, double C) Normal(TraceProfile t, ReferenceLineFit line)
    {
        double x = t.Family.AcrossX - line.Slope * t.Family.AlongX, y = t.Family.AcrossY - line.Slope * t.Family.AlongY;
        return (x, y, x * t.Line.From.Xmm + y * t.Line.From.Ymm + line.At(0));
    }

    /// <summary>How the crossing moves with offset and slope of one of its lines' local pieces: (per offset, per slope) and the piece.</summary>
    internal ((double X, double Y) PerOffset, (double X, double Y) PerSlope, ReferenceLineFit Piece)? Sensitivity(TraceProfile trace)
    {
        bool isA = ReferenceEquals(trace, A);
        if (!isA && !ReferenceEquals(trace, B)) return null;
        (double X, double Y) per = isA ? PerA : PerB;
        ReferenceLineFit piece = isA ? PieceA : PieceB;
        double t = trace.AlongOf(At) - piece.MidAlongMm;
        return (per, (per.X * t, per.Y * t), piece);
    }
}
