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
        if (corners.Corners.ToArray().Any(p => p.X < -1 || p.Y < -1 || p.X > photo.WidthPx || p.Y > photo.HeightPx))
            return new Reason("corner-outside", "A corner of the block lies outside the photo.", "Step back until the whole block and a margin around it are in the picture.");
        if (plane.WorstPixelsPerMm < LeastPixelsPerMm)
            return new Reason("too-few-pixels",
                FormattableString.Invariant($"The block is too small in the photo: {plane.WorstPixelsPerMm:0.0} pixels per millimetre, and at least {LeastPixelsPerMm} are needed."),
                "Go nearer until the block fills most of the picture, or use the camera's full resolution.");
        if (corners is { Source: "found", Confidence: "low" })
            return new Reason("low-corner-confidence", "The block's corners could not be made out with confidence: " + string.Join(" ", corners.Doubts),
                "Check the corners in the picture and give them yourself: --corners \"" + CornerText(corners) + "\"");
        return null;
    }

    public static string CornerText(CornerChoice corners) =>
        string.Join(' ', corners.Corners.ToArray().Select(p => FormattableString.Invariant($"{p.X:0.0},{p.Y:0.0}")));

    public static AccuracyReport AfterMeasuring(AccuracyReport report, BlockTraces traces, CornerChoice corners, IReadOnlyList<QualityCheck> quality)
    {
        var reasons = new List<Reason>();
        int found = report.Lines.Count(l => l.Status is "measured" or "partial");
        ClassScore? thread = traces.Thread;
        bool dashless = thread is null || (thread.DashCorrelation < 0.15 && thread.DashRatio < 1.2);
        bool faint = thread is null || thread.Contrast < 0.35;
        if (found < Math.Max(1, 0.3 * report.Lines.Count) || (dashless && faint))
        {
            return report with
            {
                Outcome = Outcomes.NotMeasurable,
                Reasons = [new Reason("no-stitching-seen", "No stitched lines could be told from the cloth in this photo.",
                    "Use light from the side, stand square above the block, hold still, and check that size and grid are the ones you stitched.")],
            };
        }
        if (corners.Confidence == "medium" || (corners.Source == "given" && corners.Doubts.Count > 0))
            reasons.Add(new Reason("check-corners", string.Join(" ", corners.Doubts.DefaultIfEmpty("The corners were found, but not beyond doubt.")), "Look at the corners in the picture."));
        foreach (QualityCheck check in quality.Where(q => q.Level == "poor"))
            reasons.Add(new Reason("photo-" + check.Name.ToLowerInvariant().Replace(' ', '-'), $"Photo: {check.Name} is poor.", check.Advice));
        int missing = report.Lines.Count(l => l.Status == "not-found");
        if (missing > 0)
            reasons.Add(new Reason("lines-not-found", $"{missing} of {report.Lines.Count} intended lines were not found.", "If they are stitched, take the photo nearer and with light from the side."));
        return report with { Outcome = reasons.Count == 0 ? Outcomes.Measured : Outcomes.WithCautions, Reasons = reasons };
    }
}
