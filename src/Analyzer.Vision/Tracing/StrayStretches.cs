namespace Analyzer.Vision.Tracing;

/// <summary>
/// Stretches of a line that lie beside its stitches: where the thread is of the cloth's own colour, the furrow's lit wall or shadow stands out more, and the
/// trace goes over to it. Along such a stretch the cloth does not change as it does along the family's lines, but close beside it does: the thread is there.
/// </summary>
internal static class StrayStretches
{
    /// <summary>Change in the middle of a family's lines from which its stitches show well enough (over the ground's).</summary>
    private const double LeastUsual = 1;

    /// <summary>A line that changes less than this share of the usual, taken as a whole, is no stitched line strayed in part: a mark, or print.</summary>
    private const double StitchedShare = 0.4;

    /// <summary>Change on a stray line, and beside it, in shares of the family's usual change.</summary>
    private const double MostOnLine = 0.3, LeastBeside = 0.6, MostBeside = 2.5;

    /// <summary>How far beside the line the stitches are at least, mm: nearer, both are parts of one thread.</summary>
    private const double LeastMm = 0.35;

    /// <summary>Half the stretch that is looked at as a whole, and how far beyond it the trace may be stray too, places.</summary>
    private const int Half = (int)(5 / ThreadOnMark.ChangeStepMm), Beyond = (int)(6 / ThreadOnMark.ChangeStepMm);

    /// <summary>A course told by the stitches alone is used where it is surer than this, and has this doubt at least, mm.</summary>
    private const double MostUMm = 0.2, LeastUMm = 0.08, ScatterMm = 0.05, RimUMm = 0.4;

    /// <summary>Surer than this and along so much at least, the stitches' word stands against the taught net's, mm.</summary>
    private const double SureUMm = 0.15;

    private const int SureMm = 6;

    /// <summary>Places this near to one that nothing tells are as unsure, mm.</summary>
    private const double NearMm = 1;

    /// <summary>The traces of one family with their stray stretches put on the stitches.</summary>
    public static IReadOnlyList<TracedLine> OntoTheStitches(IReadOnlyList<ProjectedStrip> strips, IReadOnlyList<TracedLine> lines)
    {
        double[] middles = [.. lines.Where(l => l.Texture is not null).Select(l => StitchTexture.Middle(l.Texture!))];
        if (middles.Length == 0 || UpperMedian.Of(middles) is not (> LeastUsual and var usual)) return lines;
        var result = new TracedLine[lines.Count];
        Parallel.For(0, result.Length, k => result[k] = lines[k].AlongMm.Length < 10 || lines[k].Texture is not { } own || StitchTexture.Middle(own) < StitchedShare * usual ? lines[k] : OntoTheStitches(strips[k], lines[k], usual));
        return result;
    }

    private static TracedLine OntoTheStitches(ProjectedStrip strip, TracedLine line, double usual)
    {
        double[] centre = strip.Strip.CentreOf(line);
        (double[][] change, double[] free) = ThreadOnMark.ChangeAbout(strip, centre);
        bool[] stray = Stray(change, free, usual);
        if (!stray.Any(s => s)) return line;
        (double[] course, double[] u) = ThreadOnMark.CourseOf(strip, centre, change, free);
        int nearSteps = (int)Math.Round(NearMm / ThreadStrip.AlongStepMm);
        bool[] told = LongRuns.Of([.. Enumerable.Range(0, (int)line.AlongMm[^1] + 2).Select(mm => Array.BinarySearch(line.AlongMm, mm) >= 0 && At(mm) is var at && IsBeside(at) && u[at] < SureUMm)], SureMm);
        return line with
        {
            DeviationMm = Put(line.AlongMm, line.DeviationMm, (own, stitches, doubt) => doubt < MostUMm ? stitches : own),
            SigmaMm = BesideUntold(line.AlongMm, Put(line.AlongMm, line.SigmaMm, Doubt)),
            ScatterMm = Put(line.AlongMm, line.ScatterMm, (own, _, doubt) => doubt < MostUMm ? ScatterMm : own),
            FineDeviationMm = Put(line.FineAlongMm, line.FineDeviationMm, (own, stitches, doubt) => doubt < MostUMm ? stitches : own),
            FineSigmaMm = BesideUntold(line.FineAlongMm, Put(line.FineAlongMm, line.FineSigmaMm, Doubt)),
            ByStitchesMm = [.. line.AlongMm.Where(s => told[(int)Math.Round(s)])],
        };

        // Where even the stitches do not tell, on a stray stretch's rim: anywhere between the two.
        static double Doubt(double own, double stitches, double doubt) => doubt < MostUMm ? TracedLine.Joined(LeastUMm, doubt) : TracedLine.Joined(own, RimUMm);

        // On a stray stretch, and the stitches' course lies beside what was followed.
        bool IsBeside(int at) => stray[Math.Min(stray.Length - 1, (int)Math.Round(at * ThreadStrip.AlongStepMm / ThreadOnMark.ChangeStepMm))] && Math.Abs(course[at] - centre[at]) > LeastMm;

        bool IsUntold(int at) => at >= 0 && at < centre.Length && IsBeside(at) && !(u[at] < MostUMm);

        int At(double alongMm) => Math.Clamp((int)Math.Round(alongMm / ThreadStrip.AlongStepMm), 0, centre.Length - 1);

        // Within a millimetre of a place that nothing tells the trace is on its way to it, and what the stitches tell is no surer.
        double[] BesideUntold(double[] along, double[] sigma) => [.. sigma.Select((s, i) => At(along[i]) is var at && !IsUntold(at) && Enumerable.Range(at - nearSteps, 2 * nearSteps + 1).Any(IsUntold) ? TracedLine.Joined(s, RimUMm) : s)];

        // Each value of a stray place made another, from its own, the stitches' place and how unsure that is.
        double[] Put(double[] along, double[] own, Func<double, double, double, double> other)
        {
            double[] put = [.. own];
            for (int i = 0; i < put.Length; i++)
            {
                int at = At(along[i]);
                if (IsBeside(at)) put[i] = other(own[i], strip.Strip.PathMm[at] + course[at], u[at]);
            }
            return put;
        }
    }

    /// <summary>Where the stitches are beside the line and not on it, and a little beyond.</summary>
    private static bool[] Stray(double[][] change, double[] free, double usual)
    {
        const int fewest = Half / 2;
        int n = free.Length, states = ThreadOnMark.States;
        var over = new double[states][];
        double[] seen = MovingSum.Of(free, Half), perPlace = [.. seen.Select(w => w >= fewest ? 1 / w : double.NaN)];
        for (int d = 0; d < states; d++)
        {
            over[d] = MovingSum.Of(change[d], Half, free);
            for (int i = 0; i < n; i++) over[d][i] = over[d][i] * perPlace[i] - 1;
        }
        var stray = new bool[n];
        for (int i = 0; i < n; i++)
        {
            if (seen[i] < fewest) continue;
            double onLine = double.NegativeInfinity, most = double.NegativeInfinity, mostMm = 0;
            for (int d = 1; d + 1 < states; d++)
            {
                double mean = (over[d - 1][i] + over[d][i] + over[d + 1][i]) / 3, mm = ThreadOnMark.BesideMm(d);
                if (Math.Abs(mm) < 0.15) onLine = Math.Max(onLine, mean);
                if (mean > most) (most, mostMm) = (mean, mm);
            }
            if (onLine > MostOnLine * usual || most < LeastBeside * usual || most > MostBeside * usual || most < 2 * Math.Max(0.1, onLine) || Math.Abs(mostMm) < LeastMm) continue;
            Array.Fill(stray, true, Math.Max(0, i - Beyond), Math.Min(n, i + Beyond + 1) - Math.Max(0, i - Beyond));
        }
        return stray;
    }
}
