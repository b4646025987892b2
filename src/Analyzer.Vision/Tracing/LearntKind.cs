using Analyzer.Core.Pattern;
using Analyzer.Vision.Learnt;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;
using OpenCvSharp;

namespace Analyzer.Vision.Tracing;

/// <summary>What the net sees of the thread along every intended line: its courses, and the kind of line whose colours stand out along them.</summary>
internal sealed class LearntKind
{
    /// <summary>How far from its family's place a line may be sought by another kind's line without a strip of its own, mm.</summary>
    private const double WithinMm = 2;

    private readonly IntendedGrid _grid;

    private readonly List<SightStrip>[] _strips;

    /// <summary>How much of each line the net sees thread along, mm.</summary>
    private readonly double[] _seenMm;

    private LearntKind(IntendedGrid grid, SightPath?[] paths, List<SightStrip>[] strips, double[] seenMm)
    {
        (_grid, Paths, _strips, _seenMm) = (grid, paths, strips, seenMm);
        ThreadShare = grid.Lines.Count == 0 ? 0 : seenMm.Sum() / grid.Lines.Sum(l => l.LengthMm);
    }

    /// <summary>Share of all lines' length along which the net sees thread somewhere near the line.</summary>
    public double ThreadShare { get; }

    /// <summary>Where the net sees a thread, by the line's number in the grid; null where it sees none.</summary>
    public SightPath?[] Paths { get; }

    /// <summary>Every line is plainly sewn, from end to end: the net may move them and fill their gaps, but take none away. On striped cloth it sees no thread along the stripes.</summary>
    public bool MovesOnly { get; init; }

    /// <summary>Of a thread as smooth and straight as a mark the net sees only some lines: then it is not believed at all. Nor is it by one or two lines alone.</summary>
    private bool IsBelieved => Paths.Count(p => p is not null) >= Math.Max(FewestLines, MostLines * _grid.Lines.Count);

    private bool MayTakeAway => IsBelieved && !MovesOnly;

    private const int FewestLines = 3;

    /// <param name="about">The kind taken for the thread so far: where its lines lie is where the net looks first.</param>
    /// <param name="movesOnly">See <see cref="MovesOnly"/>.</param>
    public static LearntKind Look(Mat photo, BlockPlane plane, IntendedGrid grid, Candidate about, bool movesOnly = false, CancellationToken cancel = default)
    {
        double?[] sought = [.. grid.Lines.Select((l, i) => about.Assigned[i] is { } h ? h.AcrossAt(grid.Families[l.Family].Along(l.From) + l.LengthMm / 2) - grid.Families[l.Family].AcrossOfLine(l.Index) + (about.MovedMm?[i] ?? 0) : (double?)null)];
        double[] usual = [.. grid.Families.Select((f, k) => Usual([.. grid.Lines.Select((l, i) => l.Family == k ? sought[i] : null).OfType<double>()], f.SpacingMm))];
        var strips = new List<(int Line, double MiddleMm)>();
        for (int i = 0; i < grid.Lines.Count; i++)
        {
            double middle = usual[grid.Lines[i].Family];
            strips.Add((i, middle));
            if (sought[i] is { } own && Math.Abs(own - middle) > WithinMm) strips.Add((i, own));
        }
        SightStrip[] seen = ThreadSight.Of(photo, plane, grid, strips, cancel);
        var paths = new SightPath?[grid.Lines.Count];
        var seenMm = new double[grid.Lines.Count];
        List<SightStrip>[] of = [.. grid.Lines.Select(_ => new List<SightStrip>())];
        for (int k = 0; k < seen.Length; k++)
        {
            int i = strips[k].Line;
            SightPath path = seen[k].Path(ReachMm(grid, i));
            of[i].Add(seen[k]);
            seenMm[i] = Math.Max(seenMm[i], path.SeenShare * grid.Lines[i].LengthMm);
            if (path.SeenShare >= 0.5 && (paths[i] is not { } other || path.MeanLogOdds > other.MeanLogOdds)) paths[i] = path;
        }
        return new LearntKind(grid, paths, of, seenMm) { MovesOnly = movesOnly };
    }

    /// <summary>
    /// Asked about a few of a block's lines, whether the net sees the thread beside a part of them: however evenly those are dashed, something else was followed there (a mark's dashes, the shadow of a thread whose colour changes).
    /// Of 31 evenly stitched blocks of eight makers it saw up to 4 % of the places so, and up to 9 % along the very thread of hard blocks of ours with marks; 11 % where a third of the thread was dark, 50 % and more where marks or shadows were followed.
    /// </summary>
    public static bool SeesElsewhere(Mat photo, BlockPlane plane, IntendedGrid grid, TracedLine?[] lines, CancellationToken cancel = default)
    {
        const int few = 6;
        const double besideMm = 0.25, likelier = 1, part = 0.1;
        int[] asked = [.. Enumerable.Range(0, lines.Length).Where(i => lines[i] is { AlongMm.Length: > 0 }).OrderByDescending(i => lines[i]!.AlongMm.Length).Take(few)];
        SightStrip[] seen = ThreadSight.Of(photo, plane, grid, [.. asked.Select(i => (i, UpperMedian.Of(lines[i]!.DeviationMm)))], cancel);
        int places = 0, beside = 0;
        foreach ((int line, SightStrip strip) in asked.Zip(seen))
        {
            SightPath path = strip.Path(ReachMm(grid, line));
            if (path.MeanLogOdds <= LeastUsual) continue;
            places += lines[line]!.AlongMm.Length;
            beside += lines[line]!.AlongMm.Zip(lines[line]!.DeviationMm).Count(p => path.IsBeside(p.First, p.Second, besideMm, likelier));
        }
        return beside > part * places;
    }

    /// <summary>How far beside a line its thread is sought: not as far as the neighbour's.</summary>
    private static double ReachMm(IntendedGrid grid, int line) => Math.Min(ThreadNet.HalfWidthMm, 0.42 * grid.Families[grid.Lines[line].Family].SpacingMm);

    private static double Usual(double[] offsets, double spacingMm)
    {
        double middle = offsets.Length < 2 ? 0 : UpperMedian.Of(offsets);
        return Math.Abs(middle) > 0.3 * spacingMm ? 0 : middle;
    }

    /// <summary>The thread as the net sees it, where the kind taken so far runs elsewhere; null where both run along the same lines.</summary>
    /// <param name="followed">That kind's lines, all of them traced.</param>
    public Candidate? Instead(IReadOnlyList<TracedLine?> followed, IReadOnlyList<Candidate> candidates, FamilyEvidence[] evidence, StripWorkshop work, CancellationToken cancel = default)
    {
        if (!MayTakeAway || Against([.. Enumerable.Range(0, followed.Count)], i => followed[i]).ElsewhereShare < LeastElsewhere) return null;
        var odds = candidates.Where(c => c.Probed.Count > 0).ToDictionary(c => c, Likely);
        if (odds.Count == 0) return null;
        Candidate thread = candidates[0];
        double least = thread.Score!.FoundShare - FewerLines;
        Candidate likeliest = odds.Where(p => p.Key.Score!.FoundShare >= least).MaxBy(p => p.Value).Key ?? thread;
        Candidate[] learnt = Kinds(evidence, likeliest, Beside(candidates, work), work);
        foreach (Candidate c in learnt)
        {
            cancel.ThrowIfCancellationRequested();
            c.Score = work.Judge(c);
            if (c.Probed.Count > 0) odds[c] = Likely(c);
        }
        // It must see much more along the same lines, and more than the other is the more like thread by what else is known of both.
        // But whatever else is known of evenly dashed lines as straight as a ruler, they were drawn or printed.
        bool isDrawn = thread.Score.IsRuledDashes;
        return learnt.Where(c => odds.ContainsKey(c) && c.Score!.FoundShare >= least && Gain(c) >= LeastGain && (isDrawn || Gain(c) + OtherWorth * (c.Score.Score - thread.Score.Score) >= LeastJointGain)).MaxBy(c => odds[c] + ScoreWorth * c.Score!.Score);

        double Gain(Candidate c) => odds[c] - Against(c.Probed.Keys, i => followed[i]).LogOdds;
    }

    private const double LeastElsewhere = 0.015, LeastGain = 0.5, LeastJointGain = 0.3, OtherWorth = 0.6, ScoreWorth = 0.3, MostLines = 0.6, FewerLines = 0.15;

    private double Likely(Candidate kind) => Against(kind.Probed.Keys, kind.Probed.GetValueOrDefault).LogOdds;

    /// <summary>
    /// Share of what the net sees of thread that a kind's lines miss; and mean log odds of thread along them, as far as the net sees a thread there. Where the kind was lost it counts as little as open ground near a thread.
    /// </summary>
    private (double ElsewhereShare, double LogOdds) Against(IEnumerable<int> lines, Func<int, TracedLine?> traced)
    {
        const double lost = -2, nearMm = 0.8;
        double sum = 0;
        int all = 0, elsewhere = 0;
        foreach (int i in lines)
        {
            if (Paths[i] is not { } path) continue;
            TracedLine? line = traced(i) is { AlongMm.Length: > 1 } seen ? seen : null;
            int k = 0;
            for (int c = 0; c < path.DeviationMm.Length; c++)
            {
                double along = SightStrip.AlongMm(c);
                if (path.LogOdds[c] <= 0 || line?.HiddenMm.Contains(Math.Round(along)) == true) continue;
                all++;
                if (line is null)
                {
                    elsewhere++;
                    sum += lost;
                    continue;
                }
                while (k + 1 < line.AlongMm.Length && Math.Abs(line.AlongMm[k + 1] - along) <= Math.Abs(line.AlongMm[k] - along)) k++;
                double at = line.At(along), odds = Math.Abs(line.AlongMm[k] - along) <= nearMm ? path.Strip.At(along, at) : lost;
                sum += odds;
                if (Math.Abs(at - path.DeviationMm[c]) > ApartMm && path.LogOdds[c] > odds + MuchLikelier) elsewhere++;
            }
        }
        return all == 0 ? (0, double.NegativeInfinity) : ((double)elsewhere / all, sum / all);
    }

    /// <summary>Farther apart than this two courses are not the same, mm, cells being what they are; and so much likelier must one be.</summary>
    internal const double ApartMm = 0.45, MuchLikelier = 2;

    /// <summary>
    /// Whether at least three lines, and most of those along which the net sees a thread, were followed beside it for most of their length. Of 152 hard photos of eight makers one more was refused for it: there the furrow's lit flank
    /// had been followed. Where the net sees so few lines it is not followed instead: tried on a photo where it was the shadow under glare, a third of the lines went astray.
    /// </summary>
    public bool LieElsewhere(IReadOnlyList<TracedLine?> lines)
    {
        (TracedLine Line, SightPath Path)[] both = [.. lines.Zip(Paths).Where(x => x is { First.AlongMm.Length: > 0, Second: not null }).Select(x => (x.First!, x.Second!))];
        int beside = both.Count(x => 2 * x.Line.AlongMm.Zip(x.Line.DeviationMm).Count(p => JoinedTrace.IsElsewhere(x.Path, false, p.First, p.Second)) > x.Line.AlongMm.Length);
        return beside >= FewestLines && 2 * beside > both.Length;
    }

    /// <summary>Mean log odds of thread along traced lines; not a number where there is no line, or where the net did not look along most of it.</summary>
    public IReadOnlyList<double> Along(TracedLine?[] lines) => [.. lines.Select((l, i) => l is { AlongMm.Length: > 0 } line ? Along(line, _strips[i]) : double.NaN)];

    private static double Along(TracedLine line, List<SightStrip> strips)
    {
        SightStrip nearest = Nearest(line, strips);
        double[] seen = [.. line.AlongMm.Zip(line.DeviationMm).Where(p => nearest.Holds(p.Second)).Select(p => nearest.At(p.First, p.Second))];
        return 2 * seen.Length < line.AlongMm.Length ? double.NaN : seen.Average();
    }

    private static SightStrip Nearest(TracedLine line, List<SightStrip> strips) => strips.MinBy(s => Math.Abs(s.MiddleMm - UpperMedian.Of(line.DeviationMm)))!;

    /// <summary>The thread as a kind of line of its own: in the colour that stands out along what the net sees, and in whatever colour stands out at each place of it.</summary>
    private Candidate[] Kinds(FamilyEvidence[] evidence, Candidate like, Colour3[] lookAlikes, StripWorkshop work)
    {
        ColourCovariance noise = ColourCovariance.Mean(evidence.Select(e => e.Noise));
        var colours = new List<Colour3>();
        var lines = new HoughLine?[_grid.Lines.Count];
        for (int i = 0; i < lines.Length; i++)
        {
            if (Paths[i] is not { } path)
            {
                // Where it sees none there may be one all the same, as smooth as a mark.
                lines[i] = like.Assigned[i];
                continue;
            }
            lines[i] = Straight(path, _grid.Lines[i]);
            for (int c = 0; c < path.DeviationMm.Length; c++)
                if (path.LogOdds[c] > 1) colours.Add(work.ColourAt(_grid.Lines[i], SightStrip.AlongMm(c), path.DeviationMm[c]));
        }
        if (colours.Count < 20) return [];
        Colour3 mean = UpperMedian.Of((Colour3[])[.. colours]);
        SightStrip?[] sight = [.. Paths.Select(p => p?.Strip)];
        var kinds = new List<Candidate> { new("as seen, any colour", null, like.Hough, [.. lines]) { Sight = sight } };
        if (mean.Norm > 0.3)
        {
            Colour3 own = work.KindOf(mean);
            kinds.Add(new Candidate("as seen", new ThreadColour(own, []), like.Hough, [.. lines]) { Sight = sight });
            Colour3[] others = [.. lookAlikes.Where(o => Math.Abs(o.Dot(noise.Solve(own))) < 0.9)];
            if (others.Length > 0) kinds.Add(new Candidate("as seen, apart from the others", new ThreadColour(own, others), like.Hough, [.. lines]) { Sight = sight });
        }
        if (lookAlikes.Length > 0) kinds.Add(new Candidate("as seen, any colour but the others'", null, like.Hough, [.. lines]) { Sight = sight, Marks = [.. lookAlikes] });
        if (like.MovedMm is null) kinds.Add(new Candidate($"{like.Name}, as seen", like.Direction, like.Hough, [.. lines]) { Sight = sight, Marks = like.Marks });
        return [.. kinds];
    }

    /// <summary>The colours of what the kinds of line follow where they leave the thread as the net sees it: marks, print, shade.</summary>
    private Colour3[] Beside(IReadOnlyList<Candidate> candidates, StripWorkshop work)
    {
        const int fewest = 40, most = 2;
        const double sameKind = 0.85;
        var found = new List<(int Places, Colour3 Mean)>();
        foreach (Candidate kind in candidates.Where(c => c.MovedMm is null && c.Probed.Count > 0))
        {
            CoarsePath?[] courses = work.Paths(kind);
            var colours = new List<Colour3>();
            for (int i = 0; i < courses.Length; i++)
            {
                if (courses[i] is not { } course || Paths[i] is not { } path) continue;
                for (int c = 0; c < path.DeviationMm.Length; c++)
                {
                    double along = SightStrip.AlongMm(c), at = course.At(along);
                    if (path.LogOdds[c] > 0 && Math.Abs(at - path.DeviationMm[c]) > ApartMm && path.Strip.At(along, at) < path.LogOdds[c] - MuchLikelier) colours.Add(work.ColourAt(_grid.Lines[i], along, at));
                }
            }
            if (colours.Count >= fewest) found.Add((colours.Count, UpperMedian.Of((Colour3[])[.. colours])));
        }
        var result = new List<Colour3>();
        foreach ((_, Colour3 mean) in found.Where(f => f.Mean.Norm > 0.3).OrderByDescending(f => f.Places))
            if (result.Count < most && result.All(r => Math.Abs(r.Cosine(mean)) < sameKind)) result.Add(mean);
        return [.. result.Select(work.KindOf)];
    }

    /// <summary>Log odds from which the net plainly sees thread along a line.</summary>
    private const double Plain = 0.5;

    /// <summary>Log odds below which a line is none that is seen as sewn; along marks alone they are far less.</summary>
    private const double LeastUsual = 0.2;

    /// <summary>The lines without the stretches along which something else than thread was followed (<see cref="UnseenStretch"/>).</summary>
    public TracedLine?[] WithoutUnseen(TracedLine?[] lines) =>
        MayTakeAway ? [.. lines.Select((l, i) => l is { AlongMm.Length: > 1 } ? UnseenStretch.Without(l, Nearest(l, _strips[i]), Paths[i]) : l)] : lines;

    /// <summary>Every line as the fit and the net see it together; lines that were lost and that the net plainly sees are as it alone sees them, and lines along which it sees none go.</summary>
    /// <param name="plain">The same lines before doubts about what they follow made them less sure.</param>
    /// <param name="colourAt">The colour at a place along and beside a line, as that of lines is taken.</param>
    public TracedLine?[] Joined(TracedLine?[] lines, TracedLine?[] plain, ClassScore kind, TracingSettings settings, Func<GridLine, double, double, Colour3> colourAt)
    {
        const double plainly = 0.6, seenShare = 0.7, half = 0.5;
        bool isLikeThread = kind is { SwaysByHand: true, MisfitShare: < ClassScore.ClearMisfitShare };
        if (!IsBelieved) return lines;
        double[] aside = [.. _grid.Families.Select((_, f) => lines.OfType<TracedLine>().Where(l => l.Line.Family == f && l.AlongMm.Length > 1).Select(l => l.AsideUMm).DefaultIfEmpty(0).Max())];
        FamilyColour[] colours = [.. _grid.Families.Select((_, f) => OtherThread.ColourOf([.. lines.Zip(Paths).Where(x => x is { First: { AlongMm.Length: > 1 } l, Second: not null } && l.Line.Family == f).Select(x => (x.First!, x.Second!))], colourAt))];
        double usual = UpperMedian.Of(Paths.OfType<SightPath>().Select(p => p.MeanLogOdds)), least = Math.Max(plainly, half * usual);
        return WithoutUnsewn([.. WithoutMarksAlone(lines).Select((l, i) => Paths[i] is not { } path ? l
            : l is { AlongMm.Length: > 1 } fit && !SecondSight.IsLost(l) ? JoinedTrace.Of(fit with { BesideOtherThreadMm = OtherThread.Along(fit, path, colours[fit.Line.Family], (s, d) => colourAt(fit.Line, s, d)) }, plain[i]!, isLikeThread, path, _grid, settings)
            : path.MeanLogOdds > least && path.SeenShare > seenShare && JoinedTrace.Of(_grid.Lines[i], path, _grid, settings, aside[_grid.Lines[i].Family], l?.HiddenMm ?? []) is { AlongMm.Length: > 2 } seen && !Consistency.RunsInTheDitch(seen, _grid) ? seen : l)]);
    }

    /// <summary>Without the lines near which hardly any thread is seen, where along most of the others it is seen much more plainly beside what was followed: that is a mark, and there the mark alone.</summary>
    private TracedLine?[] WithoutMarksAlone(TracedLine?[] lines)
    {
        // Median by which the net saw more thread beside what was followed: 1.0 and less where the thread was, or half of it; 1.3, 1.7 and 2.9 where marks were.
        const double muchMore = 1.2, hardlyAny = 0.3;
        IReadOnlyList<double> along = Along(lines);
        double[] more = [.. Paths.Zip(along).Where(x => x.First is not null && double.IsFinite(x.Second)).Select(x => x.First!.MeanLogOdds - x.Second)];
        if (!MayTakeAway || more.Length < FewestLines || UpperMedian.Of(more) < muchMore) return lines;
        return [.. lines.Select((l, i) => l is { AlongMm.Length: > 0 } && _seenMm[i] < hardlyAny * _grid.Lines[i].LengthMm && along[i] < 0 ? null : l)];
    }

    /// <summary>Lines that were taken out as no thread and that the net sees as plainly as the others are put back; those along which it sees none go, while it sees the others, or thread beside them.</summary>
    public TracedLine?[] Sewn(TracedLine?[] kept, TracedLine?[] before)
    {
        const double plainly = 0.7;
        IReadOnlyList<double> now = Along(kept), then = Along(before);
        if (!MayTakeAway || now.Count(double.IsFinite) < FewestLines) return kept;
        double usual = Usual(now);
        TracedLine?[] all = kept;
        kept = [.. kept.Select((l, i) => l is { AlongMm.Length: > 0 } && now[i] < HardlyAny && (Paths[i] is { MeanLogOdds: > Plain } || (now[i] < usual - MuchLess && Consistency.HasNoneOfTheirStitches(l, all.OfType<TracedLine>()))) ? null : l)];
        if (usual <= LeastUsual) return kept;
        return WithoutUnsewn([.. kept.Select((l, i) => l is null or { AlongMm.Length: 0 } && then[i] > Math.Max(LeastUsual, plainly * usual) && !Consistency.RunsInTheDitch(before[i]!, _grid) && !Consistency.IsLooseRun(before[i]!, kept.OfType<TracedLine>()) ? before[i] : l)]);
    }

    /// <summary>Without the lines along which the net sees none, while it sees the others.</summary>
    internal TracedLine?[] WithoutUnsewn(TracedLine?[] lines)
    {
        const double farLess = 3;
        IReadOnlyList<double> now = Along(lines);
        if (!MayTakeAway || now.Count(double.IsFinite) < FewestLines || Usual(now) is not (> LeastUsual and var usual)) return lines;
        double none = Math.Min(HardlyAny, usual - farLess);
        return [.. lines.Select((l, i) => l is { AlongMm.Length: > 0 } && (now[i] < none || (usual > SeesPlainly && now[i] < Math.Min(0, usual - MuchLess) && IsLikeAMark(l, lines))) ? null : l)];
    }

    /// <summary>Log odds along most lines from which it sees the thread plainly, and by how many less it sees a line that is also like a mark in itself.</summary>
    private const double SeesPlainly = 1, MuchLess = 2;

    /// <summary>Much straighter than its family's other lines, which a hand swayed, and much fainter.</summary>
    internal static bool IsLikeAMark(TracedLine line, TracedLine?[] lines)
    {
        const double straighter = 1 / 3.0, fainter = 0.6;
        TracedLine[] others = [.. lines.OfType<TracedLine>().Where(l => l != line && l.Line.Family == line.Line.Family && double.IsFinite(l.Contrast) && !l.IsFurrow)];
        double[] swayMm = [.. others.Select(Consistency.Sway).OfType<double>()];
        if (swayMm.Length < FewestLines || line.IsFurrow || Consistency.Sway(line) is not { } own) return false;
        double usualMm = UpperMedian.Of(swayMm);
        return usualMm > ClassScore.RuledSwayMm && own < straighter * usualMm && line.Contrast < fainter * UpperMedian.Of(others.Select(l => l.Contrast));
    }

    private const double HardlyAny = -1.5;

    private static double Usual(IReadOnlyList<double> logOdds) => UpperMedian.Of(logOdds.Where(double.IsFinite));

    private HoughLine Straight(SightPath path, GridLine line)
    {
        LineFamily family = _grid.Families[line.Family];
        double mid = line.LengthMm / 2, s0 = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
        for (int c = 0; c < path.DeviationMm.Length; c++)
        {
            double w = 1 / (1 + Math.Exp(-path.LogOdds[c])), x = SightStrip.AlongMm(c) - mid, y = path.DeviationMm[c];
            (s0, sx, sy, sxx, sxy) = (s0 + w, sx + w * x, sy + w * y, sxx + w * x * x, sxy + w * x * y);
        }
        double det = s0 * sxx - sx * sx, slope = det > 1e-9 ? Math.Clamp((s0 * sxy - sx * sy) / det, -0.1, 0.1) : 0, level = s0 > 1e-9 ? (sy - slope * sx) / s0 : path.DeviationMm.Average();
        return new HoughLine(family.AcrossOfLine(line.Index) + level, family.Along(line.From) + mid, slope, 10, line.LengthMm);
    }
}
