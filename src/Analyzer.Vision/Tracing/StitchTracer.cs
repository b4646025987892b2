using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>Settings of all stages between the rectified plane and the traces.</summary>
public sealed record StitchSettings
{
    public EvidenceSettings Evidence { get; init; } = new();

    public TracingSettings Tracing { get; init; } = new();

    /// <summary>Weakest Hough peak that may be an intended line, in noise units of the accumulator.</summary>
    public double LeastStrength { get; init; } = 5;

    /// <summary>How many lines are looked at closely to tell thread from look-alikes.</summary>
    public int Probes { get; init; } = 12;

    /// <summary>So many are enough to see that a thread is plainly stitched.</summary>
    public int FirstProbes { get; init; } = 6;

    /// <summary>Whether dashes and stitches count in telling thread from look-alikes. Off only to see what they buy.</summary>
    internal bool DashScore { get; init; } = true;

    /// <summary>Whether a line near its intended place is preferred, and looked for again there. Off only to see what that buys.</summary>
    internal bool GridPrior { get; init; } = true;

    /// <summary>Whether a net taught on invented photos is asked where the thread runs, wherever the stitches do not show plainly. Off only to see what that buys.</summary>
    internal bool LearntSight { get; init; } = true;
}

/// <summary>From the block's plane to traces: evidence, Hough lines, assignment to the grid, which colour is the thread, sub-pixel centres.</summary>
public sealed class StitchTracer(StitchSettings? settings = null)
{
    private readonly StitchSettings _settings = settings ?? new();

    /// <summary>Share of the distance to a look-alike that the thread's place may be off by: where nothing decides between the two, and where the stitches do but a mark's colour still pulls.</summary>
    private const double UndecidedShare = 0.5, DecidedShare = 0.2;

    /// <summary>How far the thread may lie from the middle of a band in which it cannot be told from a mark, or is mostly shadow: all along, and at single places, standard uncertainties, mm.</summary>
    private const double BroadCommonUMm = 0.12, BroadPlaceUMm = 0.18;

    /// <summary>Finds and traces the stitched lines of the grid.</summary>
    public BlockTraces Trace(Photo photo, BlockPlane plane, IntendedGrid grid, Action<string>? stage = null, Action<string, byte[]>? picture = null, CancellationToken cancel = default)
    {
        BlockTraces traces = Look(photo, plane, grid, out TracedLine?[] followed, true, false, stage, picture, cancel);
        if (traces.Thread is not { MayHideThread: true } mark) return traces;
        // What was followed is as straight and as bright as chalk along a ruler: with those lines taken out the thread beside them may show.
        using Photo clean = MarksTakenOut.Of(photo, plane, grid, followed.OfType<TracedLine>());
        BlockTraces beside = Look(clean, plane, grid, out _, false, false, null, null, cancel);
        if (beside.Thread is not { } thread || !thread.IsSewnBeside(mark)) return _settings.LearntSight && !traces.AreSeenSewn ? Look(photo, plane, grid, out _, true, true, null, null, cancel) : traces;
        // Where mark and thread touch, some of the thread went with the mark.
        return beside with
        {
            Lines = [.. WithoutRemains(beside.Lines).Select(l => l?.LessSure(BroadCommonUMm, BroadPlaceUMm))],
            LookAlikeMm = Math.Max(beside.LookAlikeMm, MedianGapMm(beside.Lines, followed)),
            LookAlikeUndecided = beside.LookAlikeUndecided && beside.LookAlikeMm > FlankMm,
        };
    }

    /// <summary>Where a mark was drawn and nothing sewn its remains are followed: half as clear as the other lines, and without change along them.</summary>
    private static IEnumerable<TracedLine?> WithoutRemains(IReadOnlyList<TracedLine?> lines)
    {
        const double half = 0.5, leastChange = 0.15;
        double usual = UpperMedian.Of(lines.Where(l => l is { AlongMm.Length: > 0 }).Select(l => l!.Contrast));
        return lines.Select(l => l is not null && l.Contrast < half * usual && StitchTexture.Middle(l.Texture) < leastChange ? null : l);
    }

    /// <summary>Median distance of two traces of the same lines, mm.</summary>
    private static double MedianGapMm(IReadOnlyList<TracedLine?> lines, TracedLine?[] others) =>
        UpperMedian.Of(lines.Zip(others).Where(p => p is { First: not null, Second: not null }).SelectMany(p =>
        {
            Dictionary<double, double> other = p.Second!.AlongMm.Zip(p.Second.DeviationMm).ToDictionary(x => x.First, x => x.Second);
            return p.First!.AlongMm.Zip(p.First.DeviationMm).Where(x => other.ContainsKey(x.First)).Select(x => Math.Abs(x.Second - other[x.First]));
        }));

    /// <param name="asTaken">Whether the photo is as it was taken: where marks were taken out, what is left of them changes along itself like stitches.</param>
    /// <param name="besideMarks">Whether the net is asked beside bright marks too, where nothing was found with them taken out.</param>
    private BlockTraces Look(Photo photo, BlockPlane plane, IntendedGrid grid, out TracedLine?[] followed, bool asTaken, bool besideMarks, Action<string>? stage, Action<string, byte[]>? picture, CancellationToken cancel)
    {
        (List<Candidate> candidates, StripWorkshop work, FamilyEvidence[] evidence) = Hypotheses(photo, plane, grid, stage, picture, cancel: cancel);
        ClassChoice.ThreadFirst(candidates);
        cancel.ThrowIfCancellationRequested();
        stage?.Invoke("traces");
        Candidate thread = candidates[0];
        TracedLine?[] before, kept;
        // Followed as a whole block a kind may end up elsewhere than along the lines by which it was told; then it was told by nothing.
        if (asTaken && Parting.SewnInstead(candidates, work) is { } sewn && Follow(sewn) is var followedSo && MedianGapMm(followedSo.Followed, [.. followedSo.Followed.Select((_, i) => sewn.Probed.GetValueOrDefault(i))]) < FlankMm)
        {
            ClassChoice.PutFirst(candidates, thread = sewn);
            (before, kept) = followedSo;
        }
        else
        {
            (before, kept) = Follow(thread);
        }
        if (OtherGround.IsMuchLost(kept, grid) && candidates.Count == 1)
        {
            (candidates, work, evidence) = Hypotheses(photo, plane, grid, everyKind: true, cancel: cancel);
            ClassChoice.ThreadFirst(candidates);
            thread = candidates[0];
            (before, kept) = Follow(thread);
        }
        LearntKind? seen = _settings.LearntSight && asTaken && candidates.Count > 1 && !IsSewnWhole() ? LearntKind.Look(photo.Bgr, plane, grid, thread, cancel) : null;
        if (thread.Score is { IsPlainlyStitched: false } score && (besideMarks || !score.MayHideThread) && seen?.Instead(before, candidates, evidence, work, cancel) is { } learnt)
        {
            ClassChoice.PutFirst(candidates, thread = learnt);
            (before, kept) = Follow(thread);
        }
        else if (OtherGround.IsMuchLost(kept, grid) && OtherGround.Of(kept, candidates, work, Follow) is { } more)
        {
            (thread, before, kept) = more;
            ClassChoice.PutFirst(candidates, thread);
        }
        if (seen is not null) kept = seen.Sewn(kept, before);
        followed = before;
        TracedLine?[] lines = SecondSight.Of(kept, before, thread, work, grid, colour => Seek("the thread's colour", colour, [.. evidence.Select(e => ScoreColumns.Of(e, _settings.Evidence.EdgeInsetMm))], grid));
        if (lines != kept) lines = [.. OfOneThread(lines, thread).Zip(kept, lines).Select(x => x.Third == x.Second ? x.Second : x.First)];
        if (seen is not null) lines = seen.Filled(lines, thread, work);
        lines = [.. lines.Select(l => l is null ? null : GapDoubt.Added(StrayParts.Without(l)))];
        if (LitAndShaded.ShadedSide(thread, candidates) is { } shaded) lines = LitAndShaded.Between(lines, work.TraceAll(shaded), grid);
        double lookAlike = 0;
        (Candidate Other, bool Undecided)? other = LookAlike(candidates, plane.PixelsPerMm);
        IReadOnlyList<double>? logOdds = seen?.Along(lines);
        bool areSewn = Learnt.ThreadSight.AreSewn(logOdds), undecided = other is { Undecided: true } && !areSewn;
        if (thread.Score!.IsUnbroken) lines = [.. lines.Select(l => l?.LessSure(thread.Score.FurrowUMm, thread.Score.FurrowUMm / 2))];
        if (thread.Score.IsBroadBand || thread.Score.IsSewnInShadow || (areSewn && thread.Score is { ShadowShare: > 0.35, StitchesShow: false })) lines = [.. lines.Select(l => l?.LessSure(BroadCommonUMm, BroadPlaceUMm))];
        if (other is { } alike) (lines, lookAlike) = work.WidenBy(lines, thread, alike.Other, areSewn ? DecidedShare : UndecidedShare);
        else if (StitchedToo(candidates) is { } rival && work.WidenBy(lines, thread, rival, UndecidedShare) is var (wider, far) && far > FlankMm) (lines, lookAlike) = (wider, far);
        else if (thread.Score!.DashCorrelation < 0.25 && Beside(candidates) is { } beside)
            (lines, _) = work.WidenBy(lines, thread, beside, DecidedShare);
        return new BlockTraces
        {
            Lines = lines,
            Seen = thread.Seen(evidence, grid),
            LookAlikeMm = lookAlike,
            LookAlikeUndecided = undecided,
            Classes = [.. candidates.Select(c => c.Score!)],
            LogOdds = logOdds,
        };

        // Single stitches plain in the lines' very middle, and every line there from end to end: the net could tell nothing more.
        bool IsSewnWhole() => thread.Score is { DashCorrelation: > 0.4, ChangesInTheMiddle: true, Contrast: > 5 } && kept.All(l => l is { Coverage: > 0.85 });

        (TracedLine?[] Followed, TracedLine?[] Kept) Follow(Candidate kind)
        {
            TracedLine?[] all = OntoTheStitches(work.TraceAll(kind), kind, work);
            return (all, OfOneThread(Consistency.WithoutStrangers(all, grid, kind.Direction is not null), kind));
        }

        // Without the places where something of another colour was followed, or the thread seemed to stand out the other way round.
        // Even stitches all along outweigh the colour: the thread itself changes it then.
        TracedLine?[] OfOneThread(TracedLine?[] all, Candidate kind) => kind.Direction is not { } colour ? all
            : [.. OverPrint.Without(WithoutOtherColours(all, work), photo, plane, grid, colour.Direction).Zip(all, (left, whole) => whole is not null && (left?.Coverage ?? 0) < 0.4 * whole.Coverage && IsSewnAllAlong(whole, all) ? whole : left)];

        // Or stitches as plain and as even as the other lines', in the line's very middle, whose light or shade the light from the side has turned round.
        static bool IsSewnAllAlong(TracedLine l, TracedLine?[] all)
        {
            const double plainStitches = 1, likeOthers = 0.6;
            if (!(l.Coverage > 0.9)) return false;
            TracedLine[] seen = [.. all.Where(x => x is { AlongMm.Length: > 0 }).Select(x => x!)];
            Colour3 usual = UpperMedian.Of((Colour3[])[.. seen.Select(x => x.Colour)]);
            if (l.DashCorrelation >= 0.45 && l.Colour.Cosine(usual) > 0.3) return true;
            return IsShade(l.Colour) && IsShade(usual) && l.DashCorrelation > Math.Max(ClassScore.EvenStitches, likeOthers * UpperMedian.Of(seen.Select(x => x.DashCorrelation)))
                && StitchTexture.Middle(l.Texture) > Math.Max(plainStitches, likeOthers * UpperMedian.Of(seen.Select(x => StitchTexture.Middle(x.Texture))));
        }
    }

    /// <summary>Every kind of line that might be the thread, each with its lines found and its score.</summary>
    /// <param name="everyKind">Whether all kinds are looked at even if the first is plainly stitched.</param>
    internal (List<Candidate> Candidates, StripWorkshop Work, FamilyEvidence[] Evidence) Hypotheses(
        Photo photo, BlockPlane plane, IntendedGrid grid, Action<string>? stage = null, Action<string, byte[]>? picture = null, bool everyKind = false, CancellationToken cancel = default)
    {
        stage?.Invoke("evidence");
        FamilyEvidence[] evidence = Evidence(photo, plane, grid);
        if (picture is not null)
            for (int f = 0; f < evidence.Length; f++) picture($"3-evidence-{IntendedGrid.FamilyLetter(f)}.png", Diagnostics.StagePictures.Evidence(evidence[f], _settings.Evidence.Cap));
        cancel.ThrowIfCancellationRequested();
        stage?.Invoke("lines");
        ScoreColumns[] columns = new ScoreColumns[evidence.Length];
        Parallel.For(0, columns.Length, f => columns[f] = ScoreColumns.Of(evidence[f], _settings.Evidence.EdgeInsetMm));
        Candidate any = Seek("any colour", null, columns, grid);
        List<Candidate> candidates = [any];
        List<Colour3> kinds = ColourKinds(any, columns, grid);
        using IEnumerator<Candidate> colours = OfColours(kinds, columns, grid).GetEnumerator();
        if (colours.MoveNext()) candidates.Add(colours.Current);
        cancel.ThrowIfCancellationRequested();
        stage?.Invoke("thread colour");
        var work = new StripWorkshop(photo, plane, grid, evidence, _settings);
        // The colour that shows most is nearly always the thread's. Where it is plainly stitched, and there is nothing else but its shade, the rest needs no look.
        Candidate first = candidates[^1];
        if (!everyKind && kinds.Count <= 2 && _settings.DashScore)
        {
            first.Score = work.Judge(first, _settings.FirstProbes);
            if (first.Score.IsPlainlyStitched) return ([first], work, evidence);
            first.Score = null;
        }
        while (colours.MoveNext()) candidates.Add(colours.Current);
        foreach (Candidate c in candidates) c.Score ??= work.Judge(c);
        if (BesideTheMarks(candidates, columns, grid) is { } freed)
        {
            freed.Score = work.Judge(freed);
            // As straight as the marks, or without a thread's profile, it is the marks seen in a worse colour. Otherwise it stands for any colour: with the marks in it, that goes now
            // along the thread, now along them.
            if (freed.Score.SwayMm >= ClassScore.RuledSwayMm && freed.Score.MisfitShare < ClassScore.ClearMisfitShare)
            {
                candidates.Remove(any);
                candidates.Add(freed);
            }
        }
        foreach (Candidate c in BesideTheShadow(candidates, grid))
        {
            c.Score = work.Judge(c);
            candidates.Add(c);
        }
        return (candidates, work, evidence);
    }

    /// <summary>Where lines of some colours are straight as a ruler: whatever else shows, as these colours do not count. A thread of changing colour beside pen or pencil.</summary>
    private Candidate? BesideTheMarks(List<Candidate> candidates, ScoreColumns[] columns, IntendedGrid grid)
    {
        const double sameKind = 0.9;
        ColourCovariance noise = ColourCovariance.Mean(columns.Select(c => c.Evidence.Noise));
        var marks = new List<Colour3>();
        foreach (Candidate c in candidates.Where(c => c.Score!.IsRuledColour).OrderByDescending(c => c.Score!.Contrast))
            if (marks.All(m => Math.Abs(noise.Whiten(m).Cosine(noise.Whiten(c.Direction!.Direction))) < sameKind)) marks.Add(c.Direction!.Direction);
        return marks.Count == 0 ? null : Seek("any colour but the marks'", null, columns, grid, marks);
    }

    /// <summary>
    /// Under low side light the furrow's shadow stands out more than the thread in it, and the best lines follow the shadow. What changes along the lines,
    /// stitch by stitch, lies beside them then: the thread is looked for there, in every colour that shows.
    /// </summary>
    private static List<Candidate> BesideTheShadow(List<Candidate> candidates, IntendedGrid grid)
    {
        Candidate best = candidates.MaxBy(c => c.Score!.Score)!;
        if (best.Score!.DashCorrelation >= 0.25 || best.Score.TextureBesideMm.All(t => Math.Abs(t) < 0.15)) return [];
        return [.. candidates.Where(c => c.Direction is not null).Select(c => best.Moved($"{c.Name}, beside", family => best.Score.TextureBesideMm[family], c.Direction!, grid))];
    }

    /// <summary>
    /// Single lines that follow a mark or print while the stitches run close beside them: looked for again there, and taken where the line then changes along
    /// its middle as the block's other lines do.
    /// </summary>
    private static TracedLine?[] OntoTheStitches(TracedLine?[] lines, Candidate thread, StripWorkshop work)
    {
        const double leastMm = 0.35, muchMore = 1.6, more = 1.25, leastUsual = 0.5;
        double usual = UpperMedian.Of(lines.Where(l => l?.Texture is not null).Select(l => StitchTexture.Middle(l!.Texture!)));
        if (usual < leastUsual) return lines;
        var beside = new double[lines.Length];
        for (int i = 0; i < lines.Length; i++)
        {
            if (lines[i]?.Texture is not { } texture) continue;
            (double height, double at, double width) = StitchTexture.Peak([texture]);
            if (Math.Abs(at) >= leastMm && width <= 0.75 && height > 0.5 * usual && height > muchMore * Math.Max(0.2, StitchTexture.Middle(texture))) beside[i] = at;
        }
        int[] chosen = [.. Enumerable.Range(0, lines.Length).Where(i => beside[i] != 0)];
        // Where most lines have it so, it is no mishap of single lines.
        if (chosen.Length == 0 || chosen.Length > 0.3 * lines.Count(l => l is not null)) return lines;
        TracedLine?[] again = work.TraceAll(thread.MovedOn(beside)), result = [.. lines];
        foreach (int i in chosen)
            if (again[i]?.Texture is { } texture && StitchTexture.Middle(texture) > more * StitchTexture.Middle(lines[i]!.Texture!) && again[i]!.Coverage > 0.8 * lines[i]!.Coverage && again[i]!.Contrast > 1) result[i] = again[i];
        return result;
    }

    /// <summary>Light from the side may turn a thread of the cloth's own colour lighter than its ground along one family and darker along another: a family plainly dashed goes by its own colour.</summary>
    private static TracedLine?[] WithoutOtherColours(TracedLine?[] lines, StripWorkshop work)
    {
        const double plainlyDashed = 0.3;
        TracedLine[] seen = [.. lines.Where(l => l is { AlongMm.Length: > 0 }).Select(l => l!)];
        if (seen.Length < 2) return lines;
        Colour3 all = UpperMedian.Of((Colour3[])[.. seen.Select(l => l.Colour)]);
        Dictionary<int, Colour3> usual = seen.GroupBy(l => l.Line.Family).ToDictionary(f => f.Key,
            f => UpperMedian.Of(f.Select(l => l.DashCorrelation)) >= plainlyDashed && UpperMedian.Of((Colour3[])[.. f.Select(l => l.Colour)]) is var own && (own.Cosine(all) > 0 || (IsShade(own) && IsShade(all))) ? own : all);
        return [.. lines.Select(l => l is not { AlongMm.Length: > 0 } ? l : OffColour.Without(l, work.ColoursOf(l), usual[l.Line.Family]))];
    }

    /// <summary>Light turns lighter into darker, never one hue into its opposite.</summary>
    private static bool IsShade(Colour3 c) => c.L * c.L > c.A * c.A + c.B * c.B;

    /// <summary>
    /// Another kind of line that might as well be the thread: nearly as good a score, another hue, no less dashed, and no clear dashes to decide by; and
    /// whether nothing at all speaks for the one taken.
    /// </summary>
    private static (Candidate Other, bool Undecided)? LookAlike(List<Candidate> candidates, double pixelsPerMm)
    {
        ClassScore best = candidates[0].Score!;
        if (best.DashCorrelation > 0.25) return null;
        if (best.DashCorrelation < 0.1 && candidates.Skip(1).FirstOrDefault(c => IsFreerHand(c.Score!, best)) is { } freer) return (freer, true);
        if (best.StitchesShow)
            return MayBeDrawn(best, pixelsPerMm) && candidates.Skip(1).FirstOrDefault(c => IsDarkBeside(c.Score!, best)) is { } dark ? (dark, IsPatchy(best)) : null;
        // Thin as thread beside a broader one, straight as a ruler beside one that sways, or half as free beside one that plainly sways: the mark, and the thread.
        return Beside(candidates) is { Score: { } calm } beside && !(calm.IsRuledColour && best.SwayMm >= ClassScore.RuledSwayMm) && !(best is { SwaysByHand: true, SwayMm: > 1.5 * ClassScore.HandSwayMm } && calm.SwayMm < 0.5 * best.SwayMm) ? (beside, !(best.IsThinAsThread && calm.WidthMm > Broader * best.WidthMm)) : null;
    }

    /// <summary>A kind of line whose score is so much lower is much less like a thread: it is no rival, however it wanders.</summary>
    private const double MuchLessLike = 1.5;

    /// <summary>A mark is at least so many times as broad as the thread beside it.</summary>
    private const double Broader = 1.3;

    /// <summary>Thread's two flanks, lit and shaded, lie nearer to each other than this, mm.</summary>
    private const double FlankMm = 0.35;

    /// <summary>A kind of line of the opposite shade that shows stitches as well and is hardly less like thread: the thread, or the gaps between its stitches with the mark beside them.</summary>
    private static Candidate? StitchedToo(List<Candidate> candidates)
    {
        ClassScore best = candidates[0].Score!;
        return best is not { StitchesShow: true, Direction: { } own } ? null : candidates.Skip(1).FirstOrDefault(c => c.Score is { StitchesShow: true, Direction: { } d, FoundShare: > 0.8, Coverage: > 0.9 } s
            && own.L * d.L < 0 && s.Score > best.Score - 0.6 && s.Contrast > 0.8 * best.Contrast);
    }

    /// <summary>A line lighter than the cloth, seen plainly and nearly enough for single stitches to show at even distances, and they do not: chalk and pencil look like that.</summary>
    private static bool MayBeDrawn(ClassScore c, double pixelsPerMm) => c.DashCorrelation < 0.05 && c.Direction is { L: > 0 } && ((c.Contrast > 11 && pixelsPerMm > 6.5) || IsPatchy(c));

    /// <summary>What changes along the line is a band broader than thread: chalk on a weave comes and goes so.</summary>
    private static bool IsPatchy(ClassScore c) => c.TextureWidthMm >= 0.7 && c.Contrast > 4;

    private static bool IsDarkBeside(ClassScore other, ClassScore best) =>
        other.Direction is { L: < 0 } && other.FoundShare > 0.8 && other.Coverage > Math.Min(0.9, best.Coverage) && other.Contrast > 0.4 * best.Contrast;

    /// <summary>A mark or shadow of another hue running close to the thread, seen nearly as well.</summary>
    private static Candidate? Beside(List<Candidate> candidates)
    {
        ClassScore best = candidates[0].Score!;
        return candidates.Skip(1).FirstOrDefault(c => c.Direction is not null && c.Score!.FoundShare > 0.7 && c.Score.Coverage > 0.6
            // A furrow's dark flank beside a plain thread has no profile of its own: one-sided, ill-fitting or much fainter.
            && c.Score.ShadowShare < 0.4 && c.Score.MisfitShare < 0.08 && !IsEdgeOf(best, c.Score) && c.Score.Contrast > (best.SwaysByHand ? 0.6 : 0.3) * best.Contrast
            && !(c.Score.HasNarrowTexture && Math.Abs(c.Score.TextureAtMm) > 0.3)
            && c.Score.Score > best.Score - 1.8 && c.Score.DashCorrelation > best.DashCorrelation - 0.12);
    }

    /// <summary>The ground beside a plain thread that sways by hand, lighter or darker only against it: fainter, and fitting a thread's profile many times worse.</summary>
    private static bool IsEdgeOf(ClassScore best, ClassScore other) =>
        best.SwaysByHand && best.MisfitShare < ClassScore.ClearMisfitShare / 2 && other.MisfitShare > Math.Max(0.05, 5 * best.MisfitShare) && other.Contrast < 0.8 * best.Contrast;

    /// <summary>Well-seen lines that wander much more than the ones taken for the thread: then those may be drawn along a ruler, and these sewn beside them.</summary>
    private static bool IsFreerHand(ClassScore other, ClassScore best) =>
        !(best.SwayMm >= ClassScore.RuledSwayMm) && other.Direction is not null && other.Score > best.Score - MuchLessLike && other.FoundShare > 0.8 && other.Coverage > 0.93 && other.Contrast > 0.4 * best.Contrast && other.WobbleMm > 2.3 * best.WobbleMm
        // What goes to and fro between the edges of a print fits no thread.
        && !(best.IsThinAsThread && other.MisfitShare > 0.08);

    private FamilyEvidence[] Evidence(Photo photo, BlockPlane plane, IntendedGrid grid)
    {
        var reduced = new ReducedPhoto(photo, plane);
        EvidenceSettings s = _settings.Evidence with { PixelsPerMm = Math.Min(_settings.Evidence.PixelsPerMm, Math.Max(3, Math.Floor(plane.PixelsPerMm))) };
        return FamilyEvidence.OfAll(reduced, plane, grid.Families, s);
    }

    private Candidate Seek(string name, ThreadColour? direction, ScoreColumns[] columns, IntendedGrid grid, IReadOnlyList<Colour3>? marks = null)
    {
        var hough = new List<HoughLine>[columns.Length];
        var assigned = new HoughLine?[grid.Lines.Count];
        Parallel.For(0, columns.Length, f =>
        {
            ScoreMap map = direction is not null
                ? ScoreMap.OfColour(columns[f], _settings.Evidence, direction.Discriminant(columns[f].Evidence.Noise))
                : ScoreMap.AnyColour(columns[f], _settings.Evidence, Candidate.NoiseWith(marks ?? [], columns[f].Evidence.Noise));
            hough[f] = HoughLines.Find(map, _settings.LeastStrength);
            int[] own = [.. Enumerable.Range(0, grid.Lines.Count).Where(i => grid.Lines[i].Family == f)];
            HoughLine?[] pairs = LineAssignment.Assign([.. own.Select(i => grid.Lines[i])], grid.Families[f], hough[f], _settings.GridPrior);
            for (int k = 0; k < own.Length; k++) assigned[own[k]] = pairs[k];
        });
        return new Candidate(name, direction, hough, assigned) { Marks = marks ?? [] };
    }

    /// <summary>
    /// The kinds of ridge colour that the block shows along its lines. Where marks and threads lie so close that hardly a line stands out of the whole, the places
    /// meant for the lines are looked at.
    /// </summary>
    private static List<Colour3> ColourKinds(Candidate any, ScoreColumns[] columns, IntendedGrid grid)
    {
        ColourCovariance noise = ColourCovariance.Mean(columns.Select(c => c.Evidence.Noise));
        var ridges = new List<Colour3>();
        bool crowded = any.Assigned.Count(a => a is not null) < 0.25 * any.Assigned.Length;
        for (int i = 0; i < grid.Lines.Count; i++)
        {
            if ((any.Assigned[i] ?? (crowded ? Intended(grid.Lines[i], grid.Families[grid.Lines[i].Family]) : null)) is not { } line) continue;
            CollectRidges(columns[grid.Lines[i].Family].Evidence, grid.Lines[i], line, noise, ridges);
        }
        return ColourClasses.Find(ridges, noise);

        static HoughLine Intended(GridLine line, LineFamily family) => new(family.AcrossOfLine(line.Index), family.Along(line.From) + line.LengthMm / 2, 0, 0, line.LengthMm);
    }

    /// <summary>Each kind of colour sought again on its own.</summary>
    private IEnumerable<Candidate> OfColours(List<Colour3> kinds, ScoreColumns[] columns, IntendedGrid grid)
    {
        ColourCovariance noise = ColourCovariance.Mean(columns.Select(c => c.Evidence.Noise));
        int number = 0;
        foreach (Colour3 direction in kinds)
        {
            yield return Seek($"colour {++number}", new ThreadColour(direction, []), columns, grid);
            // The same with the other kinds as nuisance; a kind of nearly opposite or equal hue cannot be told apart by colour and is not held against it.
            Colour3[] others = [.. kinds.Where(k => k != direction && Math.Abs(k.Dot(noise.Solve(direction))) < 0.9)];
            if (others.Length > 0) yield return Seek($"colour {number} apart from the others", new ThreadColour(direction, others), columns, grid);
        }
    }

    private static void CollectRidges(FamilyEvidence e, GridLine line, HoughLine hough, ColourCovariance noise, List<Colour3> ridges)
    {
        double start = e.Family.Along(line.From), half = Math.Min(2.2, 0.42 * e.Family.SpacingMm);
        StrengthMeasure any = StrengthMeasure.AnyColour(noise);
        var strength = new float[2 * (int)Math.Ceiling(half * e.PixelsPerMm) + 1];
        for (double s = 1; s < line.LengthMm; s += 1)
        {
            int first = (int)Math.Round((hough.AcrossAt(start + s) - half - e.AcrossStartMm) * e.PixelsPerMm);
            e.Column(start + s, first, strength, any);
            for (int k = 1; k + 1 < strength.Length; k++)
                if (strength[k] > 2.5f && strength[k] >= strength[k - 1] && strength[k] > strength[k + 1])
                    ridges.Add(e.AtMm(start + s, e.AcrossStartMm + (first + k) / e.PixelsPerMm));
        }
    }
}

/// <summary>One hypothesis of what the thread looks like, with the lines found under it.</summary>
internal sealed class Candidate(string name, ThreadColour? direction, List<HoughLine>[] hough, HoughLine?[] assigned)
{
    public string Name { get; } = name;

    public ThreadColour? Direction { get; private init; } = direction;

    /// <summary>The colour its lines were sought by: its own, unless it lies beside another kind's lines.</summary>
    public ThreadColour? SoughtAs { get; } = direction;

    /// <summary>Colours that do not count where any other does.</summary>
    public IReadOnlyList<Colour3> Marks { get; init; } = [];

    /// <summary>The ground's noise, and the marks' colours taken for noise too.</summary>
    public static ColourCovariance NoiseWith(IReadOnlyList<Colour3> marks, ColourCovariance noise) => marks.Count == 0 ? noise : noise.With(marks, ThreadColour.OthersStrength);

    /// <summary>What the net says about its lines, where it is the thread as the net sees it.</summary>
    public IReadOnlyList<Learnt.SightStrip?>? Sight { get; init; }

    /// <summary>How far beside the lines it was sought by it lies, mm for each intended line; null where it lies on them.</summary>
    public IReadOnlyList<double>? MovedMm { get; private init; }

    /// <summary>The thread beside these lines, in another colour.</summary>
    public Candidate Moved(string name, Func<int, double> movedMm, ThreadColour colour, IntendedGrid grid) => new(name, SoughtAs, Hough, Assigned) { Direction = colour, MovedMm = [.. grid.Lines.Select(l => movedMm(l.Family))] };

    /// <summary>The same lines, each looked for as far beside its place as given.</summary>
    public Candidate MovedOn(double[] byMm) => new(Name, SoughtAs, Hough, Assigned) { Direction = Direction, Marks = Marks, Sight = Sight, MovedMm = [.. byMm.Select((d, i) => d + (MovedMm?[i] ?? 0))] };

    /// <summary>The same with other straight lines for some of the intended ones.</summary>
    public Candidate Instead(HoughLine?[] others) => new(Name, SoughtAs, Hough, [.. Assigned.Zip(others, (a, o) => o ?? a)]) { Direction = Direction, Marks = Marks, Sight = Sight };

    public List<HoughLine>[] Hough { get; } = hough;

    public HoughLine?[] Assigned { get; } = assigned;

    public ClassScore? Score { get; set; }

    /// <summary>The lines' courses in the evidence, once they have been followed.</summary>
    public CoarsePath?[]? Paths { get; set; }

    /// <summary>Its lines that were looked at closely, by their number in the grid.</summary>
    public IReadOnlyDictionary<int, TracedLine> Probed { get; set; } = new Dictionary<int, TracedLine>();

    /// <summary>Every clear line, wherever it lies: what the grid check goes by.</summary>
    public List<SeenLine> Seen(FamilyEvidence[] evidence, IntendedGrid grid)
    {
        var result = new List<SeenLine>();
        for (int f = 0; f < Hough.Length; f++)
        {
            double typical = LineAssignment.Typical(Hough[f], Math.Max(3, grid.Lines.Count(l => l.Family == f)));
            foreach (HoughLine line in Hough[f].Where(h => h.Strength > 0.5 * typical && h.LengthMm > 20))
            {
                (double from, double to) = HoughLines.Extent(evidence[f], line);
                result.Add(new SeenLine(f, grid.Families[f].At(from, line.AcrossAt(from)), grid.Families[f].At(to, line.AcrossAt(to)), line.Strength));
            }
        }
        return result;
    }
}

/// <summary>The colour difference taken for the thread's, and the look-alikes' to be told from it.</summary>
internal sealed record ThreadColour(Colour3 Direction, IReadOnlyList<Colour3> Others)
{
    /// <summary>How strongly the look-alikes may vary, in noise units.</summary>
    public const double OthersStrength = 6;

    public Colour3 Discriminant(ColourCovariance noise) => noise.Discriminant(Direction, Others, OthersStrength);
}
