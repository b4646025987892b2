using Analyzer.Core.Report;
using Analyzer.Testing;
using Analyzer.Vision.Photos;

namespace Analyzer.Pipeline.Tests;

/// <summary>Blocks that were marked and never stitched, on which colour, sway and stitches alone let the marks pass for thread. Truth: the renderer sewed nothing; the net was not taught with these seeds.</summary>
public sealed class MarksAloneTests
{
    [Theory]
    [InlineData(710000)]
    [InlineData(710015)]
    public void MarksAlone_AreRefused(int seed)
    {
        SceneSettings settings = BadPhotos.Of(BadKind.MarksOnly, seed, 110).Settings;
        SyntheticPhoto rendered = SceneRenderer.Render(settings);
        using Photo photo = PhotoReader.Read(rendered.ToJpeg(settings.Finish.JpegQuality), "marks.jpg");
        AccuracyReport report = new BlockAnalyzer().Analyze(photo, rendered.Truth.Grid, new AnalysisSettings { GivenCorners = rendered.Truth.Corners, CornersExact = true, WithPicture = false }).Report;
        Assert.Equal(Outcomes.NotMeasurable, report.Outcome);
        Assert.Contains(report.Reasons, r => r.Code == "marks-only");
        Assert.All(report.Lines, l => Assert.Empty(l.Samples));
    }
}
