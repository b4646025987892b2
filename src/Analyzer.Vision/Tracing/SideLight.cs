namespace Analyzer.Vision.Tracing;

/// <summary>
/// Light from the side: one flank of the furrow is brighter than the other, a raised thread throws its shadow to one side of itself, and its own lit side
/// stands out more. Its apparent middle is then not its middle, by an amount that the photo does not tell.
/// </summary>
internal static class SideLight
{
    /// <summary>
    /// Displacement of the apparent middle per brightness step between the two flanks (share of the cloth's brightness), mm, as one standard uncertainty, and
    /// the step beyond which it grows no more. Photos of three unrelated photo makers have 0, 0 and about 0.5 mm per whole step; what a real thread has depends on its height.
    /// </summary>
    private const double UPerStepMm = 0.25, LargestStep = 0.4;

    /// <summary>Where the flanks are looked at, steps across from the line's middle.</summary>
    private const int From = 5, To = 12;

    /// <summary>Standard uncertainty of the apparent middle of a family's lines, mm.</summary>
    public static double UMm(IReadOnlyList<ProjectedStrip> strips, double[][] centres)
    {
        double[] steps = [.. strips.Select((s, k) => Step(s, centres[k])).Where(double.IsFinite)];
        return steps.Length == 0 ? 0 : UPerStepMm * Math.Min(LargestStep, Math.Abs(UpperMedian.Of(steps)));
    }

    /// <summary>Median along one line of (brightness on the n side - on the other) over their mean.</summary>
    private static double Step(ProjectedStrip strip, double[] centre)
    {
        const int stride = 4, reach = To, row = 3 * (2 * reach + 1);
        int n = (strip.Strip.Along - 1) / stride + 1;
        var places = new SeriesPlaces(strip.Strip, centre, stride, n);
        bool[] crossed = OtherLine.Near(strip.Others, strip.Strip.Along, ThreadStrip.AlongStepMm, o => (0.5 + 1.6 * Math.Abs(o.AlongPart)) / Math.Abs(o.AcrossPart));
        Span<float> colours = stackalloc float[row];
        var steps = new List<double>();
        for (int i = 0; i < n; i++)
        {
            if (crossed[i * stride]) continue;
            places.ReadRow(i, reach, colours);
            double low = 0, high = 0;
            for (int j = From; j <= To; j++)
                for (int channel = 0; channel < 3; channel++)
                {
                    low += colours[3 * (reach - j) + channel];
                    high += colours[3 * (reach + j) + channel];
                }
            if (low + high > 0) steps.Add(2 * (high - low) / (high + low));
        }
        return steps.Count < 20 ? double.NaN : UpperMedian.Of(steps);
    }
}
