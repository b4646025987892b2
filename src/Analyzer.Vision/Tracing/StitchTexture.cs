namespace Analyzer.Vision.Tracing;

/// <summary>
/// How much the cloth changes from place to place along a line, told by the distance from it: stitches come and go, a drawn line or a shadow does not.
/// The change is greatest where the thread lies, whatever its colour, even where the stitches are too uneven in length for a period to show.
/// </summary>
internal static class StitchTexture
{
    /// <summary>Half width of the profile, in steps of the strip across.</summary>
    public const int Half = 18;

    public const int Length = 2 * Half + 1;

    /// <summary>Steps along: a quarter of a millimetre.</summary>
    private const int Stride = 2;

    /// <summary>Averaged change at each distance from the line over that of the ground beside it (1 = no more than the ground); null where too little is seen.</summary>
    public static double[]? Of(ThreadStrip strip, double[] centreMm, IReadOnlyList<OtherLine> others)
    {
        // A window of a stitch or two, and the strip's outer parts on both sides as the ground.
        const int longHalf = 5, groundFrom = 20, groundTo = 30;
        int n = strip.Along / Stride;
        int[] offsets = [.. Enumerable.Range(-groundTo, 2 * groundTo + 1).Where(j => Math.Abs(j) <= Half || (Math.Abs(j) >= groundFrom && j % 2 == 0))];
        bool[] seen = Seen(strip, n, longHalf, others);
        int count = seen.Count(s => s);
        if (count < 40) return null;
        var places = new SeriesPlaces(strip, centreMm, Stride, n);
        var change = new double[3, 2 * groundTo + 1];
        var x = new float[n];
        foreach (int j in offsets)
            for (int channel = 0; channel < 3; channel++)
            {
                places.Read(j, channel, x);
                // The running sum of a window about each step: what changes slowly is taken off.
                float window = 0;
                for (int i = 0; i < 2 * longHalf + 1; i++) window += x[i];
                double total = 0;
                for (int i = longHalf; i + longHalf < n; i++)
                {
                    if (seen[i]) total += Math.Abs(x[i] - window / (2 * longHalf + 1));
                    if (i + longHalf + 1 < n) window += x[i + longHalf + 1] - x[i - longHalf];
                }
                change[channel, j + groundTo] = total / count;
            }
        var profile = new double[Length];
        for (int channel = 0; channel < 3; channel++)
        {
            double ground = UpperMedian.Of(offsets.Where(j => Math.Abs(j) >= groundFrom).Select(j => change[channel, j + groundTo]));
            for (int k = 0; k < Length; k++) profile[k] += change[channel, k - Half + groundTo] / Math.Max(0.3, ground) / 3;
        }
        return profile;
    }

    private static bool[] Seen(ThreadStrip strip, int n, int margin, IReadOnlyList<OtherLine> others)
    {
        const double stepMm = Stride * ThreadStrip.AlongStepMm;
        bool[] crossed = OtherLine.Near(others, n, stepMm, o => (0.6 + margin * stepMm * Math.Abs(o.AcrossPart) + Math.Abs(o.AlongPart)) / Math.Abs(o.AcrossPart));
        var seen = new bool[n];
        for (int i = 0; i < n; i++)
        {
            double s = i * stepMm;
            seen[i] = i >= margin && i + margin < n && s > 2 && s < strip.Line.LengthMm - 2 && !crossed[i];
        }
        return seen;
    }

    /// <summary>Change in the line's middle above the ground's.</summary>
    public static double Middle(double[] profile) => profile.AsSpan(Half - 1, 3).ToArray().Average() - 1;

    /// <summary>Height of a narrow peak near the middle above the profile's own level, and its place, mm from the line.</summary>
    public static (double Height, double CentreMm, double WidthMm) Peak(IReadOnlyList<double[]> profiles)
    {
        if (profiles.Count == 0) return (0, 0, 0);
        double[] mean = [.. Enumerable.Range(0, Length).Select(k => profiles.Average(p => p[k]))];
        int best = 0;
        for (int k = 1; k + 1 < Length; k++)
            if (mean[k - 1] + 2 * mean[k] + mean[k + 1] > mean[Math.Max(1, best) - 1] + 2 * mean[best] + mean[Math.Max(1, best) + 1] || best == 0) best = k;
        double height = mean[best] - 1;
        // Centre of gravity of what rises above half the height.
        double weight = 0, moment = 0, width = 0;
        for (int k = Math.Max(0, best - 7); k <= Math.Min(Length - 1, best + 7); k++)
        {
            double over = mean[k] - 1 - height / 2;
            if (over <= 0) continue;
            weight += over;
            moment += over * (k - Half);
            width += ThreadStrip.AcrossStepMm;
        }
        return (height, weight > 0 ? moment / weight * ThreadStrip.AcrossStepMm : 0, width);
    }
}
