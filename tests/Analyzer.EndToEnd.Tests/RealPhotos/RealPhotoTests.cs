using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Vision.Photos;
using Xunit.Abstractions;

namespace Analyzer.EndToEnd.Tests.RealPhotos;

/// <summary>
/// Photographs that other people took, for other purposes. Truth: points on the thread marked by hand on enlarged cuttings that show no trace;
/// how well they are marked is known from marking twenty of them twice. Skipped where the photographs are not at hand.
/// </summary>
public sealed class RealPhotoTests(ITestOutputHelper output)
{
    /// <summary>The product's own goal for hard photographs (tone on tone, uneven light): median and 95 % of the distance from trace to thread, mm.</summary>
    private const double GoalMedianMm = 0.08, GoalNearlyAllMm = 0.30;

    /// <summary>Median and 90 % quantile of the absolute value of a normal variable, in standard deviations.</summary>
    private const double NormalMedian = 0.6745, NormalNinety = 1.645;

    /// <summary>Of 20 points each inside 2u with 95 %, fewer than 85 % are inside in 2 of 100 cases (binomial).</summary>
    private const double LeastShareInside = 0.85;

    public static IEnumerable<object[]> Measured => Those("measured");

    public static IEnumerable<object[]> Refused => Those("refused");

    [SkippableTheory]
    [MemberData(nameof(Measured))]
    public void Traces_LieOnTheHandMarkedPoints(string file)
    {
        (RealPhoto photo, AccuracyReport report) = Measure(file);
        Assert.NotEqual(Outcomes.NotMeasurable, report.Outcome);
        (double medianMm, double ninetyMm, double inside) = Judge(photo, report);
        double uMm = photo.MarkUPx / photo.PixelsPerMm;
        Assert.InRange(medianMm, 0, Math.Sqrt(Math.Pow(NormalMedian * uMm, 2) + Math.Pow(GoalMedianMm, 2)));
        Assert.InRange(ninetyMm, 0, Math.Sqrt(Math.Pow(NormalNinety * uMm, 2) + Math.Pow(GoalNearlyAllMm, 2)));
        Assert.InRange(inside, LeastShareInside, 1);
    }

    /// <summary>Known not to be true: where a loose loop of the same thread lies beside the stitched row, the loop is followed. Fails when that is mended; then these points belong to the others.</summary>
    [SkippableFact]
    public void KnownFault_LooseLoop_IsTakenForTheStitchedRow()
    {
        (RealPhoto photo, AccuracyReport report) = Measure(RealPhoto.All.Single(p => p.BesideLoosePx.Length > 0).File);
        double[] mm = [.. TraceDistance.Of(photo.BesideLoosePx, report).Select(d => d.Px / photo.PixelsPerMm).Order()];
        output.WriteLine($"{photo}: distance from the stitched row {mm[0]:0.0} to {mm[^1]:0.0} mm, median {mm[mm.Length / 2]:0.0} mm");
        Assert.True(mm[mm.Length / 2] > 3 * GoalNearlyAllMm);
    }

    /// <summary>What cannot be measured is said, with a reason, and no number is claimed.</summary>
    [SkippableTheory]
    [MemberData(nameof(Refused))]
    public void Refusal_HasItsReasonAndNoNumbers(string file)
    {
        (RealPhoto photo, AccuracyReport report) = Measure(file);
        output.WriteLine($"{photo}: {string.Join(" | ", report.Reasons.Select(r => r.Code + ": " + r.Message))}");
        Assert.Equal(Outcomes.NotMeasurable, report.Outcome);
        Reason reason = Assert.Single(report.Reasons);
        Assert.Equal(photo.Reason, reason.Code);
        Assert.NotEmpty(reason.Advice);
        Assert.All(report.Lines, line => Assert.Empty(line.Samples));
    }

    [Fact]
    public void EveryMeasuredPhoto_HasTwentyMarks_AndAMarkingDoneTwice()
    {
        Assert.All(RealPhoto.All.Where(p => p.Expect != "refused"), p =>
        {
            Assert.True(p.MarksPx.Length >= 20, p.File);
            Assert.Equal(20, p.FirstPx.Length);
            Assert.Equal(20, p.AgainPx.Length);
        });
        Assert.True(RealPhoto.All.Count(p => p.MarksPx.Length >= 20) >= 6);
    }

    private static IEnumerable<object[]> Those(string expect) => RealPhoto.All.Where(p => p.Expect == expect).Select(p => new object[] { p.File });

    private static (RealPhoto, AccuracyReport) Measure(string file)
    {
        RealPhoto photo = RealPhoto.All.Single(p => p.File == file);
        Skip.IfNot(File.Exists(photo.FullPath), "The real photographs are not at hand (name their folder in REAL_PHOTOS).");
        using Photo pixels = PhotoReader.Read(File.ReadAllBytes(photo.FullPath), Path.GetFileName(photo.File));
        var settings = new AnalysisSettings { GivenCorners = photo.Corners, CornersExact = true, WithPicture = false };
        return (photo, new BlockAnalyzer().Analyze(pixels, photo.Grid, settings).Report);
    }

    private (double MedianMm, double NinetyMm, double Inside) Judge(RealPhoto photo, AccuracyReport report)
    {
        (double Px, double UMm)[] all = TraceDistance.Of(photo.MarksPx, report);
        double[] px = [.. all.Select(d => d.Px).Order()];
        double median = px[px.Length / 2], ninety = px[(int)(0.9 * px.Length)];
        double inside = all.Count(d => d.Px <= 2 * Math.Sqrt(photo.MarkUPx * photo.MarkUPx + Math.Pow(d.UMm * photo.PixelsPerMm, 2))) / (double)all.Length;
        output.WriteLine($"{photo}: {px.Length} points, marked to {photo.MarkUPx:0.00} px; distance median {median:0.00} px, 90 % {ninety:0.00} px; at {photo.PixelsPerMm:0.0} px/mm {median / photo.PixelsPerMm:0.000} and {ninety / photo.PixelsPerMm:0.000} mm; inside 2u {inside:0.00}; {report.Outcome} {string.Join(' ', report.Reasons.Select(r => r.Code))}");
        return (median / photo.PixelsPerMm, ninety / photo.PixelsPerMm, inside);
    }
}
