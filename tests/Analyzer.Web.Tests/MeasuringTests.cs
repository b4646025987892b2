using System.Globalization;
using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Analyzer.Core.Geometry;
using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Testing;
using Analyzer.Vision.Photos;

namespace Analyzer.Web.Tests;

/// <summary>The whole job over the wire, against the renderer's truth and against the library called directly.</summary>
public sealed class MeasuringTests(Running running) : IClassFixture<Running>
{
    /// <summary>Half of the places must lie this near to the truth, mm: a third of a thread's width. Truth: the renderer's own geometry.</summary>
    private const double MedianMm = 0.1;

    [Fact]
    public async Task Photo_FromUploadToResult_GivesTheTruthAndTheLibrarysOwnNumbers()
    {
        string id = await Running.Id(await running.Upload(Running.PhotoBytes));
        JsonElement state = await running.Settled(id);
        Assert.Equal("corners", state.GetProperty("state").GetString());
        Assert.Equal(HttpStatusCode.OK, (await running.Client.GetAsync($"/block/{id}/corners")).StatusCode);

        PhotoPoint[] truth = Running.Photo.Truth.Corners.ToArray();
        var ask = new { corners = truth.Select(p => new[] { p.X, p.Y }), exact = true };
        await Running.Id(await running.Client.SendAsync(running.Post($"/api/blocks/{id}/measure", JsonContent.Create(ask))));
        Assert.Equal("measured", (await running.Settled(id)).GetProperty("state").GetString());

        AccuracyReport report = ReportJson.Read(await running.Client.GetStringAsync($"/block/{id}/report.json"));
        Assert.NotEqual(Outcomes.NotMeasurable, report.Outcome);
        var off = new List<double>();
        foreach (LineReport line in report.Lines)
        {
            Dictionary<int, double> known = Running.Photo.Truth.Line(line.Id).Samples.ToDictionary(s => (int)Math.Round(s.AlongMm), s => s.DeviationMm);
            off.AddRange(line.Samples.Where(s => known.ContainsKey((int)Math.Round(s.AlongMm))).Select(s => Math.Abs(s.DeviationMm - known[(int)Math.Round(s.AlongMm)])));
        }
        off.Sort();
        Assert.True(off.Count > 200, $"only {off.Count} places were measured");
        Assert.True(off[off.Count / 2] < MedianMm, $"half of the places are off by more than {off[off.Count / 2]:0.000} mm");

        using Photo photo = PhotoReader.Read(Running.PhotoBytes, "block.jpg");
        AccuracyReport direct = new BlockAnalyzer().Analyze(photo, Running.Photo.Truth.Grid, new AnalysisSettings { GivenCorners = BlockCorners.FromArray(truth, 0.5), CornersExact = true }).Report;
        Assert.Equal(Numbers(direct), Numbers(report));

        string page = await running.Client.GetStringAsync($"/block/{id}/result");
        foreach (LineReport line in report.Lines) Assert.Contains($"data-line=\"{line.Id}\"", page, StringComparison.Ordinal);
        foreach (string file in new[] { "report.html", "report.json", "lines.csv", "intersections.csv", "overlay.png", "block.jpg", "photo.jpg" })
            Assert.True((await running.Client.GetByteArrayAsync($"/block/{id}/{file}")).Length > 500, file);
    }

    private static string Numbers(AccuracyReport report) => string.Join('\n', report.Lines.Select(l =>
        string.Create(CultureInfo.InvariantCulture, $"{l.Id} {l.Status} {l.OffsetMm} {l.AngleDeg} {l.StraightnessRmsMm} {l.Samples.Count}")));

    [Fact]
    public async Task Sample_OneCall_GoesStraightToAResult()
    {
        string id = await Running.Id(await running.Client.SendAsync(running.Post("/api/sample")));
        JsonElement state = await running.Settled(id);
        Assert.Equal("measured", state.GetProperty("state").GetString());
        Assert.Equal(HttpStatusCode.OK, (await running.Client.GetAsync($"/block/{id}/result")).StatusCode);
    }

    [Fact]
    public async Task Stop_DuringMeasuring_EndsAtOnceAndCanBeStartedAgain()
    {
        string id = await Running.Id(await running.Upload(Running.PhotoBytes));
        await running.Settled(id);
        var ask = new { corners = Running.Photo.Truth.Corners.ToArray().Select(p => new[] { p.X, p.Y }) };
        await Running.Id(await running.Client.SendAsync(running.Post($"/api/blocks/{id}/measure", JsonContent.Create(ask))));
        using HttpResponseMessage stopped = await running.Client.SendAsync(running.Post($"/api/blocks/{id}/stop"));
        JsonElement state = await stopped.Content.ReadFromJsonAsync<JsonElement>();
        Assert.Equal("corners", state.GetProperty("state").GetString());
        await Running.Id(await running.Client.SendAsync(running.Post($"/api/blocks/{id}/measure", JsonContent.Create(ask))));
        Assert.Equal("measured", (await running.Settled(id)).GetProperty("state").GetString());
    }

    [Theory]
    [InlineData("size=eight&grid=square:1in", "size of the block")]
    [InlineData("size=8in&grid=square:banana", "spacing")]
    [InlineData("size=8in&grid=spiral:1in", "pattern")]
    [InlineData("size=8in&grid=square:1mm", "apart")]
    [InlineData("size=9000in&grid=square:1in", "side of the block")]
    public async Task Upload_WithAnImpossibleChoice_SaysWhichInOneSentence(string choice, string word)
    {
        using HttpResponseMessage answer = await running.Upload(Running.PhotoBytes, choice: choice);
        Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
        Assert.Contains(word, await Running.Detail(answer), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Measure_WithCrossedCorners_IsRefusedWithAReason()
    {
        string id = await Running.Id(await running.Upload(Running.PhotoBytes));
        await running.Settled(id);
        PhotoPoint[] p = Running.Photo.Truth.Corners.ToArray();
        double[][][] wrong = [[Of(p[0]), Of(p[2]), Of(p[1]), Of(p[3])], [Of(p[0]), Of(p[1]), Of(p[2])], [Of(p[0]), Of(p[1]), Of(p[2]), [-50, 10]], [Of(p[0]), Of(p[0]), Of(p[2]), Of(p[3])]];
        foreach (double[][] corners in wrong)
        {
            using HttpResponseMessage answer = await running.Client.SendAsync(running.Post($"/api/blocks/{id}/measure", JsonContent.Create(new { corners })));
            Assert.Equal(HttpStatusCode.BadRequest, answer.StatusCode);
            Assert.NotEmpty(await Running.Detail(answer));
        }
    }

    private static double[] Of(PhotoPoint p) => [p.X, p.Y];
}
