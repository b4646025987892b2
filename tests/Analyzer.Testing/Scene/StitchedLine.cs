using Analyzer.Core.Pattern;

namespace Analyzer.Testing.Scene;

/// <summary>One line as stitched: needle holes on the pattern and on the plane, mm. The thread runs straight from hole to hole.</summary>
internal sealed class StitchedLine
{
    /// <summary>The intended line, or null for an extra line.</summary>
    public GridLine? Intended { get; init; }

    public bool IsMissing { get; init; }

    public bool IsDitch { get; init; }

    /// <summary>Along the intended line from its start, mm, one per hole.</summary>
    public double[] HoleAlongMm { get; init; } = [];

    /// <summary>Across the intended line, mm, one per hole.</summary>
    public double[] HoleAcrossMm { get; init; } = [];

    /// <summary>Holes on the plane (after cloth distortion), mm.</summary>
    public (double X, double Y)[] Holes { get; init; } = [];

    /// <summary>Mean square of each cause of deviation over this line, mm².</summary>
    public LineCauses Causes { get; init; } = new();

    /// <summary>The drawn mark on the plane, or empty.</summary>
    public (double X, double Y)[] Mark { get; init; } = [];

    /// <summary>The same line, its last (or first) hole so far short of its intended end.</summary>
    public StitchedLine EndingAt(bool atEnd, double backMm, (double X, double Y) hole)
    {
        double along = atEnd ? Intended!.LengthMm - backMm : backMm, across = AcrossAt(along) ?? 0;
        int[] own = [.. Enumerable.Range(0, HoleAlongMm.Length).Where(i => atEnd ? HoleAlongMm[i] < along - 0.3 : HoleAlongMm[i] > along + 0.3)];
        T[] With<T>(T[] all, T last) => atEnd ? [.. own.Select(i => all[i]), last] : [last, .. own.Select(i => all[i])];
        return new StitchedLine
        {
            Intended = Intended,
            IsMissing = IsMissing,
            HoleAlongMm = With(HoleAlongMm, along),
            HoleAcrossMm = With(HoleAcrossMm, across),
            Holes = With(Holes, hole),
            Causes = Causes,
            Mark = Mark,
        };
    }

    /// <summary>Deviation at a place along, mm; null beyond the line's ends.</summary>
    public double? AcrossAt(double alongMm)
    {
        double[] a = HoleAlongMm;
        if (IsMissing || a.Length < 2 || alongMm < a[0] || alongMm > a[^1]) return null;
        int i = Array.BinarySearch(a, alongMm);
        if (i >= 0) return HoleAcrossMm[i];
        i = ~i - 1;
        double t = (alongMm - a[i]) / (a[i + 1] - a[i]);
        return HoleAcrossMm[i] + t * (HoleAcrossMm[i + 1] - HoleAcrossMm[i]);
    }
}

/// <summary>Mean square of each cause of one line's deviation along it, mm², in the ideal plane before cloth distortion.</summary>
public sealed record LineCauses
{
    public double Offset { get; init; }

    public double Angle { get; init; }

    public double Bow { get; init; }

    public double WobbleLong { get; init; }

    public double WobbleMid { get; init; }

    public double WobbleShort { get; init; }

    public double HoleJitter { get; init; }
}
