using System.Globalization;
using Analyzer.Core.Report;

namespace Analyzer.Core.Quality;

/// <summary>What a reason does to the outcome.</summary>
public enum ReasonWeight
{
    /// <summary>The numbers stand, with a word of care.</summary>
    Caution,

    /// <summary>Nothing can be measured.</summary>
    Refusal,
}

/// <summary>One kind of reason: stable code, weight, what is wrong in general, and what to do.</summary>
public sealed record ReasonKind(string Code, ReasonWeight Weight, string Message, string Advice)
{
    /// <summary>The reason as it stands in a report.</summary>
    public Reason ToReason() => new(Code, Message, Advice);

    /// <summary>The reason with a message that names the place or number in this photo.</summary>
    public Reason ToReason(string message) => new(Code, message, Advice);
}

/// <summary>Every reason this program gives for refusing or for caution, in one table. Codes are stable: scripts may rely on them.</summary>
public static class ReasonCatalogue
{
    public static readonly ReasonKind Blurred = new("blurred", ReasonWeight.Refusal,
        "The photo is blurred: single stitches run into each other.",
        "Tap on the stitching to focus, brace your elbows or use the timer, and take it again in brighter light.");

    public static readonly ReasonKind SlightlyBlurred = new("slightly-blurred", ReasonWeight.Caution,
        "The photo is a little soft, so small wobbles are less sure.",
        "Good enough for a look; for a fair comparison take it again with the phone resting on something.");

    public static readonly ReasonKind TooDark = new("too-dark", ReasonWeight.Refusal,
        "The photo is too dark to tell thread from cloth.",
        "Go to a window on a bright day or switch on two lamps, one on each side; do not use the flash.");

    public static readonly ReasonKind TooBright = new("too-bright", ReasonWeight.Refusal,
        "The photo is so bright that the cloth has burnt out to white.",
        "Turn the exposure down a step (touch the block on the screen and drag the sun symbol down), or step out of the direct sun.");

    public static readonly ReasonKind Glare = new("glare", ReasonWeight.Caution,
        "Light shines back from part of the block; that part could not be read and the rest was measured.",
        "Move the lamp to the side or turn the block a quarter, and leave the flash off.");

    public static readonly ReasonKind TooFewPixels = new("too-few-pixels", ReasonWeight.Refusal,
        "The block is too small in the photo to measure a thread.",
        "Go nearer until the block fills the picture, and send the original file, not a copy from a chat.");

    public static readonly ReasonKind FewPixels = new("few-pixels", ReasonWeight.Caution,
        "The block is small in the photo, so everything is less sure than it could be.",
        "Next time let the block fill the picture; the original photo file is better than one sent through a chat.");

    public static readonly ReasonKind CornerOutside = new("corner-outside", ReasonWeight.Refusal,
        "A corner of the block lies outside the photo.",
        "Step back a little so that all four corners show with a finger's width of margin, and take it again.");

    public static readonly ReasonKind CornersCrossed = new("corners-crossed", ReasonWeight.Refusal,
        "The four corners do not make a block: two sides cross, or a corner is dented inward.",
        "Give the corners in the order top left, top right, bottom right, bottom left, as the photo is seen upright.");

    public static readonly ReasonKind BlockNotFound = new("block-not-found", ReasonWeight.Refusal,
        "No block with four clear edges was found in the photo.",
        "Lay the block on a plain surface of another colour, or mark its four corners yourself.");

    public static readonly ReasonKind LowCornerConfidence = new("low-corner-confidence", ReasonWeight.Caution,
        "The corners of the block were found, but not surely.",
        "Look at the corners on the picture; if one is off, mark it by hand and measure again. Places depend on it, wobble hardly.");

    public static readonly ReasonKind NoStitchingSeen = new("no-stitching-seen", ReasonWeight.Refusal,
        "No stitched lines were found on the block.",
        "If there is stitching, light it from the side so that the threads stand out, or photograph the back if its thread shows better.");

    public static readonly ReasonKind MarksOnly = new("marks-only", ReasonWeight.Refusal,
        "Only drawn marks were found: straight lines without stitches.",
        "Photograph the block after stitching; if it is stitched, go nearer and light it from the side so that single stitches show.");

    public static readonly ReasonKind WrongObject = new("wrong-object", ReasonWeight.Refusal,
        "This does not look like a stitched block.",
        "Photograph one finished practice block from above with all four corners in the picture.");

    public static readonly ReasonKind OtherGrid = new("other-grid", ReasonWeight.Caution,
        "The stitching follows another pattern than the one you gave.",
        "Run again with the pattern suggested in the report, or check the spacing you typed.");

    public static readonly ReasonKind GridMoved = new("grid-moved", ReasonWeight.Caution,
        "The whole pattern is turned or moved against the block.",
        "If that is how you laid the stencil, run again with the lines suggested in the report; if not, check the corners.");

    public static readonly ReasonKind FaintThread = new("faint-thread", ReasonWeight.Caution,
        "The thread hardly differs from the cloth, so its place is less sure.",
        "Light the block low from one side, or practise with a thread of another colour.");

    public static readonly ReasonKind BlockNotFlat = new("block-not-flat", ReasonWeight.Caution,
        "The block does not lie flat: lines of all families bend the same way.",
        "Smooth it out or pin it to a board, and take the photo from straight above. If you press it, mind the iron: some marking inks set with heat.");

    public static readonly ReasonKind StrongTilt = new("strong-tilt", ReasonWeight.Caution,
        "The photo was taken at a slant, so the far side is coarser and the cloth's thickness shifts lines.",
        "Hold the phone level above the middle of the block; the grid or level of the camera app helps.");

    public static readonly ReasonKind LensCurve = new("lens-curve", ReasonWeight.Caution,
        "The lens bends straight lines near the edges of the photo.",
        "Step back and zoom in a little instead of going very near, and keep the block in the middle of the picture.");

    public static readonly ReasonKind SizeDoubtful = new("size-doubtful", ReasonWeight.Caution,
        "The block's shape in the photo does not fit the size you gave.",
        "Measure the finished block from ditch to ditch with a ruler and give that size: quilting draws a block in.");

    public static readonly ReasonKind FewLinesFound = new("few-lines-found", ReasonWeight.Caution,
        "Many of the intended lines were not found.",
        "Look at the picture with the lines: if they are there, light them better; if they are not stitched yet, all is well.");

    public static readonly ReasonKind PartlyUnreadable = new("partly-unreadable", ReasonWeight.Caution,
        "Part of the block could not be read and is left out.",
        "See which part is marked on the picture: a shadow, a shiny spot or a finger is the usual cause.");

    public static readonly ReasonKind CompressedPhoto = new("compressed-photo", ReasonWeight.Caution,
        "The photo was squeezed hard when it was saved or sent, and fine detail is gone.",
        "Copy the original from the phone by cable or cloud instead of through a chat.");

    /// <summary>All kinds, refusals first.</summary>
    public static IReadOnlyList<ReasonKind> All { get; } =
    [
        Blurred, TooDark, TooBright, TooFewPixels, CornerOutside, CornersCrossed, BlockNotFound, NoStitchingSeen, MarksOnly, WrongObject,
        SlightlyBlurred, Glare, FewPixels, LowCornerConfidence, OtherGrid, GridMoved, FaintThread, BlockNotFlat, StrongTilt, LensCurve, SizeDoubtful,
        FewLinesFound, PartlyUnreadable, CompressedPhoto,
    ];

    /// <summary>The kind with a code, or null for a code this version does not know.</summary>
    public static ReasonKind? Find(string code) => All.FirstOrDefault(k => k.Code == code);

    /// <summary>Too few pixels, with the numbers of this photo.</summary>
    public static Reason TooFewPixelsAt(double pixelsPerMm, double neededPerMm) => TooFewPixels.ToReason(string.Create(CultureInfo.InvariantCulture,
        $"The block is too small in the photo: one millimetre is {pixelsPerMm:0.0} pixels, and at least {neededPerMm:0.#} are needed to measure a thread."));

    /// <summary>A corner outside, named.</summary>
    /// <param name="corner">0 top left, 1 top right, 2 bottom right, 3 bottom left.</param>
    public static Reason CornerOutsideAt(int corner) => CornerOutside.ToReason($"The {CornerName(corner)} corner of the block lies outside the photo.");

    /// <summary>Glare, with its share of the block.</summary>
    public static Reason GlareOver(double shareOfBlock) => Glare.ToReason(string.Create(CultureInfo.InvariantCulture,
        $"Light shines back from {100 * shareOfBlock:0} % of the block; that part could not be read and the rest was measured."));

    /// <summary>Lines not found, counted.</summary>
    public static Reason FewLinesFoundOf(int found, int intended) => FewLinesFound.ToReason(string.Create(CultureInfo.InvariantCulture,
        $"Only {found} of the {intended} intended lines were found."));

    /// <summary>Another grid, with the sentence that says which.</summary>
    public static Reason OtherGridLike(GridSuggestion suggestion) => new(OtherGrid.Code, suggestion.Message, $"Run again with {suggestion.CommandOptions}, or check the pattern you gave.");

    /// <summary>The whole grid moved, with the sentence that says how.</summary>
    public static Reason GridMovedBy(GridSuggestion suggestion) => new(GridMoved.Code, suggestion.Message, $"To judge the lines by themselves run again with {suggestion.CommandOptions}; otherwise check the corners.");

    public static string CornerName(int corner) => corner switch
    {
        0 => "top left",
        1 => "top right",
        2 => "bottom right",
        3 => "bottom left",
        _ => throw new ArgumentOutOfRangeException(nameof(corner), corner, "Corners are numbered 0 to 3."),
    };
}
