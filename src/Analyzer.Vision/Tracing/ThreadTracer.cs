using System.Numerics;
using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Tracing;

/// <summary>A strip with its projection on the thread's colour and the lines that cross it.</summary>
internal sealed record ProjectedStrip(ThreadStrip Strip, float[] Projected, IReadOnlyList<OtherLine> Others)
{
    /// <summary>How far from the strip's middle the thread may lie at most, mm; infinite where the middle is not known to be the thread's course.</summary>
    public double ReachMm { get; init; } = double.PositiveInfinity;
}

/// <summary>Follows the thread's centre to sub-pixel along the strips of one family.</summary>
internal static class ThreadTracer
{
    /// <summary>The family's template from the mean profile of all its lines about the given centres.</summary>
    public static ThreadTemplate LearnTemplate(IReadOnlyList<ProjectedStrip> strips, IReadOnlyList<double[]>? centres, bool oneSidedStep = true)
    {
        int across = strips[0].Strip.Across;
        var sums = new double[strips.Count][];
        var counts = new int[strips.Count][];
        Parallel.For(0, strips.Count, k => (sums[k], counts[k]) = ProfileOf(strips[k], centres?[k]));
        var profile = new double[across];
        var seen = new int[across];
        for (int k = 0; k < strips.Count; k++)
            for (int j = 0; j < across; j++)
            {
                profile[j] += sums[k][j];
                seen[j] += counts[k][j];
            }
        for (int j = 0; j < across; j++) profile[j] /= Math.Max(1, seen[j]);
        return ThreadTemplate.Learn(profile, oneSidedStep);
    }

    /// <summary>Sum of every second step's profile about the given centres, and how many steps reach each place; steps near other lines are left out.</summary>
    private static (double[] Sum, int[] Count) ProfileOf(ProjectedStrip strip, double[]? centreMm)
    {
        int across = strip.Strip.Across, wide = Vector<float>.Count;
        var sum = new float[across];
        var count = new int[across + 1];
        bool[] crossed = OtherLine.Near(strip.Others, strip.Strip.Along, ThreadStrip.AlongStepMm, o => (0.5 + 1.6 * Math.Abs(o.AlongPart)) / Math.Abs(o.AcrossPart));
        for (int i = 0; i < strip.Strip.Along; i += 2)
        {
            if (crossed[i]) continue;
            double shift = centreMm is null ? 0 : centreMm[i] / ThreadStrip.AcrossStepMm;
            int whole = (int)Math.Floor(shift), from = Math.Max(0, -whole), to = Math.Min(across, across - 1 - whole);
            if (to <= from) continue;
            float f = (float)(shift - whole), g = 1 - f;
            ReadOnlySpan<float> here = strip.Projected.AsSpan(i * across + from + whole, to - from + 1);
            Span<float> into = sum.AsSpan(from, to - from);
            int j = 0;
            for (; j + wide <= into.Length; j += wide)
                (new Vector<float>(into[j..]) + g * new Vector<float>(here[j..]) + f * new Vector<float>(here[(j + 1)..])).CopyTo(into[j..]);
            for (; j < into.Length; j++) into[j] += g * here[j] + f * here[j + 1];
            count[from]++;
            count[to]--;
        }
        // Only where the profiles begin and end was counted so far.
        for (int j = 1; j < across; j++) count[j] += count[j - 1];
        return ([.. sum.Select(v => (double)v)], count);
    }

    /// <summary>Traces every strip of one family: template from the coarse paths, fit, template again from the fitted centres, fit again.</summary>
    public static IReadOnlyList<TracedLine> Trace(IReadOnlyList<ProjectedStrip> strips, IntendedGrid grid, double pixelsPerMm, TracingSettings settings)
    {
        if (strips.Count == 0) return [];
        ThreadTemplate template = LearnTemplate(strips, null, settings.OneSidedStep);
        var rows = new TemplateRows(template, settings.OneSidedStep);
        double[][] centres = [.. strips.Select(s => Enumerable.Repeat(template.CentreMm, s.Strip.Along).ToArray())];
        TracingSettings first = settings with { AlongScaleMm = settings.FaintAlongScaleMm };
        Parallel.For(0, strips.Count, k => Settle(strips[k], rows, centres[k], first, settings.Rounds));
        ThreadTemplate second = LearnTemplate(strips, centres, settings.OneSidedStep);
        // The second template is learned about the fitted centres: what it finds off centre is where the thread lies beside them.
        Parallel.For(0, strips.Count, k =>
        {
            for (int i = 0; i < centres[k].Length; i++) centres[k][i] += second.CentreMm;
        });
        FollowedFurrow? furrow = FollowedFurrow.Of(strips, centres, second, pixelsPerMm, settings);
        strips = furrow?.Strips ?? strips;
        var secondRows = new TemplateRows(second, settings.OneSidedStep);
        var result = new TracedLine[strips.Count];
        Parallel.For(0, strips.Count, k => result[k] = Finish(strips[k], second, secondRows, centres[k], grid, pixelsPerMm, settings, furrow, furrow?.StillUMm?[k]));
        double asideU = StitchTexture.BandUMm([.. result.Select(l => l.Texture).OfType<double[]>()]);
        if (asideU > 0) result = [.. result.Select(l => l.LessSure(asideU) with { AsideUMm = asideU })];
        return result;
    }

    /// <summary>Moves the centre line onto the thread in place; returns how far the last round still moved it.</summary>
    internal static double[] Settle(ProjectedStrip strip, TemplateRows rows, double[] centre, TracingSettings settings, int rounds)
    {
        int n = centre.Length;
        var fit = new ThreadFit(strip.Projected, strip.Strip, rows, strip.Others, settings.CrossingHalfWidthMm);
        double[] height = new double[n], shift = new double[n], weight = new double[n], meanHeight = new double[n], meanShift = new double[n], support = new double[n];
        var filter = new AlongFilter(settings.AlongScaleMm);
        var last = new double[n];
        for (int round = 0; round < rounds; round++)
        {
            fit.At(centre, 0, height, shift, weight);
            filter.Weigh(weight, support);
            filter.Average(height, weight, support, meanHeight);
            filter.Average(shift, weight, support, meanShift);
            double usual = Median(meanHeight, support);
            for (int i = 0; i < n; i++)
            {
                if (support[i] < 0.05 || usual <= 0) continue;
                double move = Math.Clamp(meanShift[i] / Math.Max(meanHeight[i], 0.4 * usual), -0.25, 0.25);
                centre[i] = Math.Clamp(centre[i] + move, -strip.ReachMm, strip.ReachMm);
                last[i] = move;
            }
        }
        return last;
    }

    private static TracedLine Finish(ProjectedStrip strip, ThreadTemplate template, TemplateRows rows, double[] centre, IntendedGrid grid, double pixelsPerMm, TracingSettings settings, FollowedFurrow? furrow, double[]? still)
    {
        TemplateRows followed = furrow?.Rows ?? rows;
        double besideMm = furrow?.ThreadMm ?? template.LitFlankMm;
        settings = settings with { AlongScaleMm = ScaleFor(strip, followed, centre, settings) };
        double[] last = still is not null ? new double[centre.Length] : Settle(strip, followed, centre, settings, settings.Rounds);
        int n = centre.Length;
        var fit = new ThreadFit(strip.Projected, strip.Strip, followed, strip.Others, settings.CrossingHalfWidthMm);
        double[] height = new double[n], shift = new double[n], weight = new double[n], meanHeight = new double[n], support = new double[n];
        fit.At(centre, 0, height, shift, weight);
        new AlongFilter(settings.AlongScaleMm).Apply(height, weight, meanHeight, support);
        double usual = Median(meanHeight, support);
        GroundNoise ground = GroundNoise.Measure(fit, centre, settings);
        // The thread itself, not the furrow it lies in, is what stands out and comes in stitches.
        double[] thread = furrow is null ? centre : [.. centre.Select(c => c + besideMm)];
        DashReading dash = furrow is null ? DashReading.Of(height, weight, ground) : Dashes(strip, furrow.ThreadRows, thread, settings);
        GridLine line = strip.Strip.Line;
        LineFamily family = grid.Families[line.Family];
        double[] bend = Bend(centre, support);
        double[] odd = PlaceDoubt.Disturbance(fit, centre, meanHeight), rough = PlaceDoubt.Roughness(ground, n);
        List<double> along = [], deviation = [], sigma = [], scatter = [], possible = [];
        int expected = 0, clipped = 0;
        double fixedVariance = settings.ThreadUnevennessMm * settings.ThreadUnevennessMm + Math.Pow(settings.ResolutionPx / pixelsPerMm, 2);
        for (int mm = 1; mm < line.LengthMm; mm++)
        {
            int i = (int)Math.Round(mm / ThreadStrip.AlongStepMm);
            if (i >= n) break;
            var place = new BlockPoint(line.From.Xmm + family.AlongX * mm, line.From.Ymm + family.AlongY * mm);
            if (grid.Size.EdgeDistanceMm(place) < (furrow is null ? settings.EdgeInsetMm : settings.FurrowInsetMm)) continue;
            expected++;
            possible.Add(mm);
            if (strip.Strip.IsClipped(i))
            {
                clipped++;
                continue;
            }
            if (SigmaAt(i) is not var (u, shown)) continue;
            along.Add(mm);
            deviation.Add(strip.Strip.PathMm[i] + centre[i] + besideMm);
            sigma.Add(u);
            scatter.Add(shown);
        }
        (double Height, double Share) peak = Peak(strip, thread, template.WidthMm);
        bool[] nearCrossing = OtherLine.Near(strip.Others, n, ThreadStrip.AlongStepMm, _ => 1);
        Fine fine = Fine.Of(strip.Strip.PathMm, [.. centre.Select(c => c + besideMm)], i => SigmaAt(i) is var (u, _) ? (nearCrossing[i] ? NearCrossing : 1) * u : double.NaN);
        return new TracedLine
        {
            Line = line,
            AlongMm = [.. along],
            DeviationMm = [.. deviation],
            SigmaMm = [.. sigma],
            ScatterMm = [.. scatter],
            Noise = new NoiseCorrelation(still is not null ? Math.Max(2, ground.CorrelationMm) : ground.CorrelationMm),
            PossibleMm = [.. possible],
            FineAlongMm = fine.Along,
            FineDeviationMm = fine.Deviation,
            FineSigmaMm = fine.Sigma,
            DashRho = dash.Rho,
            GroundRho = dash.GroundRho,
            Texture = StitchTexture.Of(strip.Strip, thread, strip.Others),
            WidthMm = template.WidthMm,
            PeakShare = peak.Share,
            PeakHeight = peak.Height,
            ShadowShare = template.ShadowShare,
            InFurrowMm = furrow?.ThreadMm ?? 0,
            IsFurrow = furrow is not null,
            MisfitShare = furrow?.MisfitShare ?? template.MisfitShare,
            CommonUMm = furrow?.ThreadUMm ?? template.CentreUMm,
            LightUMm = furrow is null ? template.LightUMm : 0,
            Coverage = expected == 0 ? 0 : (double)along.Count / expected,
            Contrast = usual / Math.Max(1e-9, ground.HeightSigma),
            DashCorrelation = dash.Correlation,
            DashRatio = dash.Ratio,
            StitchLengthMm = dash.PeriodMm,
            ClippedShare = expected == 0 ? 0 : (double)clipped / expected,
        };

        // Null where the thread is not seen. Without a noise to compare with, nothing can be said of a place.
        (double U, double Scatter)? SigmaAt(int i)
        {
            // What is held back at the end of its reach is not where the thread is.
            if (Math.Abs(centre[i]) >= strip.ReachMm) return null;
            if (support[i] < 0.12 || usual <= 0 || (still is null && meanHeight[i] < settings.FaintShare * usual) || double.IsNaN(ground.ShiftSigma)) return null;
            double noise = still is not null ? StitchesScatterMm : settings.NoiseFactor * ground.ShiftSigma / meanHeight[i] / Math.Sqrt(Math.Min(1, support[i]));
            double scatter2 = noise * noise + fixedVariance, course = still?[i] ?? 0;
            return (rough[i] * Math.Sqrt(scatter2 + last[i] * last[i] + bend[i] * bend[i] + odd[i] * odd[i] + course * course), rough[i] * Math.Sqrt(scatter2));
        }
    }

    /// <summary>The line's mean profile about a given centre line: its middle over what is just beside the thread, and that as a share of the middle over the ground farther out.</summary>
    private static (double Height, double Share) Peak(ProjectedStrip strip, double[] centre, double widthMm)
    {
        const double leastMm = 0.25, mostMm = 0.5, besideMm = 0.2, groundFromMm = 1.3, groundToMm = 1.7;
        (double[] sum, int[] count) = ProfileOf(strip, centre);
        double near = Math.Clamp(widthMm, leastMm, mostMm) / 2 + besideMm;
        double middle = Mean(0, ThreadStrip.AcrossStepMm), beside = Mean(near, near + ThreadStrip.AcrossStepMm), ground = Mean(groundFromMm, groundToMm);
        return (middle - beside, (middle - beside) / (middle - ground));

        // Over both sides.
        double Mean(double fromMm, double toMm)
        {
            int from = (int)Math.Round(fromMm / ThreadStrip.AcrossStepMm), to = (int)Math.Round(toMm / ThreadStrip.AcrossStepMm);
            return Enumerable.Range(from, to - from + 1).Average(k => (At(strip.Strip.Middle - k) + At(strip.Strip.Middle + k)) / 2);
        }

        double At(int j) => count[j] == 0 ? double.NaN : sum[j] / count[j];
    }

    /// <summary>The thread's own dashes about a given centre line.</summary>
    private static DashReading Dashes(ProjectedStrip strip, TemplateRows rows, double[] centre, TracingSettings settings)
    {
        int n = centre.Length;
        var fit = new ThreadFit(strip.Projected, strip.Strip, rows, strip.Others, settings.CrossingHalfWidthMm);
        double[] height = new double[n], shift = new double[n], weight = new double[n];
        fit.At(centre, 0, height, shift, weight);
        return DashReading.Of(height, weight, GroundNoise.Measure(fit, centre, settings));
    }

    /// <summary>Scatter of a course told by the stitches' change alone, one standard uncertainty, mm: they are looked for in whole steps across.</summary>
    private const double StitchesScatterMm = 0.05;

    /// <summary>Under a crossing thread the centre is bridged from both sides: its uncertainty there is this many times larger (from comparison with known truth).</summary>
    private const double NearCrossing = 1.7;

    /// <summary>What averaging takes off a sharp bend (thread runs straight from hole to hole): a share of the trace's own quick change, mm.</summary>
    private static double[] Bend(double[] centre, double[] support)
    {
        const double share = 0.45;
        int n = centre.Length;
        var weight = new double[n];
        for (int i = 0; i < n; i++) weight[i] = support[i] > 0.05 ? 1 : 0;
        double[] slow = new double[n], bend = new double[n], unused = new double[n];
        new AlongFilter(1.3).Apply(centre, weight, slow, unused);
        double[] quick = [.. centre.Zip(slow, (c, m) => share * Math.Abs(c - m))];
        new AlongFilter(1.0).Apply(quick, weight, bend, unused);
        return bend;
    }

    /// <summary>Finer averaging for a thread that stands out, so that sharp wobble is not smoothed away; coarser for a faint one.</summary>
    private static double ScaleFor(ProjectedStrip strip, TemplateRows rows, double[] centre, TracingSettings settings)
    {
        double contrast = Contrast(strip, rows, centre, settings);
        double share = double.IsFinite(contrast) ? Math.Clamp(contrast / settings.ClearContrast, 0, 1) : 0;
        return settings.FaintAlongScaleMm + share * (settings.AlongScaleMm - settings.FaintAlongScaleMm);
    }

    /// <summary>Usual height of the template along a centre line over the ground's unevenness beside it; not a number where no ground is free.</summary>
    internal static double Contrast(ProjectedStrip strip, TemplateRows rows, double[] centre, TracingSettings settings)
    {
        int n = centre.Length;
        var fit = new ThreadFit(strip.Projected, strip.Strip, rows, strip.Others, settings.CrossingHalfWidthMm);
        double[] height = new double[n], shift = new double[n], weight = new double[n];
        fit.At(centre, 0, height, shift, weight);
        return Median(height, weight) / GroundNoise.HeightSpread(fit, centre, settings);
    }

    /// <summary>The trace at quarter millimetres, for crossings.</summary>
    private sealed record Fine(double[] Along, double[] Deviation, double[] Sigma)
    {
        public static Fine Of(double[] path, double[] centre, Func<int, double> sigmaAt)
        {
            List<double> along = [], deviation = [], sigma = [];
            for (int i = 0; i < centre.Length; i += 2)
            {
                double u = sigmaAt(i);
                if (double.IsNaN(u)) continue;
                along.Add(i * ThreadStrip.AlongStepMm);
                deviation.Add(path[i] + centre[i]);
                sigma.Add(u);
            }
            return new Fine([.. along], [.. deviation], [.. sigma]);
        }
    }

    private static double Median(double[] value, double[] support)
    {
        return UpperMedian.Of(value.Where((_, i) => support[i] > 0.3));
    }
}
