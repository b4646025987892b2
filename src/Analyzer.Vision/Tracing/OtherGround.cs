using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// A block pieced of several cloths: a thread that stands out by one colour on this cloth stands out by another on the next. Where the kind of line taken for the thread loses many
/// lines, and another kind runs along the same lines where both are seen, and is seen on more of them, that one is followed.
/// </summary>
internal static class OtherGround
{
    /// <summary>So much of the lines lost is worth a second look, and so much more of the lines must another kind show.</summary>
    private const double ManyLost = 0.1, MuchMore = 1.1;

    /// <summary>How much less like thread the other kind may be, and how clear and dashed it must be; one sought with marks left out goes along thread and marks by turns.</summary>
    private const double AsGood = 1, AsClear = 0.9, AsDashed = 0.05;

    /// <summary>A path this near to a trace follows the same thing, mm; and how many of the lines must be so.</summary>
    private const double SameMm = 0.15, MostLines = 0.8;

    /// <summary>Whether so much is lost that it is worth asking what else there is.</summary>
    public static bool IsMuchLost(TracedLine?[] kept, IntendedGrid grid) => SeenMm(kept) < (1 - ManyLost) * grid.Lines.Sum(l => l.LengthMm);

    /// <param name="kept">What is left of the best kind's lines.</param>
    /// <param name="follow">Traces a kind's lines and leaves out what is no thread: everything followed, and what is kept of it.</param>
    public static (Candidate Thread, TracedLine?[] Followed, TracedLine?[] Kept)? Of(TracedLine?[] kept, IReadOnlyList<Candidate> candidates, StripWorkshop work, Func<Candidate, (TracedLine?[] Followed, TracedLine?[] Kept)> follow)
    {
        Candidate best = candidates[0];
        if (best.MovedMm is not null || best.Score is not { StitchesShow: true }) return null;
        (Candidate Thread, TracedLine?[] Followed, TracedLine?[] Kept)? result = null;
        double most = MuchMore * SeenMm(kept);
        foreach (Candidate other in candidates.Skip(1).Where(c => c.MovedMm is null && c.Marks.Count == 0 && c.Score is { StitchesShow: true, LooksDrawn: false } s && s.Score > best.Score.Score - AsGood && s.Contrast > AsClear * best.Score.Contrast
            && s.DashCorrelation >= best.Score.DashCorrelation - AsDashed && RunsAlong(c)))
        {
            (TracedLine?[] followed, TracedLine?[] own) = follow(other);
            double seen = SeenMm(WithStitches(own, kept));
            if (seen > most) (result, most) = ((other, followed, own), seen);
        }
        return result;

        bool RunsAlong(Candidate other)
        {
            bool[] same = [.. Enumerable.Range(0, kept.Length).Where(i => IsSeen(kept[i])).Select(i => work.GapMm(kept[i]!, other, i) < SameMm)];
            return same.Length >= 2 && same.Count(s => s) >= MostLines * same.Length;
        }
    }

    /// <summary>The lines that were kept before, and those that have the stitches the others have: what was rightly lost is a mark that was not sewn along, and shows in any colour.</summary>
    private static TracedLine?[] WithStitches(TracedLine?[] lines, TracedLine?[] kept)
    {
        const double likeOthers = 0.5, leastTexture = 0.2, leastDash = 0.1;
        TracedLine[] seen = [.. lines.Where(IsSeen).Select(l => l!)];
        double texture = Math.Max(leastTexture, likeOthers * UpperMedian.Of(seen.Select(l => StitchTexture.Middle(l.Texture))));
        double dash = Math.Max(leastDash, likeOthers * UpperMedian.Of(seen.Select(l => l.DashCorrelation)));
        return [.. lines.Where((l, i) => IsSeen(kept[i]) || (IsSeen(l) && (StitchTexture.Middle(l!.Texture) > texture || l.DashCorrelation > dash)))];
    }

    private static bool IsSeen(TracedLine? l) => l is { Coverage: > 0.5, AlongMm.Length: > 3 };

    private static double SeenMm(TracedLine?[] lines) => lines.Where(IsSeen).Sum(l => l!.OpenCoverage * l.Line.LengthMm);
}
