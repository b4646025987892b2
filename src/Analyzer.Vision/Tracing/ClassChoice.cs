using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>Which kind of line is the thread: the one whose score is best, or one close behind it that sees as much of everything and more of one thing.</summary>
internal static class ClassChoice
{
    /// <summary>Sorts by score, the thread first.</summary>
    public static void ThreadFirst(List<Candidate> candidates)
    {
        candidates.Sort((a, b) => b.Score!.Score.CompareTo(a.Score!.Score));
        Candidate best = candidates[0];
        PutFirst(candidates, ByRule(best, candidates) ?? best);
        if (NotDrawn(candidates[0], candidates) is { } sewn) PutFirst(candidates, sewn);
    }

    private static Candidate? ByRule(Candidate best, List<Candidate> candidates) =>
        StandsOutItself(best, candidates) ?? SeesMoreThan(best, candidates) ?? SeesMoreLinesThan(best, candidates) ?? IsThinnerAndFreerThan(best, candidates) ?? IsFreeOfTheMark(best, candidates) ?? IsClearerThan(best, candidates) ?? IsNoFlank(best, candidates) ?? HasThreadsProfile(best, candidates) ?? IsStitchedBeside(best, candidates) ?? IsPlainlyDashed(best, candidates) ?? StandsOutEverywhere(best, candidates);

    /// <summary>Lines that would be refused as drawn or printed give way to ones hardly less like thread, seen as whole, that would not. Bright ones that may hide the thread are taken out of the photo instead.</summary>
    private static Candidate? NotDrawn(Candidate best, List<Candidate> candidates)
    {
        const double asGood = 0.5;
        ClassScore b = best.Score!;
        return !IsDrawn(b) || b.MayHideThread ? null : candidates.FirstOrDefault(c => c != best && c.Score is { MisfitShare: < 0.05, ShadowShare: < 0.5 } a && !IsDrawn(a) && !a.WandersInMark && a.Score > b.Score - asGood
            && a.FoundShare >= b.FoundShare && a.Coverage >= b.Coverage - 0.02 && a.Contrast > 0.5 * b.Contrast);

        static bool IsDrawn(ClassScore c) => c.LooksDrawn || c.IsRuledDashes;
    }

    /// <summary>Moves one of the kinds to the front, where the thread stands.</summary>
    public static void PutFirst(List<Candidate> candidates, Candidate thread)
    {
        candidates.Remove(thread);
        candidates.Insert(0, thread);
    }

    /// <summary>
    /// Beside a thread that stands out plainly its ground seems to be a line of the opposite colour: without stitches, one-sided, and with no thread's profile. The thread is seen hardly less clearly then, with a
    /// thread's profile and no shadow.
    /// </summary>
    private static Candidate? StandsOutItself(Candidate best, List<Candidate> candidates)
    {
        const double noProfile = 0.06, oneSided = 0.4, opposite = -0.6, asGood = 0.5, nearlyAsClear = 0.6;
        ClassScore b = best.Score!;
        if (best.Direction is not { } flank || b.DashCorrelation >= ClassScore.PlainStitches || b.MisfitShare < noProfile || b.ShadowShare < oneSided) return null;
        return candidates.FirstOrDefault(c => c is { Direction: { } d, Score: { MisfitShare: < ClassScore.ClearMisfitShare, ShadowShare: < 0.15 } a } && d.Direction.Cosine(flank.Direction) < opposite && a.Score > b.Score - asGood
            && a.Contrast > nearlyAsClear * b.Contrast && a.Coverage >= b.Coverage - 0.02 && a.FoundShare >= b.FoundShare);
    }

    /// <summary>
    /// A thread of changing colour has stitches in each of its colours, and each loses it in places. Where the search that asks for no colour sees as much of
    /// everything, and the best of the colours does not see it all along, it is to be followed.
    /// </summary>
    private static Candidate? SeesMoreThan(Candidate best, List<Candidate> candidates)
    {
        const double allAlong = 0.95, asGood = 0.3;
        ClassScore b = best.Score!;
        if (best.Direction is null || b.DashCorrelation < ClassScore.PlainStitches || b.Coverage >= allAlong) return null;
        return candidates.FirstOrDefault(c => c is { Direction: null, Score: { } a } && a.Score > b.Score - asGood
            && a.Contrast >= b.Contrast && a.DashCorrelation >= b.DashCorrelation && a.DashRatio >= b.DashRatio && a.Coverage >= b.Coverage);
    }

    /// <summary>A kind of line as dashed, as clear and as whole as the best, found where that one is missing: light from the side may turn a thread of the cloth's own colour round from one family to the next.</summary>
    private static Candidate? SeesMoreLinesThan(Candidate best, List<Candidate> candidates)
    {
        const double more = 0.1, asGood = 1.2;
        ClassScore b = best.Score!;
        return candidates.FirstOrDefault(c => c.Score is { } a && a.FoundShare > b.FoundShare + more && a.DashCorrelation > ClassScore.PlainStitches && a.MisfitShare < 0.05 && a.Score > b.Score - asGood
            && a.DashCorrelation >= b.DashCorrelation && a.Contrast >= b.Contrast && a.Coverage >= b.Coverage);
    }

    /// <summary>
    /// Of two kinds of line seen equally well all along, and neither plainly dashed, the much narrower one that sways much more is the thread; the other goes now along it, now along a
    /// pen's calm broad line.
    /// </summary>
    private static Candidate? IsThinnerAndFreerThan(Candidate best, List<Candidate> candidates)
    {
        ClassScore b = best.Score!;
        if (b.DashCorrelation >= ClassScore.PlainStitches) return null;
        return candidates.FirstOrDefault(c => c != best && c is { Direction: not null, Score: { } a } && a.Score > b.Score - 1
            && a.Contrast > Math.Max(5, 0.7 * b.Contrast) && a.Coverage >= 0.95 && a.ShadowShare < 0.5 && a.MisfitShare <= Math.Min(ClassScore.ClearMisfitShare, b.MisfitShare)
            && a.WidthMm <= 0.6 * b.WidthMm && a.SwayMm >= 1.5 * b.SwayMm);
    }

    /// <summary>
    /// Of a ruled mark and a line that sways by hand the second is the thread, if it is seen as whole and has a thread's own profile. A colour that is a ruled mark's once the other
    /// colours are held against it follows the mark and the thread by turns, and is none either.
    /// </summary>
    private static Candidate? IsFreeOfTheMark(Candidate best, List<Candidate> candidates)
    {
        const double asGood = 1.2, mostLines = 0.85;
        ClassScore b = best.Score!;
        if (best.Direction is not { } mark || b.DashCorrelation >= ClassScore.PlainStitches || !candidates.Any(c => c.Direction?.Direction == mark.Direction && c.Score!.IsRuledColour)) return null;
        // Whatever shows, the mark too, is not free of it.
        return candidates.FirstOrDefault(c => (c.Direction is not null || c.Marks.Count > 0) && c.Direction?.Direction != mark.Direction && c.Score is { } a && a.Score > b.Score - asGood
            && a.FoundShare > mostLines && a.Contrast > Math.Max(5, (b.IsRuledColour ? 0.35 : 0.7) * b.Contrast) && a.Coverage >= b.Coverage
            && a.MisfitShare <= (b.IsRuledColour ? ClassScore.ClearMisfitShare : Math.Min(ClassScore.ClearMisfitShare, b.MisfitShare)) && a.ShadowShare < 0.35
            && a.SwayMm >= 1.3 * b.SwayMm && a.SwayMm > (b.IsRuledColour ? 1.5 : 1) * ClassScore.HandSwayMm);
    }

    /// <summary>Of two kinds of line without plain dashes that sway alike, the one that is clearer, with a thread's own profile and less of a shadow: the other is the shade beside it.</summary>
    private static Candidate? IsClearerThan(Candidate best, List<Candidate> candidates)
    {
        ClassScore b = best.Score!;
        if (b.DashCorrelation >= ClassScore.PlainStitches) return null;
        return candidates.FirstOrDefault(c => c != best && c.Score is { } a && a.Score > b.Score - 0.5
            && a.Contrast >= 1.3 * b.Contrast && a.Coverage >= b.Coverage && a.MisfitShare <= Math.Min(ClassScore.ClearMisfitShare, 0.6 * b.MisfitShare) && a.ShadowShare <= b.ShadowShare
            && a.SwayMm >= 0.9 * b.SwayMm && a.SwayMm > ClassScore.HandSwayMm && (a.DashCorrelation >= b.DashCorrelation - 0.02 || b.DashCorrelation < ClassScore.EvenStitches));
    }

    /// <summary>
    /// A line lighter than the cloth that is one-sided nearly as much as it is tall is the lit flank of a furrow: where a dark line is seen as clearly and as whole, with a thread's own
    /// profile and hardly a shadow, that is the thread in it. Its stitches break the flank's light too, so the flank may be dashed as well; not far more clearly than the thread, unless it is far fainter.
    /// </summary>
    private static Candidate? IsNoFlank(Candidate best, List<Candidate> candidates)
    {
        const double asGood = 1.3, nearlyAsDashed = 0.12, lessShadow = 0.4, nearlyAsClear = 0.85, farClearer = 1.4, threadsMisfit = 0.04, evenlyDashed = 0.35;
        ClassScore b = best.Score!;
        if (best.Direction is not { Direction.L: > 0 } || b.DashCorrelation >= evenlyDashed || b.ShadowShare < 0.8) return null;
        return candidates.FirstOrDefault(c => c is { Direction.Direction.L: < 0, Score: { } a } && a.Score > b.Score - asGood && a.FoundShare >= b.FoundShare - 0.1
            && a.Contrast >= nearlyAsClear * b.Contrast && a.Coverage >= b.Coverage - 0.02 && a.MisfitShare <= threadsMisfit && a.ShadowShare <= lessShadow * b.ShadowShare
            && a.WidthMm < b.WidthMm && (a.DashCorrelation >= b.DashCorrelation - nearlyAsDashed || a.Contrast >= farClearer * b.Contrast));
    }

    /// <summary>Where the thread of the underside pokes through, its dots lie beside the thread at every stitch, as even as the stitches: of two dashed kinds of line the clearer one with a thread's own profile is the thread, if the other has none.</summary>
    private static Candidate? HasThreadsProfile(Candidate best, List<Candidate> candidates)
    {
        const double asGood = 1.8, noProfile = 0.08, clearer = 1.4;
        ClassScore b = best.Score!;
        if (b.DashCorrelation < ClassScore.PlainStitches || b.MisfitShare < noProfile) return null;
        return candidates.FirstOrDefault(c => c is { Direction: not null, Score: { } a } && a.Score > b.Score - asGood && a.DashCorrelation >= ClassScore.PlainStitches && a.FoundShare >= b.FoundShare
            && a.Contrast >= clearer * b.Contrast && a.Coverage >= b.Coverage && a.MisfitShare <= ClassScore.ClearMisfitShare / 2 && a.ShadowShare <= b.ShadowShare && a.WidthMm < b.WidthMm);
    }

    /// <summary>Of a clear line as straight as a ruler without even stitches and one beside it with them, seen as whole and with a thread's profile, the second is the thread.</summary>
    private static Candidate? IsStitchedBeside(Candidate best, List<Candidate> candidates)
    {
        const double asGood = 0.5, mostLines = 0.9, someStitches = 0.18, noStitches = 0.06;
        ClassScore b = best.Score!;
        if (!b.IsRuledColour || b.DashCorrelation >= noStitches) return null;
        return candidates.FirstOrDefault(c => c is { Direction: { } d, Score: { ChangesInTheMiddle: true } a } && d.Direction != best.Direction!.Direction && a.Score > b.Score - asGood && a.FoundShare > mostLines
            && a.DashCorrelation >= someStitches && a.Coverage >= b.Coverage && a.MisfitShare <= ClassScore.ClearMisfitShare && a.SwayMm >= ClassScore.StraightestByHandMm && a.SwayMm > b.SwayMm && a.ShadowShare < 0.35 && a.Contrast > 5);
    }

    /// <summary>Chalk that crumbles changes along its middle as stitches do, but at no even distance: of two kinds of line as good as each other the plainly dashed one with the better profile is the thread.</summary>
    private static Candidate? IsPlainlyDashed(Candidate best, List<Candidate> candidates)
    {
        const double asGood = 0.5, noStitches = 0.1, better = 0.7, asClear = 0.6;
        ClassScore b = best.Score!;
        if (b.DashCorrelation >= noStitches) return null;
        return candidates.FirstOrDefault(c => c is { Direction: not null, Score: { } a } && a.Score > b.Score - asGood && a.DashCorrelation >= ClassScore.PlainStitches && a.FoundShare >= b.FoundShare
            && a.Contrast >= asClear * b.Contrast && a.Coverage >= b.Coverage && a.MisfitShare <= better * b.MisfitShare && a.ShadowShare <= b.ShadowShare);
    }

    /// <summary>
    /// On a block pieced of light and dark cloth one thread is darker than its ground here and lighter there, and a kind of one colour follows it here and its lit flank there. What shows in any
    /// colour is then far clearer, with stitches in its middle, a thread's own profile and hardly a shadow.
    /// </summary>
    private static Candidate? StandsOutEverywhere(Candidate best, List<Candidate> candidates)
    {
        const double farClearer = 1.8, half = 0.5, asGood = 0.5;
        ClassScore b = best.Score!;
        if (best.Direction is null || b.DashCorrelation >= ClassScore.PlainStitches) return null;
        return candidates.FirstOrDefault(c => c is { Direction: null, Score: { ChangesInTheMiddle: true, TextureHeight: > 0.4 } a } && a.Score > b.Score - asGood && a.FoundShare > 0.9
            && a.Contrast >= farClearer * b.Contrast && a.Coverage >= b.Coverage && a.MisfitShare <= Math.Min(ClassScore.ClearMisfitShare, half * b.MisfitShare) && a.ShadowShare <= half * b.ShadowShare);
    }
}
