using System.Numerics;

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
        int[] outside = [.. Enumerable.Range(-groundTo, 2 * groundTo + 1).Where(j => Math.Abs(j) >= groundFrom && j % 2 == 0)];
        bool[] seen = Seen(strip, n, longHalf, others);
        int count = seen.Count(s => s);
        if (count < 40) return null;
        // Blue, green, red at every distance side by side: a whole row of them at a time.
        float[] change = Change(new SeriesPlaces(strip, centreMm, Stride, n), seen, groundTo, longHalf);
        var profile = new double[Length];
        for (int channel = 0; channel < 3; channel++)
        {
            double ground = UpperMedian.Of(outside.Select(j => (double)change[3 * (j + groundTo) + channel] / count));
            for (int k = 0; k < Length; k++) profile[k] += change[3 * (k - Half + groundTo) + channel] / count / Math.Max(0.3, ground) / 3;
        }
        return profile;
    }

    /// <summary>At each distance, summed over the seen steps, how far a place lies from the mean of a window about it: what changes slowly is taken off.</summary>
    private static float[] Change(SeriesPlaces places, bool[] seen, int reach, int half)
    {
        int row = 3 * (2 * reach + 1), window = 2 * half + 1, wide = Vector<float>.Count;
        // Filled up to whole registers.
        int padded = (row + wide - 1) / wide * wide;
        float[] last = new float[window * padded], running = new float[padded], total = new float[padded];
        float share = 1f / window;
        for (int i = 0; i < seen.Length; i++)
        {
            Span<float> newest = last.AsSpan(i % window * padded, padded);
            for (int j = 0; j < padded; j += wide) (new Vector<float>(running, j) - new Vector<float>(newest[j..])).CopyTo(running, j);
            places.ReadRow(i, reach, newest[..row]);
            for (int j = 0; j < padded; j += wide) (new Vector<float>(running, j) + new Vector<float>(newest[j..])).CopyTo(running, j);
            int middle = i - half;
            if (middle < half || !seen[middle]) continue;
            ReadOnlySpan<float> at = last.AsSpan(middle % window * padded, padded);
            for (int j = 0; j < padded; j += wide)
                (new Vector<float>(total, j) + Vector.Abs(new Vector<float>(at[j..]) - share * new Vector<float>(running, j))).CopyTo(total, j);
        }
        return total;
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

    /// <summary>Change in the line's middle above the ground's; none where too little is seen for a profile.</summary>
    public static double Middle(double[]? profile) => profile is null ? 0 : profile.AsSpan(Half - 1, 3).ToArray().Average() - 1;

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

    /// <summary>
    /// How far the thread's middle may lie from the line, one standard uncertainty, mm: a band broader than a thread is the thread and the shadow of its
    /// stitches, or a mark, and the thread may be anywhere in it. The scale is that of photos of three unrelated photo makers.
    /// </summary>
    public static double BandUMm(IReadOnlyList<double[]> profiles)
    {
        const double leastHeight = 0.8, threadMm = 0.8, perWidth = 0.15, perOffset = 0.5, most = 0.2;
        return Band(profiles) is { } band && band.Height > leastHeight
            ? Math.Min(most, perWidth * Math.Max(0, band.WidthMm - threadMm) + perOffset * Math.Abs(band.CentreMm)) : 0;
    }

    /// <summary>
    /// How far a family's lines are to be moved toward the middle of the band in which their stitches change the cloth, mm: light from one side draws the
    /// apparent middle of a raised thread to its lit or shaded flank, while its stitches' ends and holes stay where they are. Half the way is what photos of
    /// four unrelated photo makers have in common; the other half stays in the uncertainty (<see cref="BandUMm"/>).
    /// </summary>
    /// <param name="profiles">Change about the family's lines.</param>
    /// <param name="contrast">How well the thread stands out: one that does so plainly is where it is seen.</param>
    /// <param name="shadowShare">One-sided shadow beside the thread over its height: in even light nothing draws it aside.</param>
    public static double LeanMm(IReadOnlyList<double[]> profiles, double contrast, double shadowShare)
    {
        const double leastHeight = 1, share = 0.5, mostMm = 0.15, clearFrom = 8, clear = 14, plainShadow = 0.25;
        if (!(contrast < clear) || Band(profiles) is not { Height: > leastHeight } band) return 0;
        return Math.Clamp(share * band.CentreMm, -mostMm, mostMm) * Math.Min(1, (clear - contrast) / (clear - clearFrom)) * Math.Min(1, shadowShare / plainShadow);
    }

    /// <summary>
    /// The whole band of change about the highest place, thread and the shadows its stitches throw: height above the ground's own level, the band's centre of
    /// gravity, mm from the line, its width, mm, and the share of the height that is left on the line itself. Nothing where the band runs out of the profile.
    /// </summary>
    public static (double Height, double CentreMm, double WidthMm, double OnLineShare)? Band(IReadOnlyList<double[]> profiles)
    {
        const double edge = 0.3;
        if (profiles.Count == 0) return null;
        double[] over = [.. Enumerable.Range(0, Length).Select(k => profiles.Average(p => p[k]) - 1)];
        double height = over.Max();
        if (height <= 0) return null;
        int first = Array.IndexOf(over, height), last = first;
        while (first > 0 && over[first - 1] > edge * height) first--;
        while (last < Length - 1 && over[last + 1] > edge * height) last++;
        if (first == 0 || last == Length - 1) return null;
        double weight = 0, moment = 0;
        for (int k = first; k <= last; k++)
        {
            weight += over[k] - edge * height;
            moment += (over[k] - edge * height) * (k - Half);
        }
        return (height, moment / weight * ThreadStrip.AcrossStepMm, (last - first + 1) * ThreadStrip.AcrossStepMm, over.AsSpan(Half - 1, 3).ToArray().Average() / height);
    }
}
