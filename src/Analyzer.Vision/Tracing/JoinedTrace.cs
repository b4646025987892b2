using Analyzer.Core.Deviation;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Learnt;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// Two ways of saying where one thread runs, the fit of a thread's profile and the net's course, joined place by place, each by how sure it is. On contrasting thread the fit is the finer of the two; on cloth of the thread's
/// own colour, beside marks and in low light the net is led astray less.
/// </summary>
internal static class JoinedTrace
{
    /// <summary>Standard uncertainty of the net's course where the log odds about it are 0, mm; it falls by the e-th part with so many log odds; and no farther than between the two limits. From 719 lines of 52 hard invented photos it was not taught on.</summary>
    private const double UMm = 0.2, Falls = 0.7, LeastUMm = 0.025, MostUMm = 0.5;

    /// <summary>The parts of it that show as scatter from place to place and that are common to a line; and the distance over which it hangs together, mm.</summary>
    private const double ScatterShare = 0.2, CommonShare = 0.5, TogetherMm = 6;

    /// <summary>Farther apart than this the two follow different things, mm.</summary>
    private const double ApartMm = LearntKind.ApartMm;

    /// <summary>So sure must the net be against a fit that is like thread.</summary>
    private const double SureFrom = 1.5;

    /// <summary>Below these log odds the net's course fills no gap of the fit's.</summary>
    private const double FillsFrom = 1.2;

    private static double CommonUMm(SightPath net) => CommonShare * UAt(net.MeanLogOdds);

    private static double UAt(double logOdds) => Math.Clamp(UMm * Math.Exp(-Falls * logOdds), LeastUMm, MostUMm);

    /// <summary>One line as both see it; or as the net alone does, where the fit followed something else.</summary>
    /// <param name="plain">The fit as it came from the photo, before doubts about what it followed made it less sure: by this the two are weighed.</param>
    /// <param name="isLikeThread">Whether the kind of line that was followed has a thread's profile and a hand's sway: then it is not doubted for lying aside.</param>
    public static TracedLine Of(TracedLine fit, TracedLine plain, bool isLikeThread, SightPath net, IntendedGrid grid, TracingSettings settings)
    {
        double[] possible = fit.PossibleMm.Length > 0 ? fit.PossibleMm : Possible(fit.Line, grid, settings);
        int apart = 0;
        for (int i = 0; i < fit.AlongMm.Length; i++)
            if (IsElsewhere(net, isLikeThread, fit.AlongMm[i], fit.DeviationMm[i]) && !IsTold(fit.AlongMm[i], fit.DeviationMm[i])) apart++;
        if (2 * apart > fit.AlongMm.Length) return Of(fit.Line, net, grid, settings, fit.AsideUMm, fit.HiddenMm);
        var own = new Dictionary<double, int>();
        for (int i = 0; i < fit.AlongMm.Length; i++) own[fit.AlongMm[i]] = i;
        List<double> along = [], deviation = [], sigma = [], scatter = [];
        double shares = 0;
        var weighing = new Weighing(plain, isLikeThread, net);
        foreach (double s in possible)
        {
            double odds = net.OddsAt(s);
            if (own.TryGetValue(s, out int i))
            {
                (double at, double u, double share) = Both(s, fit.DeviationMm[i], fit.SigmaMm[i]);
                deviation.Add(at);
                sigma.Add(u);
                scatter.Add(Math.Min(u, TracedLine.Joined((1 - share) * fit.ScatterMm[i], share * ScatterShare * UAt(odds))));
                shares += share;
            }
            else
            {
                if (odds < FillsFrom || fit.HiddenMm.Contains(s) || fit.BesideOtherThreadMm.Contains(s)) continue;
                deviation.Add(net.CourseAt(s));
                sigma.Add(UAt(odds));
                scatter.Add(ScatterShare * UAt(odds));
                shares++;
            }
            along.Add(s);
        }
        if (along.Count == 0) return fit;
        shares /= along.Count;
        double[] fineDeviation = [.. fit.FineDeviationMm], fineSigma = [.. fit.FineSigmaMm];
        for (int i = 0; i < fineDeviation.Length; i++) (fineDeviation[i], fineSigma[i], _) = Both(fit.FineAlongMm[i], fineDeviation[i], fineSigma[i]);
        return fit with
        {
            AlongMm = [.. along],
            DeviationMm = [.. deviation],
            SigmaMm = [.. sigma],
            ScatterMm = [.. scatter],
            FineDeviationMm = fineDeviation,
            FineSigmaMm = fineSigma,
            Noise = fit.Noise with { LengthMm = (1 - shares) * fit.Noise.LengthMm + shares * Math.Max(fit.Noise.LengthMm, TogetherMm) },
            CommonUMm = TracedLine.Joined(fit.AsideUMm, weighing.CommonUMm(RestMm(fit))),
            LightUMm = weighing.OfFitMm(fit.LightUMm),
            NetShare = shares,
            WobbleUMm = WobbleApartMm(fit, net) / 2,
            Coverage = (double)along.Count / possible.Length,
        };

        (double DeviationMm, double UMm, double Share) Both(double s, double deviationMm, double sigmaMm) => IsTold(s, deviationMm) ? (deviationMm, sigmaMm, 0) : weighing.Joined(s, deviationMm, sigmaMm);

        // Two strands side by side, and the stitches told which is sewn: a loose end of thread, which has none, is as good a thread to the net.
        // And where it runs along basting of another colour it has no say.
        bool IsTold(double s, double deviationMm) => fit.BesideOtherThreadMm.Contains(Math.Round(s)) || fit.ByStitchesMm.Contains(Math.Round(s)) && Math.Abs(net.CourseAt(s) - deviationMm) > ApartMm;
    }

    /// <summary>One line as the net alone sees it. Nothing is known of its stitches then.</summary>
    /// <param name="asideUMm">What light from the side does to the lines beside it, mm.</param>
    /// <param name="hiddenMm">Whole millimetres of the line that are known to be hidden.</param>
    public static TracedLine Of(GridLine line, SightPath net, IntendedGrid grid, TracingSettings settings, double asideUMm, double[] hiddenMm)
    {
        const double fineMm = 0.25;
        double[] possible = Possible(line, grid, settings), along = [.. possible.Where(s => net.OddsAt(s) > 0 && !hiddenMm.Contains(s))];
        double[] fine = along.Length == 0 ? [] : [.. Enumerable.Range(0, (int)((along[^1] - along[0]) / fineMm) + 1).Select(k => along[0] + k * fineMm).Where(s => net.OddsAt(s) > 0 && !hiddenMm.Contains(Math.Round(s)))];
        double[] sigma = [.. along.Select(s => UAt(net.OddsAt(s)))];
        return new TracedLine
        {
            Line = line,
            AlongMm = along,
            DeviationMm = [.. along.Select(net.CourseAt)],
            SigmaMm = sigma,
            ScatterMm = [.. sigma.Select(u => ScatterShare * u)],
            Noise = new NoiseCorrelation(TogetherMm),
            PossibleMm = possible,
            HiddenMm = hiddenMm,
            FineAlongMm = fine,
            FineDeviationMm = [.. fine.Select(net.CourseAt)],
            FineSigmaMm = [.. fine.Select(s => UAt(net.OddsAt(s)))],
            CommonUMm = TracedLine.Joined(asideUMm, CommonUMm(net)),
            AsideUMm = asideUMm,
            NetShare = 1,
            Coverage = possible.Length == 0 ? 0 : (double)along.Length / possible.Length,
            Contrast = double.NaN,
        };
    }

    /// <summary>How far the two differ in how much the line swings, mm.</summary>
    private static double WobbleApartMm(TracedLine fit, SightPath net)
    {
        if (fit.AlongMm.Length < 5) return 0;
        double[] course = [.. fit.AlongMm.Select((s, i) => fit.BesideOtherThreadMm.Contains(s) ? fit.DeviationMm[i] : net.CourseAt(s))];
        return Math.Abs(Straightness.Of(fit.AlongMm, fit.DeviationMm).RmsMm - Straightness.Of(fit.AlongMm, course).RmsMm);
    }

    /// <summary>Whether the net is much surer of its own course than of where something was followed.</summary>
    internal static bool IsElsewhere(SightPath net, bool isLikeThread, double alongMm, double deviationMm) =>
        net.OddsAt(alongMm) > (isLikeThread ? SureFrom : 0) && net.IsBeside(alongMm, deviationMm, ApartMm, LearntKind.MuchLikelier);

    private static double RestMm(TracedLine line) => Math.Sqrt(Math.Max(0, line.CommonUMm * line.CommonUMm - line.AsideUMm * line.AsideUMm));

    /// <summary>
    /// How much each of the two counts: for the place of the line as a whole by what is common to the line, for its shape by what differs from place to place. Where the two lie farther apart than the net's own uncertainty
    /// allows, and the net is sure, the fit was drawn aside, unless it shows even stitches.
    /// </summary>
    private sealed class Weighing
    {
        /// <summary>Millimetres to either side over which the distance of the two is looked at, and the log odds from which it is held against the fit; the whole of it is where the net is sure.</summary>
        private const double NearMm = 4, DoubtsFrom = 0.5;

        /// <summary>Even stitches along its own line from which the fit is not doubted at all.</summary>
        private const double PlainStitches = 0.5;

        private readonly SightPath _net;

        private readonly bool _isLikeThread;

        private readonly double[] _alongMm, _sigmaMm, _apartMm;

        private readonly double _levelMm, _levelShare, _doubted;

        public Weighing(TracedLine plain, bool isLikeThread, SightPath net)
        {
            (_net, _isLikeThread, _alongMm, _sigmaMm) = (net, isLikeThread, plain.AlongMm, plain.SigmaMm);
            _doubted = isLikeThread ? 0 : Math.Clamp(1 - plain.DashCorrelation / PlainStitches, 0, 1);
            _apartMm = [.. plain.AlongMm.Zip(plain.DeviationMm, (s, d) => net.CourseAt(s) - d)];
            double[] together = [.. _apartMm.Where(d => Math.Abs(d) <= ApartMm)];
            _levelMm = together.Length == 0 ? 0 : UpperMedian.Of(together);
            _levelShare = Share(RestMm(plain), JoinedTrace.CommonUMm(net), _levelMm * _levelMm, net.MeanLogOdds);
        }

        /// <summary>What the whole line keeps of an uncertainty of the fit's place, mm.</summary>
        public double OfFitMm(double fitMm) => (1 - _levelShare) * fitMm;

        /// <summary>What is common to the whole line, mm.</summary>
        /// <param name="fitMm">What is of the fit, all doubts taken in.</param>
        public double CommonUMm(double fitMm) =>
            Math.Sqrt(Math.Pow(OfFitMm(fitMm), 2) + Math.Pow(_levelShare * JoinedTrace.CommonUMm(_net), 2) + _levelShare * (1 - _levelShare) * _levelMm * _levelMm);

        /// <summary>A place as both see it, as sure as the two together and less so the farther they are apart; and the net's share in it.</summary>
        public (double DeviationMm, double UMm, double Share) Joined(double alongMm, double fitMm, double fitSigmaMm)
        {
            double netMm = _net.CourseAt(alongMm), odds = _net.OddsAt(alongMm), u = UAt(odds), d = netMm - fitMm;
            if (IsElsewhere(_net, _isLikeThread, alongMm, fitMm)) return (netMm, u, 1);
            int k = Array.BinarySearch(_alongMm, alongMm);
            double share = Share(k >= 0 ? _sigmaMm[k] : fitSigmaMm, u, ApartSquaredMm(alongMm), odds);
            // Where the two are not the same thing there is no mean of them.
            if (Math.Abs(d) > ApartMm) return share > 0.5 ? (netMm, u, 1) : (fitMm, fitSigmaMm, 0);
            double shape = d - _levelMm;
            return (fitMm + _levelShare * _levelMm + share * shape, Math.Sqrt((1 - share) * (1 - share) * fitSigmaMm * fitSigmaMm + share * share * u * u + share * (1 - share) * shape * shape), share);
        }

        private double Share(double fitUMm, double netUMm, double apart2, double odds)
        {
            double net2 = netUMm * netUMm, doubt = _doubted * Math.Clamp((odds - DoubtsFrom) / (SureFrom - DoubtsFrom), 0, 1);
            double fit2 = fitUMm * fitUMm + doubt * Math.Max(0, apart2 - net2);
            return fit2 / (fit2 + net2);
        }

        private double ApartSquaredMm(double alongMm)
        {
            int first = Array.BinarySearch(_alongMm, alongMm - NearMm), n = 0;
            if (first < 0) first = ~first;
            double sum = 0;
            for (int k = first; k < _alongMm.Length && _alongMm[k] <= alongMm + NearMm; k++, n++) sum += Math.Pow(_apartMm[k] - _levelMm, 2);
            return n == 0 ? 0 : sum / n;
        }
    }

    private static double[] Possible(GridLine line, IntendedGrid grid, TracingSettings settings)
    {
        LineFamily family = grid.Families[line.Family];
        return [.. Enumerable.Range(1, Math.Max(0, (int)Math.Ceiling(line.LengthMm) - 1)).Select(mm => (double)mm)
            .Where(mm => grid.Size.EdgeDistanceMm(new Core.Geometry.BlockPoint(line.From.Xmm + family.AlongX * mm, line.From.Ymm + family.AlongY * mm)) >= settings.EdgeInsetMm)];
    }
}
