using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Core.Deviation;

/// <summary>The thread along one intended line, placed in the block: where it was seen, how far off, how sure.</summary>
/// <remarks>A sample's place is From + u·along + n·deviation, with u and n of the family. Samples rise along the line; gaps are simply missing.</remarks>
public sealed class TraceProfile
{
    public TraceProfile(
        GridLine line, LineFamily family, IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, IReadOnlyList<double> sigmaMm, NoiseCorrelation noise)
    {
        if (alongMm.Count > 1)
        {
            ProfileCheck.SameLength(alongMm, deviationMm, sigmaMm);
            ProfileCheck.Ascending(alongMm);
        }
        (Line, Family, AlongMm, DeviationMm, SigmaMm, Noise) = (line, family, alongMm, deviationMm, sigmaMm, noise);
    }

    public GridLine Line { get; }

    public LineFamily Family { get; }

    public IReadOnlyList<double> AlongMm { get; }

    public IReadOnlyList<double> DeviationMm { get; }

    /// <summary>Standard uncertainty of each deviation (the samples' own, without the corners), mm.</summary>
    public IReadOnlyList<double> SigmaMm { get; }

    public NoiseCorrelation Noise { get; }

    public BlockPoint PlaceOf(int sample) => new(
        Line.From.Xmm + Family.AlongX * AlongMm[sample] + Family.AcrossX * DeviationMm[sample],
        Line.From.Ymm + Family.AlongY * AlongMm[sample] + Family.AcrossY * DeviationMm[sample]);

    /// <summary>Distance along this line of a point in the block, mm from the line's start.</summary>
    public double AlongOf(BlockPoint p) => Family.Along(p) - Family.Along(Line.From);

    /// <summary>Straight piece through the samples within ± halfWindowMm of a position, or null where fewer than four samples or one-sided.</summary>
    /// <remarks>The window grows up to twice its size where samples are missing.</remarks>
    public ReferenceLineFit? LocalLine(double atMm, double halfWindowMm)
    {
        foreach (double half in new[] { halfWindowMm, 1.5 * halfWindowMm, 2 * halfWindowMm })
            if (Piece(atMm, half, halfWindowMm) is { } piece) return piece;
        return null;
    }

    /// <summary>
    /// Half the length of thread that tells most about where it lies at a position, mm, or null where it was not seen there: a long piece averages the noise of a
    /// faint thread, a short one follows the hand; the one with the least of both together.
    /// </summary>
    public double? BestWindow(double atMm)
    {
        double? best = null;
        double least = double.PositiveInfinity;
        foreach (double half in HandCourse.HalfWindowsMm)
        {
            if (Piece(atMm, half, half) is not { } piece) continue;
            double u = piece.UAt(atMm), bend = HandCourse.BendUMm(half), variance = u * u + bend * bend;
            if (variance >= least) continue;
            (best, least) = (half, variance);
        }
        return best;
    }

    /// <summary>The straight piece of <see cref="BestWindow"/>; its offset's u holds what the hand may leave the straight by within it.</summary>
    public ReferenceLineFit? BestPiece(double atMm, double halfWindowMm)
    {
        if (Piece(atMm, halfWindowMm, halfWindowMm) is not { } piece) return null;
        double bend = HandCourse.BendUMm(halfWindowMm);
        return piece with { OffsetUMm = Math.Sqrt(piece.OffsetUMm * piece.OffsetUMm + bend * bend) };
    }

    private ReferenceLineFit? Piece(double atMm, double halfMm, double leastSpanMm)
    {
        int first = CountBelow(atMm - halfMm - 1e-9, false), end = CountBelow(atMm + halfMm + 1e-9, true);
        if (end - first < 4 || AlongMm[first] > atMm + 0.5 || AlongMm[end - 1] < atMm - 0.5 || AlongMm[end - 1] - AlongMm[first] < leastSpanMm) return null;
        return ReferenceLineFit.Fit(Cut(AlongMm), Cut(DeviationMm), Cut(SigmaMm), Noise, atMm);
        double[] Cut(IReadOnlyList<double> list) => list is double[] plain ? plain[first..end] : [.. list.Skip(first).Take(end - first)];
    }

    /// <summary>How many samples lie before a position, or also at it.</summary>
    private int CountBelow(double alongMm, bool orAt)
    {
        int low = 0, high = AlongMm.Count;
        while (low < high)
        {
            int middle = (low + high) / 2;
            if (AlongMm[middle] < alongMm || (orAt && AlongMm[middle] == alongMm)) low = middle + 1;
            else high = middle;
        }
        return low;
    }
}
