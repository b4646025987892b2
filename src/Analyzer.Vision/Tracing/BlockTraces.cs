using Analyzer.Core.Pattern;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>A seen line as angle and place, before it is compared with any intended grid.</summary>
/// <param name="Family">Family whose direction it was found in.</param>
/// <param name="Strength">Height of its Hough peak in noise units.</param>
public sealed record SeenLine(int Family, Core.Geometry.BlockPoint From, Core.Geometry.BlockPoint To, double Strength);

/// <summary>Everything the photo shows of the stitching: intended lines as stitched, every clear line, and how thread-like it all is.</summary>
public sealed record BlockTraces
{
    /// <summary>One entry per intended line, in the grid's order; null where no line was found.</summary>
    public required IReadOnlyList<TracedLine?> Lines { get; init; }

    public required IReadOnlyList<SeenLine> Seen { get; init; }

    /// <summary>
    /// Distance between the thread taken and its nearest look-alike where nothing decides between them, mm (median over the lines); 0 where it is decided.
    /// Half of it is in every line's common uncertainty.
    /// </summary>
    public double LookAlikeMm { get; init; }

    /// <summary>Nothing in the photo speaks for the one more than for the other.</summary>
    public bool LookAlikeUndecided { get; init; }

    /// <summary>Which kind of line colour was taken for the thread, and how it scored against the others.</summary>
    public required IReadOnlyList<ClassScore> Classes { get; init; }

    /// <summary>Mean log odds of thread along every line as the net sees it, not a number where there is no line or the net did not look there; null where nobody asked.</summary>
    internal IReadOnlyList<double>? LogOdds { get; init; }

    /// <summary>Whether the net sees thread along most of the lines: what looks drawn, printed or shaded is sewn all the same, then.</summary>
    internal bool AreSeenSewn => Thread is { } thread && Learnt.ThreadSight.AreSewn(LogOdds, thread);

    /// <summary>Share of the lines' length along which the net sees thread somewhere near them; null where nobody asked.</summary>
    internal double? ThreadShare { get; init; }

    /// <summary>Whether the lines were followed beside the thread that the net sees, see <see cref="LearntKind.LieElsewhere"/>.</summary>
    internal bool LieElsewhere { get; init; }

    /// <summary>Whether something beside the thread may have been followed: the net sees it elsewhere, and no even stitches show along what was followed.</summary>
    internal bool MayLieBesideThread => LieElsewhere && !HasEvenStitches && !AreSeenSewn && !AreSeenUnsewn;

    /// <summary>
    /// Whether the net sees hardly any thread along the whole grid, and no even stitches show. Of 16 fresh blocks of ours with marks alone it saw thread along up to 5 %; of 60 stitched ones of ours and of an unrelated maker along 37 % and more, of
    /// five real ones along 40 % and more.
    /// </summary>
    internal bool AreSeenUnsewn => ThreadShare < 0.12 && !HasEvenStitches;

    /// <summary>Whether it sees thread along less than along any of those.</summary>
    internal bool AreHardlySeenSewn => ThreadShare < 0.35 && !HasEvenStitches;

    /// <summary>
    /// Lines without even stitches of which the net cannot say whether they are sewn: as straight as a ruler, or bright and nearly as straight, so that they may be marks that hide the thread.
    /// </summary>
    internal bool MayBeDrawnUnseen => Thread is { } thread && !HasEvenStitches && LogOdds?.Where(double.IsFinite).ToArray() is { Length: > 2 } seen
        && ((thread.MayBeDrawn && UpperMedian.Of(seen) < 0.3) || (thread.MayHideThread && !AreSeenSewn));

    private bool HasEvenStitches => Thread is { DashCorrelation: >= ClassScore.PlainStitches };

    public ClassScore? Thread => Classes.Count == 0 ? null : Classes[0];
}

/// <summary>One kind of line colour and how much it behaves like stitching.</summary>
/// <param name="Name">"any colour" or "colour 1" and so on.</param>
/// <param name="FoundShare">Share of the intended lines that show in it.</param>
/// <param name="Contrast">Thread against noise per 1/8 mm.</param>
/// <param name="DashCorrelation">Median over probed lines.</param>
/// <param name="DashRatio">Median over probed lines.</param>
public sealed record ClassScore(string Name, double Score, double FoundShare, double Contrast, double DashCorrelation, double DashRatio, double Coverage, double WobbleMm)
{
    /// <summary>Dashes as plain as this (<see cref="DashCorrelation"/>) are stitches.</summary>
    internal const double PlainStitches = 0.25;

    /// <summary>Median sway of its probed lines within a few centimetres, mm, see <see cref="Core.Deviation.HandSway"/>; null where all are too short.</summary>
    public double? SwayMm { get; init; }

    /// <summary>Misfit of the thread's profile over its height.</summary>
    public double MisfitShare { get; init; }

    /// <summary>One-sided shadow over the thread's height.</summary>
    public double ShadowShare { get; init; }

    /// <summary>How far from the furrow's centre, as followed, the thread was found in it, mm.</summary>
    internal double InFurrowMm { get; init; }

    /// <summary>Whether whole furrows were followed, and the thread found in them.</summary>
    internal bool FollowsFurrow { get; init; }

    /// <summary>Width of the thread in its profile, mm.</summary>
    public double WidthMm { get; init; }

    /// <summary>How much more changes along the line than along the ground beside it, where that is greatest; how far from the line that is, and how wide, mm.</summary>
    public double TextureHeight { get; init; }

    public double TextureAtMm { get; init; }

    public double TextureWidthMm { get; init; }

    /// <summary>A narrow band along the line changes more than the ground: single stitches, or a patchy mark no wider than thread.</summary>
    internal bool HasNarrowTexture => TextureHeight > 0.25 && TextureWidthMm is > 0 and <= 0.75;

    /// <summary>That band is the lines' very middle, as with stitches; a print or pile changes anywhere.</summary>
    internal bool ChangesInTheMiddle => HasNarrowTexture && Math.Abs(TextureAtMm) < 0.15;

    /// <summary>Whether single stitches show in this kind of line: by their even length, or by what changes along the line's very middle.</summary>
    public bool StitchesShow => DashCorrelation >= PlainStitches || (ChangesInTheMiddle && (TextureHeight > 0.4 || DashCorrelation >= 0.15))
        // Plain stitches whose lit side changes most: still within the thread's own width.
        || (HasNarrowTexture && TextureHeight > 1.5 && DashCorrelation >= 0.1 && Math.Abs(TextureAtMm) < Math.Min(0.25, WidthMm / 2));

    /// <summary>
    /// Lines of one colour, nearly all of them, far above the noise, with stitches at even distances and in their very middle: nothing else in the photo can be
    /// more like stitching, only seen a little better or worse.
    /// </summary>
    internal bool IsPlainlyStitched => Direction is not null && FoundShare > 0.95 && Coverage > 0.9 && Contrast > 10 && DashCorrelation > 0.5 && HasNarrowTexture && TextureHeight > 0.8
        && Math.Abs(TextureAtMm) < 0.1 && InFurrowMm < 0.1;

    /// <summary>Flat, nearly straight and without stitches, as a line along a ruler is: sewing pulls a furrow, and a hand sways; the more is seen of stitches, the less it need sway. A band of change broader than thread is a patchy mark, if it is as straight as one.</summary>
    public bool LooksRuled => DashCorrelation < 0.1 && ShadowShare < 0.1 && WobbleMm < (StitchesShow ? 0.12 : ChangesInTheMiddle ? 0.15 : 0.2) && !(StitchesShow && TextureWidthMm < 0.7);

    /// <summary>Looks ruled, and is not seen plainly to sway within a few centimetres.</summary>
    public bool LooksDrawn => !IsThinAsThread && LooksDrawnButForWidth;

    private bool LooksDrawnButForWidth => IsRuledClearly || (LooksRuled && !SwaysByHand && !SwaysClearly && !MaySwayByHand);

    /// <summary>A little more sway than any drawn line had, in lines that wander as a whole too: a steady hand's, perhaps. Worth a caution, not a refusal.</summary>
    internal bool MaySwayByHand => SwayMm >= 0.026 && WobbleMm > 0.1 && IsSeenClearly(5) && ShadowShare < 0.1 && TextureWidthMm < 0.7;

    /// <summary>Plain to see nearly all along and swaying as no line along a ruler does, whatever else is seen of it.</summary>
    public bool SwaysPlainly => WobbleMm > 0.22 && Coverage > 0.9 && Contrast > 4 && FoundShare > 0.8 && MisfitShare < 0.05 && ShadowShare < 0.35;

    /// <summary>
    /// Lines drawn along a ruler sway by less than the first, mm; seen plainly and swaying by more than the second, they were led by hand; no thread seen clearly swayed by less than the third. Drawn lines of our invented
    /// blocks sway by up to 0.025 mm, threads without even stitches, of four unrelated photo makers, by 0.03 to 0.19 mm, one in ten by less than 0.045 mm.
    /// </summary>
    internal const double RuledSwayMm = 0.03, HandSwayMm = 0.045, StraightestByHandMm = 0.02;

    /// <summary>A profile that fits a thread's better than this is no accident of ground and print.</summary>
    internal const double ClearMisfitShare = 0.03;

    /// <summary>As straight as a ruler, as far as is seen, and without even stitches: few threads are, and most drawn lines.</summary>
    public bool MayBeDrawn => (DashCorrelation < 0.1 && !StitchesShow && SwayMm < StraightestByHandMm) || (DashCorrelation < EvenStitches && SwayMm < RuledSwayMm && IsSeenClearly(10)) || (IsThinAsThread && LooksDrawnButForWidth);

    /// <summary>Plain to see nearly all along, as narrow as thread, and swaying within a few centimetres as no line along a ruler does.</summary>
    public bool SwaysByHand => SwayMm > HandSwayMm && Coverage > 0.9 && Contrast > 2.5 && FoundShare > 0.7 && MisfitShare < 0.06 && ShadowShare < 0.35 && !(TextureWidthMm > 0.7 && TextureHeight > 0.5);

    /// <summary>More sway than a ruler's line has, seen so clearly that no noise can feign it.</summary>
    internal bool SwaysClearly => SwayMm >= RuledSwayMm && IsSeenClearly(10) && ShadowShare < 0.1;

    /// <summary>So much more sway than any drawn line has that it need not be seen so clearly.</summary>
    private bool SwaysWidely => SwayMm > 1.5 * HandSwayMm && Contrast > 5 && (MisfitShare < ClearMisfitShare || IsNarrowInShade);

    /// <summary>A dark line as narrow as thread, with the shade beside it that sewing gives the cloth and no mark has: the shade is what makes its profile fit less well, and what changes beside it.</summary>
    private bool IsNarrowInShade => Direction is { L: < 0 } && ShadowShare is > 0.3 and < 1 && WidthMm < 0.5 && Coverage > 0.97 && MisfitShare < 0.07;

    /// <summary>Seen nearly as clearly, without even stitches, and straighter than a hand leads a needle along a ruler: drawn, however patchy the chalk.</summary>
    internal bool IsRuledClearly => SwayMm < StraightestByHandMm && IsSeenClearly(7) && DashCorrelation < (HasNarrowTexture ? EvenStitches : SomeStitches);

    /// <summary>
    /// Seen plainly all along, thinner than pens and chalk draw, and neither as straight as their lines along a ruler nor wandering as little as a whole: a thread led along a ruler with small stitches, very likely. Worth a
    /// caution, not a refusal. Nearly all clear drawn lines of five unrelated photo makers were broader than 0.46 mm, or swayed by less than 0.005 mm and wandered by less than 0.05 mm; none swayed by more than 0.025 mm, and
    /// what changed in the broader ones was a band of more than half a millimetre.
    /// </summary>
    internal bool IsThinAsThread => WidthMm <= (SwayMm > 0.025 || (ChangesInTheMiddle && TextureHeight > 1 && TextureWidthMm < 0.46) ? 0.52 : 0.45) && Contrast > 7 && MisfitShare < 0.04 && Coverage > 0.97 && FoundShare > 0.6
        && SwayMm >= 0.008 && WobbleMm > 0.08 && ShadowShare < 0.5;

    /// <summary>
    /// Plain even dashes along lines straighter than nearly any thread, without the shade of a furrow: a printed or drawn dashed line. The least sway within a few centimetres of 340 plainly stitched blocks of six unrelated
    /// photo makers was 0.011 mm; a seventh sewed straighter, in furrows.
    /// </summary>
    public bool IsRuledDashes => DashCorrelation > 0.3 && SwayMm < 0.005 && Contrast > 4 && FoundShare > 0.7 && ShadowShare < 0.3;

    /// <summary>No even stitches to speak of, nothing that changes along the middle, and no profile of a thread's: worth a caution, however it sways.</summary>
    public bool HasNeitherStitchesNorProfile => DashCorrelation < EvenStitches && !StitchesShow && MisfitShare > 0.05;

    /// <summary>Lines of one colour, most of them, without stitches and as straight as a ruler.</summary>
    internal bool IsRuledColour => Direction is not null && FoundShare > 0.7 && Contrast > 4 && DashCorrelation < 0.1 && MisfitShare < 0.05 && SwayMm < StraightestByHandMm;

    /// <summary>Clear lines lighter than the cloth that may well be drawn, as chalk and silver pencil are, and outshine a thread beside them.</summary>
    internal bool MayHideThread => Direction is { L: > 0 } && FoundShare > 0.7 && IsSeenClearly(5) && ShadowShare < 0.15 && DashCorrelation < SomeStitches && (LooksDrawn || MayBeDrawn || SwayMm < RuledSwayMm);

    private bool IsSeenClearly(double contrast) => Contrast > contrast && MisfitShare < ClearMisfitShare;

    /// <summary>So much of an even distance between stitches no mark has: a broader shade is a furrow's then.</summary>
    internal const double EvenStitches = 0.15;

    /// <summary>As much may come of a print that shows through a pen's line, where nothing changes in the line's middle as stitches do.</summary>
    private const double SomeStitches = 0.2;

    /// <summary>
    /// Dark lines, plain to see nearly all along, with the shade that sewing gives the cloth or the sway of a hand, though single stitches do not show: a thread
    /// with no gaps between its stitches, or the furrow that hides it.
    /// </summary>
    public bool IsUnbroken => !StitchesShow && !LooksDrawn && Direction is not { L: > 0 } && FoundShare > 0.7 && Coverage > 0.93 && Contrast > 1.5 && MisfitShare < 0.1 && ShadowShare < 2 && WidthMm < (DashCorrelation < EvenStitches ? 0.7 : 0.85)
        && (ShadowShare > 0.35 || WidthMm > 0.5 || Contrast < 2.2 || DashRatio < 1.2);

    /// <summary>What changes along the lines is a broad band to one side of them, without even stitches: a mark is followed, and the thread wanders beside it.</summary>
    public bool WandersInMark => (DashCorrelation < 0.1 && !SwaysClearly && !SwaysWidely && TextureWidthMm >= 0.75 && TextureHeight is > 0.5 and < 1.6 && Math.Abs(TextureAtMm) > 0.06)
        // Or something faint is followed in a patchy band twice as broad as any thread.
        || (DashCorrelation < 0.1 && TextureWidthMm >= 0.9 && TextureHeight > 0.5 && Contrast < 4 && Math.Abs(TextureAtMm) > 0.06)
        // Or what is followed is broader than any thread, and what changes in it as well.
        || (DashCorrelation < 0.1 && WidthMm > BroadMm && TextureWidthMm >= 0.75 && TextureHeight > 0.5)
        // Or it is as straight as a ruler all along, with change in a band too broad for a thread.
        || (DashCorrelation < 0.2 && TextureWidthMm >= 0.8 && TextureHeight > 0.5 && SwayMm < RuledSwayMm && Contrast > 4 && MisfitShare < 0.05 && ShadowShare < 0.2);

    /// <summary>What changes along the lines is a band broader than stitches, and no even stitches show: a mark and a thread in it that cannot be told apart, or a patchy mark.</summary>
    internal bool IsBroadBand => DashCorrelation < 0.1 && TextureWidthMm > 0.7 && TextureHeight > 0.5;

    /// <summary>No thread that is seen clearly looks broader, mm.</summary>
    private const double BroadMm = 0.58;

    /// <summary>Broader than any thread. A JPEG keeps colour at half its resolution: a thread told by its colour alone looks broader.</summary>
    public bool IsBroad(double pixelsPerMm) =>
        WidthMm > BroadMm + (Direction is { } d && d.A * d.A + d.B * d.B > 9 * d.L * d.L ? 1 / pixelsPerMm : 0);

    /// <summary>
    /// The furrow's shadow is taller than the thread and the thread's profile fits badly: such a line may be a cloth's rough edge, which changes along itself as
    /// stitches do. Only even stitches speak for a thread then, or change in the very middle of a line that sways as a hand does.
    /// </summary>
    public bool IsMostlyShadow => HasTallShadow && !IsSewnInShadow;

    /// <summary>Stitches in the middle of a line led by hand, though the furrow's shadow is taller than the thread in it.</summary>
    internal bool IsSewnInShadow => HasTallShadow && StitchesShow && SwayMm > HandSwayMm && TextureHeight > 0.8 && Coverage > 0.95 && Contrast > 3.5;

    private bool HasTallShadow => ShadowShare > 1 && MisfitShare > 0.1 && DashCorrelation < PlainStitches;

    /// <summary>How far such a line may lie from the thread in it, one standard uncertainty, mm: the taller the shade beside it, and the broader it is, the less is it the thread itself.</summary>
    internal double FurrowUMm => 0.15 * (WidthMm > 0.5 ? 1 : Math.Clamp(ShadowShare, 0.2, 1));

    internal Colour3? Direction { get; init; }

    /// <summary>For each family, how far beside these lines the change along them is greatest, where that is a narrow band of its own; else 0, mm.</summary>
    internal IReadOnlyList<double> TextureBesideMm { get; init; } = [];
}
