using Analyzer.Core.Deviation;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Statistics;

namespace Analyzer.Core.Causes;

/// <summary>Splits the mean squared deviation of a block into causes that add up to 100 %.</summary>
/// <remarks>
/// Order of taking out: uncertain corners (not counted), block distortion common to all families, then per line offset (ruler placement), angle
/// (rotation), bow, kinks at the crossings of the last family (aim), and steering wobble in three bands; measuring noise and what is shorter than two
/// stitches are not counted. Every sample counts once, so a long line weighs more. Intervals: 95 %, lines resampled within their family (the line is
/// the unit, samples along it hang together), with the distortion drawn as uncertain as its fit.
/// </remarks>
public static class CauseAnalysis
{
    /// <summary>Stable codes in the order of the report.</summary>
    public static IReadOnlyList<string> Codes { get; } =
        ["distortion", "placement", "rotation", "bow", "wobble-long", "wobble-middle", "wobble-short", "aim"];

    private const int Distortion = 0, Placement = 1, Rotation = 2, Bow = 3, Long = 4, Middle = 5, Short = 6, Aim = 7, Count = 8;

    private const int FewestSamples = 6;

    /// <summary>The split, or null where fewer than three lines have samples enough.</summary>
    public static ErrorBudget? Split(IntendedGrid grid, IReadOnlyList<TraceProfile> traces, CauseSettings? settings = null)
    {
        settings ??= new CauseSettings();
        List<ModelLine> lines =
        [
            .. traces.Where(t => t.AlongMm.Count >= FewestSamples)
                .Select(t => new ModelLine { Trace = t, Shape = LineShape.Of(t.AlongMm, t.DeviationMm, t.SigmaMm, t.Noise) }),
        ];
        if (lines.Count < 3) return null;
        BlockModel model = BlockModel.Fit(lines, grid.Size, grid.Families.Count, settings);
        int? last = settings.LastFamily ?? (grid.Families.Count >= 3 ? grid.Families.Count - 1 : null);
        Dictionary<string, double> aim = last is { } family ? CrossingAim.TakeOut(grid, lines, family, settings.Seed) : [];
        List<LineEnergy> energies = [.. lines.Select(l => LineEnergy.Of(l, model.ChanceOfDistortion, aim.GetValueOrDefault(l.Trace.Line.Id), settings.StitchLengthMm))];

        double[] sums = Sums(energies, (e, into) => e.AddExpected(into));
        double total = sums.Sum(), samples = energies.Sum(e => e.Samples);
        (double[] low, double[] high) = Intervals(energies, model, settings);
        var words = new CauseWords(grid, energies, model.HasDistortion);
        CauseShare[] causes = total > 0
            ? [.. Enumerable.Range(0, Count).Select(c =>
            {
                double percent = 100 * sums[c] / total, rms = Math.Sqrt(sums[c] / samples);
                return new CauseShare(Codes[c], percent, Math.Min(low[c], percent), Math.Max(high[c], percent), rms, words.Sentence(Codes[c], percent, rms));
            })]
            : [];
        var remarks = new List<string>();
        if (last is { } aimed && CrossingAim.Of(grid, lines.ToDictionary(l => l.Trace.Line.Id, l => l.Trace), aimed) is { } miss) remarks.Add(words.AimSentence(miss));
        if (OrderTrend.Of(energies, settings.StitchedOrder) is { } trend) remarks.Add(trend.PlainWords);
        return new ErrorBudget
        {
            Causes = causes,
            TotalRmsMm = Math.Sqrt(lines.Sum(l => l.Trace.DeviationMm.Sum(d => d * d)) / samples),
            CountedRmsMm = Math.Sqrt(total / samples),
            NoiseRmsMm = Math.Sqrt(energies.Sum(e => e.Samples * e.Noise) / samples),
            CornerRmsMm = settings.CornerUMm > 0 ? Math.Sqrt(energies.Sum(e => e.Samples * e.Corners) / samples) : null,
            Remarks = remarks,
        };
    }

    /// <summary>Sample-weighted sums of all causes; negative ones (a cause below the noise) count as 0.</summary>
    private static double[] Sums(IEnumerable<LineEnergy> energies, Action<LineEnergy, double[]> add)
    {
        var sums = new double[Count];
        foreach (LineEnergy e in energies) add(e, sums);
        for (int c = 0; c < Count; c++) sums[c] = Math.Max(0, sums[c]);
        return sums;
    }

    private static (double[] Low, double[] High) Intervals(List<LineEnergy> energies, BlockModel model, CauseSettings settings)
    {
        var random = new Random(settings.Seed);
        LineEnergy[][] families = [.. energies.GroupBy(e => e.Line.Trace.Line.Family).Select(g => g.ToArray())];
        var shares = new double[Count][];
        for (int c = 0; c < Count; c++) shares[c] = new double[settings.Resamplings];
        var drawn = new List<LineEnergy>(energies.Count);
        for (int r = 0; r < settings.Resamplings; r++)
        {
            drawn.Clear();
            foreach (LineEnergy[] family in families)
                for (int i = 0; i < family.Length; i++) drawn.Add(family[random.Next(family.Length)]);
            double[]? terms = model.Draw(random);
            double[] sums = Sums(drawn, (e, into) => e.AddDrawn(into, terms));
            double total = sums.Sum();
            for (int c = 0; c < Count; c++) shares[c][r] = total > 0 ? 100 * sums[c] / total : 0;
        }
        return ([.. shares.Select(s => Moments.Quantile(s, 0.025))], [.. shares.Select(s => Moments.Quantile(s, 0.975))]);
    }

    /// <summary>Mean squares of one line by cause, mm².</summary>
    internal sealed class LineEnergy
    {
        private readonly double[] _wobble = new double[Count];

        private readonly double _chance;

        private LineEnergy(ModelLine line, double chanceOfDistortion) => (Line, _chance) = (line, chanceOfDistortion);

        public ModelLine Line { get; }

        public int Samples => Line.Trace.AlongMm.Count;

        public double Noise { get; private set; }

        public double Corners { get; private set; }

        public static LineEnergy Of(ModelLine line, double chanceOfDistortion, double aim, double stitchLengthMm)
        {
            TraceProfile t = line.Trace;
            WobbleBands bands = WobbleBands.OfRemainder(t.AlongMm, line.Shape.Remainder, t.SigmaMm, t.Noise, line.Shape.RemainderNoise, stitchLengthMm);
            var energy = new LineEnergy(line, chanceOfDistortion)
            {
                Noise = t.SigmaMm.Sum(s => s * s) / t.SigmaMm.Count,
                Corners = chanceOfDistortion * line.With.Corners.Sum(c => c * c) + (1 - chanceOfDistortion) * line.Without.Corners.Sum(c => c * c),
            };
            (energy._wobble[Long], energy._wobble[Middle], energy._wobble[Short], energy._wobble[Aim]) = (bands.LongWaves, bands.MiddleWaves, bands.ShortWaves, aim);
            return energy;
        }

        /// <summary>Own part of an amplitude (offset, angle, bow) after common fields, mm.</summary>
        public double Own(int degree)
        {
            if (degree >= Line.Shape.Amplitude.Length) return 0;
            double Less(CommonParts parts) => Line.Shape.Amplitude[degree] - parts.Distortion[degree] - parts.Corners[degree];
            return _chance * Less(Line.With) + (1 - _chance) * Less(Line.Without);
        }

        /// <summary>Mean square without noise, corners and distortion, mm²: what this line itself is to blame for.</summary>
        public double OwnMeanSquare
        {
            get
            {
                var sums = new double[Count];
                AddExpected(sums);
                return Math.Max(0, sums.Skip(1).Sum() / Samples);
            }
        }

        /// <summary>Adds the expected sums of squares: both models by their weight, an uncertain part with its square and its variance.</summary>
        public void AddExpected(double[] sums)
        {
            AddWobble(sums);
            for (int d = 0; d < Line.Shape.Amplitude.Length; d++)
            {
                Add(sums, d, Line.With, Line.With.Distortion[d], Line.With.Variance[d], _chance);
                Add(sums, d, Line.Without, 0, 0, 1 - _chance);
            }
        }

        /// <summary>Adds the sums of squares for one draw of the distortion's terms; null for a draw without distortion.</summary>
        public void AddDrawn(double[] sums, double[]? terms)
        {
            AddWobble(sums);
            for (int d = 0; d < Line.Shape.Amplitude.Length; d++)
            {
                double distortion = 0;
                if (terms is not null)
                    for (int c = 0; c < terms.Length; c++) distortion += Line.Rows[d][c] * terms[c];
                Add(sums, d, terms is null ? Line.Without : Line.With, distortion, 0, 1);
            }
        }

        private void AddWobble(double[] sums)
        {
            for (int c = Long; c < Count; c++) sums[c] += Samples * _wobble[c];
        }

        private void Add(double[] sums, int degree, CommonParts parts, double distortion, double variance, double weight)
        {
            double own = Line.Shape.Amplitude[degree] - distortion - parts.Corners[degree], n = weight * Samples;
            sums[Distortion] += n * (distortion * distortion + variance);
            sums[degree switch { 0 => Placement, 1 => Rotation, 2 => Bow, _ => Long }] += n * (own * own + variance - Line.Shape.AmplitudeNoise[degree]);
        }
    }
}
