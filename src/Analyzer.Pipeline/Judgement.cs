using Analyzer.Core.Causes;
using Analyzer.Core.Pattern;
using Analyzer.Core.Quality;
using Analyzer.Core.Report;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline;

/// <summary>Whether what was found may be believed: refusals and cautions, each decided by more than one sign.</summary>
internal static class Judgement
{
    public const double LeastPixelsPerMm = 3, WantedPixelsPerMm = 5;

    public static Reason NoBlock { get; } = new("no-block", "No block with four corners was found in this photo.",
        "Photograph the whole block with a hand's breadth around it on a plain table, or give the corners yourself with --corners.");

    public static Reason? BeforeMeasuring(BlockPlane plane, CornerChoice corners, Photo photo)
    {
        // Size and place of an outline that is itself in doubt say nothing about the photo.
        if (corners is { Source: "found", Confidence: "low" })
            return new Reason("low-corner-confidence", "The block's corners could not be made out with confidence: " + string.Join("; ", corners.Doubts.Distinct()) + ".",
                "Check the corners in the picture and give them yourself: --corners \"" + CornerText(corners) + "\"");
        if (corners.Corners.ToArray().Any(p => p.X < -1 || p.Y < -1 || p.X > photo.WidthPx || p.Y > photo.HeightPx))
            return new Reason("corner-outside", "A corner of the block lies outside the photo.", "Step back until the whole block and a margin around it are in the picture.");
        if (plane.WorstPixelsPerMm < LeastPixelsPerMm)
            return new Reason("too-few-pixels",
                FormattableString.Invariant($"The block is too small in the photo: {plane.WorstPixelsPerMm:0.0} pixels per millimetre, and at least {LeastPixelsPerMm} are needed."),
                "Go nearer until the block fills most of the picture, or use the camera's full resolution.");
        return null;
    }

    public static string CornerText(CornerChoice corners) =>
        string.Join(' ', corners.Corners.ToArray().Select(p => FormattableString.Invariant($"{p.X:0.0},{p.Y:0.0}")));

    public static AccuracyReport AfterMeasuring(AccuracyReport report, BlockTraces traces, CornerChoice corners, IReadOnlyList<QualityCheck> quality)
    {
        var reasons = new List<Reason>();
        int found = report.Lines.Count(l => l.Status is "measured" or "partial");
        ClassScore? thread = traces.Thread;
        bool unbroken = thread is { IsUnbroken: true }, sewn = traces.AreSeenSewn;
        bool dashless = thread is null || (thread.DashCorrelation < 0.1 && !thread.StitchesShow);
        if (!sewn && (thread is { WandersInMark: true } || (thread is not { DashCorrelation: >= 0.2 } and not { DashCorrelation: >= 0.1, StitchesShow: true } && traces is { LookAlikeUndecided: true, LookAlikeMm: > 0.35 })))
        {
            return Refuse(new Reason("marks-or-thread", "Two sets of lines lie side by side, and the photo does not show which is the thread and which is a drawn mark or a shadow.",
                "Rub or wash out the marks as their maker says, or take the photo nearer and with the light from the other side."));
        }
        if (traces.MayLieBesideThread)
        {
            return Refuse(new Reason("marks-or-thread", "What shows most along the lines seems to lie beside the thread: a bright or dark edge of the furrow, or a drawn mark. Where the thread itself runs would be a guess.",
                "Take the photo nearer, with the light from the other side or from two sides, and without glare; rub or wash out marks as their maker says."));
        }
        bool swaying = dashless && thread is { SwaysPlainly: true }, byHand = dashless && thread is { SwaysByHand: true };
        bool broad = dashless && thread is not null && (thread.MisfitShare > 0.1 || thread.IsBroad(report.Block?.PixelsPerMm ?? LeastPixelsPerMm));
        if (broad && !sewn && !unbroken && !swaying && !byHand)
        {
            return Refuse(new Reason("marks-only", "The lines that show are broad and have no stitches in them: they look like drawn or printed lines.",
                "If the block is stitched, take the photo nearer, in focus, with light from the side."));
        }
        // No hand guides a needle along a ruler to a few hundredths of a millimetre, and at this contrast even stitches would show.
        if (!sewn && found > 2 && (thread is { LooksDrawn: true } || (thread is { DashCorrelation: < 0.1 } and ({ WobbleMm: < 0.05, Contrast: > 6 } or { WobbleMm: < 0.08, Contrast: > 15, ShadowShare: < 0.05 }) && report.Block is { PixelsPerMm: > 6 })))
        {
            return Refuse(new Reason("marks-only", "The lines that show are flat, ruled straight, and have no even stitches in them: they look like drawn or printed lines.",
                "If the block is stitched, take the photo nearer, in focus, with light from the side."));
        }
        if (!sewn && found > 2 && thread is { IsRuledDashes: true })
        {
            return Refuse(new Reason("marks-only", "The lines that show come in even dashes and are straighter than any hand sews: they look like printed or drawn dashes.",
                "If the block is stitched beside them, take the photo nearer, in focus, with light from the side, or rub the marks out as their maker says."));
        }
        if (found > 2 && traces is { MayBeDrawnUnseen: true, AreSeenUnsewn: false })
        {
            return Refuse(new Reason("marks-or-thread", "The lines that show are as straight as a ruler and show no even stitches: they may be drawn lines that outshine the thread beside them, or hide it.",
                "Rub or wash out the marks as their maker says, or take the photo nearer, in focus, with light from the side."));
        }
        bool faint = thread is null || thread.Contrast < (dashless ? 2.2 : !thread.StitchesShow ? 1.6 : thread.TextureHeight > 2 ? 0.5 : 0.8);
        bool shadowed = thread is { ShadowShare: > 0.35, StitchesShow: false } or { IsMostlyShadow: true };
        if (shadowed && !sewn && !unbroken)
        {
            return Refuse(new Reason("shadow-or-thread", "What shows along the lines is mostly the shadow of the furrow or a mark beside the thread, so the thread's own place would be a guess.",
                "Turn the block by a quarter, or light it from two sides, and take the photo again, nearer if you can."));
        }
        if (!sewn && !unbroken && (faint || (dashless && thread!.DashRatio < 1.2)))
        {
            return Refuse(new Reason("faint-thread", "The thread hardly stands out from the cloth in this photo, and its stitches do not show.",
                "Take the photo nearer and in focus, with one light low from the side, so that the stitches cast small shadows."));
        }
        if (found < Math.Max(1, 0.3 * report.Lines.Count))
        {
            return Refuse(new Reason("no-stitching-seen", "No stitched lines could be told from the cloth in this photo.",
                    "Use light from the side, stand square above the block, hold still, and check that size and grid are the ones you stitched."));
        }
        if (traces.AreHardlySeenSewn || (sewn && (broad || shadowed || faint || thread is { LooksDrawn: true } or { IsRuledDashes: true } or { WandersInMark: true })) || unbroken || swaying || (byHand && broad) || (dashless && thread is { LooksRuled: true }) || thread is { MayBeDrawn: true } or { HasNeitherStitchesNorProfile: true })
        {
            reasons.Add(new Reason("no-single-stitches", "Even stitches do not show along these lines, so they may be the furrow beside the thread; the uncertainty allows for that. If you only drew the lines, these numbers are about the drawing.",
                "Take the photo nearer and in focus, with one light low from the side."));
        }
        if (traces.LookAlikeMm > 0.12)
            reasons.Add(new Reason("look-alike", FormattableString.Invariant($"Another set of lines, {traces.LookAlikeMm:0.0} mm beside the thread, looks much like it; the uncertainty allows for it."),
                "Remove the drawn marks, or light the block from the other side, and measure again."));
        if (corners.Confidence == "medium" || (corners.Source == "given" && corners.Doubts.Count > 0))
            reasons.Add(new Reason("check-corners", corners.Doubts.Count == 0 ? "The corners were found, but not beyond doubt." : "About the corners: " + string.Join("; ", corners.Doubts.Distinct()).TrimEnd('.') + ".", "Look at the corners in the picture."));
        foreach (QualityCheck check in quality.Where(q => q.Level == "poor"))
            reasons.Add(new Reason("photo-" + check.Name.ToLowerInvariant().Replace(' ', '-'), $"Photo: {check.Name} is poor.", check.Advice));
        int missing = report.Lines.Count(l => l.Status == "not-found");
        if (missing > 0)
            reasons.Add(new Reason("lines-not-found", $"{missing} of {report.Lines.Count} intended lines were not found.", "If they are stitched, take the photo nearer and with light from the side."));
        return report with { Outcome = reasons.Count == 0 ? Outcomes.Measured : Outcomes.WithCautions, Reasons = reasons };

        AccuracyReport Refuse(Reason reason) => Refused(report, [.. PhotoFaults(quality), reason]);
    }

    /// <summary>What is wrong with the photo itself, where it is refused: that comes first, the rest follows from it.</summary>
    private static IEnumerable<Reason> PhotoFaults(IReadOnlyList<QualityCheck> quality)
    {
        if (IsPoor("brightness")) yield return ReasonCatalogue.TooDark.ToReason();
        if (IsPoor("glare")) yield return ReasonCatalogue.TooBright.ToReason();
        if (quality.Any(q => q is { Name: "sharpness", Level: "poor" } && double.IsFinite(q.Value))) yield return ReasonCatalogue.Blurred.ToReason();

        bool IsPoor(string name) => quality.Any(q => q.Name == name && q.Level == "poor");
    }

    /// <summary>Refuses lines along which hardly any thread is seen anywhere near them, unless they belong to another grid than the one asked for: thread may run elsewhere then.</summary>
    public static AccuracyReport WithThread(AccuracyReport report, BlockTraces traces, IReadOnlyList<QualityCheck> quality) =>
        report.Outcome == Outcomes.NotMeasurable || report.GridSuggestion is not null || !traces.AreSeenUnsewn ? report
            : Refused(report, [.. PhotoFaults(quality), new Reason("marks-only", "Nothing along the lines that show looks sewn: they look like drawn or printed lines, or like the cloth's own.",
                "If the block is stitched, take the photo nearer, in focus, with light from the side, and check that size and grid are the ones you stitched.")]);

    /// <summary>Says so when the lines seen belong to another grid than the intended one, or when the whole grid lies turned or moved.</summary>
    public static AccuracyReport WithGridCheck(AccuracyReport report, BlockTraces traces, IntendedGrid grid)
    {
        if (report.Outcome == Outcomes.NotMeasurable || traces.Seen.Count < 4 || Agrees(report, grid)) return report;
        GridCheck check = GridCheck.Of([.. traces.Seen.Select(s => new FoundLine(s.From, s.To))], grid);
        if (check.Suggestion is not { } suggestion || check.Verdict is not (GridVerdict.Other or GridVerdict.MovedAsAWhole)) return report;
        var reason = new Reason(check.Verdict == GridVerdict.Other ? "other-grid" : "grid-moved", suggestion.Message, "To measure against it, run again with: " + suggestion.CommandOptions);
        return report with { Outcome = Outcomes.WithCautions, Reasons = [reason, .. report.Reasons], GridSuggestion = suggestion };
    }

    /// <summary>Nearly all intended lines found, most of them close to their place: no other grid would do that.</summary>
    private static bool Agrees(AccuracyReport report, IntendedGrid grid)
    {
        double[] off = [.. report.Lines.Where(l => l.OffsetMm.Value is not null).Select(l => Math.Abs(l.OffsetMm.Value!.Value) / grid.Families[l.Family].SpacingMm).Order()];
        return off.Length >= 0.8 * report.Lines.Count && off[off.Length / 2] < 0.06;
    }

    /// <summary>A refusal claims no numbers: every line and crossing keeps its place, without values.</summary>
    private static AccuracyReport Refused(AccuracyReport report, IReadOnlyList<Reason> reasons) => report with
    {
        Outcome = Outcomes.NotMeasurable,
        Reasons = reasons,
        Lines = [.. report.Lines.Select(Unmeasured)],
        Intersections = [.. report.Intersections.Select(n => new IntersectionReport
        {
            Id = n.Id,
            LineIds = n.LineIds,
            IntendedMm = n.IntendedMm,
            MissTriangleMm = n.LineIds.Count >= 3 ? MeasuredValue.Unknown : null,
        })],
        ExtraLines = [],
        Turns = [.. report.Turns.Select(t => t with { CutOffMm = MeasuredValue.Unknown, RadiusMm = MeasuredValue.Unknown, MeetingMm = null })],
        ErrorBudget = null,
    };

    private static LineReport Unmeasured(LineReport line) => new()
    {
        Id = line.Id,
        Family = line.Family,
        Index = line.Index,
        FromMm = line.FromMm,
        ToMm = line.ToMm,
        Status = "unreadable",
    };
}
