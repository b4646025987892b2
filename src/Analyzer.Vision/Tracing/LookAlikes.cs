namespace Analyzer.Vision.Tracing;

/// <summary>Kinds of line that might as well be the thread as the one taken for it.</summary>
internal static class LookAlikes
{
    /// <summary>
    /// Another kind of line that might as well be the thread: nearly as good a score, another hue, no less dashed, and no clear dashes to decide by; and
    /// whether nothing at all speaks for the one taken.
    /// </summary>
    public static (Candidate Other, bool Undecided)? Of(List<Candidate> candidates, double pixelsPerMm)
    {
        ClassScore best = candidates[0].Score!;
        if (best.DashCorrelation > ClassScore.PlainStitches) return null;
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
    public const double FlankMm = 0.35;

    /// <summary>A kind of line of the opposite shade that shows stitches as well and is hardly less like thread: the thread, or the gaps between its stitches with the mark beside them.</summary>
    public static Candidate? StitchedToo(List<Candidate> candidates)
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
    public static Candidate? Beside(List<Candidate> candidates)
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
}
