using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

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
        stage?.Invoke("evidence");
        var search = new KindSearch(photo, plane, grid, _settings);
        if (picture is not null)
            for (int f = 0; f < search.Evidence.Length; f++) picture($"3-evidence-{IntendedGrid.FamilyLetter(f)}.png", Diagnostics.StagePictures.Evidence(search.Evidence[f], _settings.Evidence.Cap));
        StripWorkshop work = search.Work;
        List<Candidate> candidates = search.Kinds(stage: stage, cancel: cancel);
        ClassChoice.ThreadFirst(candidates);
        cancel.ThrowIfCancellationRequested();
        stage?.Invoke("traces");
        Candidate thread = candidates[0];
        TracedLine?[] before, kept;
        // Followed as a whole block a kind may end up elsewhere than along the lines by which it was told; then it was told by nothing.
        if (Parting.SewnInstead(candidates, work) is { } sewn && Follow(sewn) is var followedSo && MedianGapMm(followedSo.Followed, [.. followedSo.Followed.Select((_, i) => sewn.Probed.GetValueOrDefault(i))]) < LookAlikes.FlankMm)
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
            candidates = search.Kinds(everyKind: true, cancel: cancel);
            ClassChoice.ThreadFirst(candidates);
            thread = candidates[0];
            (before, kept) = Follow(thread);
        }
        // A mark of the thread's own colour is no kind of its own: of one kind of line only the net is asked too, unless that stands far above the ground and is sewn everywhere alike.
        LearntKind? seen = _settings.LearntSight && (candidates.Count > 1 || !(IsSewnWhole() && StandsOut() && AreSewnAlike(kept))) ? Looked() : null;
        if (seen?.Instead(before, candidates, search.Evidence, work, cancel) is { } learnt)
        {
            ClassChoice.PutFirst(candidates, thread = learnt);
            (TracedLine?[] along, TracedLine?[] left) = Follow(thread);
            bool[] astray = OtherThread.HasLeft(along, before);
            (before, kept) = ([.. astray.Select((isSo, i) => isSo ? before[i] : along[i])], [.. astray.Select((isSo, i) => isSo ? kept[i] : left[i])]);
        }
        else if (OtherGround.IsMuchLost(kept, grid) && OtherGround.Of(kept, candidates, work, Follow) is { } more)
        {
            (thread, before, kept) = more;
            ClassChoice.PutFirst(candidates, thread);
        }
        if (seen is not null) kept = seen.Sewn(kept, before);
        TracedLine?[] lines = SecondSight.Of(kept, before, thread, work, grid, colour => search.Seek("the thread's colour", colour));
        if (lines != kept) lines = [.. OneThread.Of(lines, thread, photo, plane, grid, work).Zip(kept, lines).Select(x => x.Third == x.Second ? x.Second : x.First)];
        lines = WithoutStray(lines);
        // What is left between and beside the stretches taken out may be stray in its turn.
        if (seen is not null) lines = WithoutStray(seen.WithoutUnseen(lines));
        lines = [.. lines.Select(l => l is null ? null : GapDoubt.Added(l))];
        if (LitAndShaded.ShadedSide(thread, candidates) is { } shaded) lines = LitAndShaded.Between(lines, work.TraceAll(shaded), grid);
        if (thread.Direction is null) lines = LitAndShaded.BetweenSides(lines, work.ColoursOf, grid);
        double lookAlike = 0;
        (Candidate Other, bool Undecided)? other = LookAlikes.Of(candidates, plane.PixelsPerMm);
        // Of lines plainly sewn it is not asked whether they are.
        LearntKind? verdict = seen is { MovesOnly: false } ? seen : null;
        IReadOnlyList<double>? logOdds = verdict?.Along(lines);
        bool areSewn = Learnt.ThreadSight.AreSewn(logOdds, thread.Score!), undecided = other is { Undecided: true } && !areSewn;
        TracedLine?[] plain = lines;
        if (thread.Score!.IsUnbroken) lines = [.. lines.Select(l => l?.LessSure(thread.Score.FurrowUMm, thread.Score.FurrowUMm / 2))];
        if (thread.Score.IsBroadBand || thread.Score.IsSewnInShadow || (areSewn && thread.Score is { ShadowShare: > 0.35, StitchesShow: false })) lines = [.. lines.Select(l => l?.LessSure(BroadCommonUMm, BroadPlaceUMm))];
        if (other is { } alike) (lines, lookAlike) = work.WidenBy(lines, thread, alike.Other, areSewn ? DecidedShare : UndecidedShare);
        else if (LookAlikes.StitchedToo(candidates) is { } rival && work.WidenBy(lines, thread, rival, UndecidedShare) is var (wider, far) && far > LookAlikes.FlankMm) (lines, lookAlike) = (wider, far);
        else if (thread.Score!.DashCorrelation < ClassScore.PlainStitches && LookAlikes.Beside(candidates) is { } beside)
            (lines, _) = work.WidenBy(lines, thread, beside, DecidedShare);
        if (seen is not null)
        {
            // The net, too, may fill a gap with what hides the thread.
            lines = WithoutStray(seen.Joined(lines, plain, thread.Score!, _settings.Tracing, work.ColourAt));
            logOdds = verdict?.Along(lines);
        }
        bool elsewhere = verdict?.LieElsewhere(lines) ?? false;
        lines = [.. lines.Select(l => l?.WithTrueScatter())];
        if (_settings.ThreadMiddle) lines = ThreadMiddle.Of(photo.Bgr, plane, grid, lines);
        return new BlockTraces
        {
            Lines = lines,
            Seen = thread.Seen(search.Evidence, grid),
            LookAlikeMm = lookAlike,
            LookAlikeUndecided = undecided,
            Classes = [.. candidates.Select(c => c.Score!)],
            LogOdds = logOdds,
            ThreadShare = verdict?.ThreadShare,
            LieElsewhere = elsewhere,
        };

        static TracedLine?[] WithoutStray(TracedLine?[] traced) => [.. traced.Select(l => l is null ? null : StrayParts.Without(l))];

        // Unless they are a mark's dashes the net can tell of lines plainly sewn no more than where exactly they run, and of those far above the ground, and hardly shaded, not even that.
        LearntKind? Looked()
        {
            bool isSewn = IsSewnWhole() && !LearntKind.SeesElsewhere(photo.Bgr, plane, grid, kept, cancel);
            return isSewn && StandsOut() ? null : LearntKind.Look(photo.Bgr, plane, grid, thread, isSewn, cancel);
        }

        // Far above the ground, and hardly shaded.
        bool StandsOut() => thread.Score is { Contrast: > 12, ShadowShare: < 0.35 };

        // Single stitches plain in the lines' very middle, and every line there from end to end.
        bool IsSewnWhole() => thread.Score is { DashCorrelation: > 0.4, ChangesInTheMiddle: true, Contrast: > 5 } && kept.All(l => l is { OpenCoverage: > 0.85 });

        // Of eight plainly sewn blocks of two makers no long line had less than two thirds of the usual evenness but one (0.5); those that followed chalk for a part had 0.3 to 0.7.
        static bool AreSewnAlike(TracedLine?[] lines)
        {
            const double longMm = 40, share = 0.6;
            double[] dashes = [.. lines.OfType<TracedLine>().Where(l => l.Line.LengthMm > longMm).Select(l => l.DashCorrelation)];
            return dashes.Length == 0 || dashes.Min() > share * UpperMedian.Of(dashes);
        }

        (TracedLine?[] Followed, TracedLine?[] Kept) Follow(Candidate kind)
        {
            TracedLine?[] all = OneThread.OntoTheStitches(work.TraceAll(kind), kind, work);
            return (all, OneThread.Of(Consistency.WithoutStrangers(all, grid, kind.Direction is not null), kind, photo, plane, grid, work));
        }
    }

    /// <summary>Median distance of two traces of the same lines, mm.</summary>
    private static double MedianGapMm(IReadOnlyList<TracedLine?> lines, TracedLine?[] others) =>
        UpperMedian.Of(lines.Zip(others).Where(p => p is { First: not null, Second: not null }).SelectMany(p =>
        {
            Dictionary<double, double> other = p.Second!.AlongMm.Zip(p.Second.DeviationMm).ToDictionary(x => x.First, x => x.Second);
            return p.First!.AlongMm.Zip(p.First.DeviationMm).Where(x => other.ContainsKey(x.First)).Select(x => Math.Abs(x.Second - other[x.First]));
        }));
}
