using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Core.Deviation;

/// <summary>The thread along one intended line, placed in the block: where it was seen, how far off, how sure.</summary>
/// <remarks>A sample's place is From + u·along + n·deviation, with u and n of the family. Samples rise along the line; gaps are simply missing.</remarks>
public sealed class TraceProfile
{
    /// <summary>The thread is seen at a position where four samples or more lie within so much of it and reach to within so little of it from each side, mm.</summary>
    private const double NearMm = 3.2, AsideMm = 0.5;

    private readonly Lazy<SmoothedCourse> _course;

    public TraceProfile(
        GridLine line, LineFamily family, IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, IReadOnlyList<double> sigmaMm, NoiseCorrelation noise)
    {
        if (alongMm.Count > 1)
        {
            ProfileCheck.SameLength(alongMm, deviationMm, sigmaMm);
            ProfileCheck.Ascending(alongMm);
        }
        (Line, Family, AlongMm, DeviationMm, SigmaMm, Noise) = (line, family, alongMm, deviationMm, sigmaMm, noise);
        _course = new(() => SmoothedCourse.Of(AlongMm, DeviationMm, SigmaMm, Noise));
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

    /// <summary>Height and slope of the thread at a position as the samples around it and the way a hand steers tell it, or null where it was not seen there.</summary>
    public ReferenceLineFit? BestPiece(double atMm) => Near(atMm, NearMm) is null ? null : _course.Value.At(atMm);

    private ReferenceLineFit? Piece(double atMm, double halfMm, double leastSpanMm)
    {
        if (Near(atMm, halfMm) is not var (first, end) || AlongMm[end - 1] - AlongMm[first] < leastSpanMm) return null;
        return ReferenceLineFit.Fit(Cut(AlongMm), Cut(DeviationMm), Cut(SigmaMm), Noise, atMm);
        double[] Cut(IReadOnlyList<double> list) => list is double[] plain ? plain[first..end] : [.. list.Skip(first).Take(end - first)];
    }

    /// <summary>The samples near a position (the first, and the one after the last), or null where the thread was not seen there.</summary>
    private (int First, int End)? Near(double atMm, double halfMm)
    {
        int first = CountBelow(atMm - halfMm - 1e-9, false), end = CountBelow(atMm + halfMm + 1e-9, true);
        return end - first < 4 || AlongMm[first] > atMm + AsideMm || AlongMm[end - 1] < atMm - AsideMm ? null : (first, end);
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
