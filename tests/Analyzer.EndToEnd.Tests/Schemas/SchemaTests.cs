using System.IO.Compression;
using System.Text.Json;
using System.Text.Json.Nodes;
using Analyzer.EndToEnd.Tests.Measure;
using Analyzer.EndToEnd.Tests.Shell;
using Json.Schema;

namespace Analyzer.EndToEnd.Tests.Schemas;

/// <summary>What the program writes, against the JSON Schemas beside the page that documents them; the validator is JsonSchema.Net, another's implementation of draft 2020-12.</summary>
public class SchemaTests(MeasuredBlock block) : IClassFixture<MeasuredBlock>
{
    [Fact]
    public void ReportPlanLogAndClass_KeepToTheirSchemas()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("ann-1.jpg", block.Jpeg);
        Assert.Equal(0, Ran.Words(["measure", photo, "--no-pictures", "--out", scratch.At("class/ann"), .. block.GridWords(), .. block.CornerWords()]).ExitCode);
        ShouldHold("report-1", File.ReadAllText(scratch.At("class/ann/report.json")));

        Assert.Equal(0, Ran.Words("plan", "--size", "6in", "--grid", "square:1in", "--out", scratch.At("plan")).ExitCode);
        ShouldHold("plan-1", File.ReadAllText(scratch.At("plan/plan.json")));

        Assert.Equal(0, Ran.Words("log", "add", scratch.At("class/ann"), "--who", "me", "--minutes", "40", "--log", scratch.At("log.db")).ExitCode);
        Assert.Equal(0, Ran.Words("log", "export", scratch.At("log.zip"), "--log", scratch.At("log.db")).ExitCode);
        using (ZipArchive zip = ZipFile.OpenRead(scratch.At("log.zip")))
        using (var json = new StreamReader(zip.GetEntry("practice-log.json")!.Open()))
            ShouldHold("practice-log-1", json.ReadToEnd());

        Assert.Equal(0, Ran.Words(["class", scratch.At("class"), "--out", scratch.At("sheets"), .. block.GridWords()]).ExitCode);
        string[] rows = File.ReadAllText(scratch.At("sheets/class.csv")).Split('\n', StringSplitOptions.RemoveEmptyEntries);
        Assert.Equal(2, rows.Length);
        string[] cells = [.. System.Text.RegularExpressions.Regex.Matches(rows[1], "(?:^|,)(?:\"((?:[^\"]|\"\")*)\"|([^,]*))").Select(m => m.Groups[1].Success ? m.Groups[1].Value : m.Groups[2].Value)];
        string[] names = rows[0].Split(',');
        Assert.Equal(names.Length, cells.Length);
        ShouldHold("class-csv-1", new JsonObject(names.Zip(cells, (n, c) => KeyValuePair.Create<string, JsonNode?>(n, c))).ToJsonString());
    }

    [Fact]
    public void RefusedPhotosReport_KeepsToItsSchema()
    {
        using var scratch = new Scratch();
        string photo = scratch.File("plain.jpg", BadPictures.PlainJpeg());
        Assert.Equal(3, Ran.Words("measure", photo, "--size", "8in", "--grid", "square:1in", "--no-pictures", "--out", scratch.Report).ExitCode);
        ShouldHold("report-1", File.ReadAllText(Path.Combine(scratch.Report, "report.json")));
    }

    /// <summary>The schema bites: a report with a renamed field or a text for a number is refused.</summary>
    [Theory]
    [InlineData("\"outcome\": \"not-measurable\"", "\"outcome\": \"maybe\"")]
    [InlineData("\"widthPx\": 900", "\"widthPx\": \"900\"")]
    [InlineData("\"intersections\"", "\"crossings\"")]
    public void DamagedReport_IsRefusedByItsSchema(string right, string wrong)
    {
        using var scratch = new Scratch();
        string photo = scratch.File("plain.jpg", BadPictures.PlainJpeg());
        Ran.Words("measure", photo, "--size", "8in", "--grid", "square:1in", "--no-pictures", "--out", scratch.Report);
        string text = File.ReadAllText(Path.Combine(scratch.Report, "report.json"));
        Assert.Contains(right, text, StringComparison.Ordinal);
        Assert.False(Evaluate("report-1", text.Replace(right, wrong, StringComparison.Ordinal)).IsValid);
    }

    private static void ShouldHold(string schema, string json)
    {
        EvaluationResults results = Evaluate(schema, json);
        Assert.True(results.IsValid, schema + ": " + JsonSerializer.Serialize(results));
    }

    private static EvaluationResults Evaluate(string schema, string json)
    {
        string? folder = AppContext.BaseDirectory;
        while (folder is not null && !File.Exists(Path.Combine(folder, "Analyzer.sln"))) folder = Path.GetDirectoryName(folder);
        JsonSchema read = JsonSchema.FromText(File.ReadAllText(Path.Combine(folder!, "src", "Analyzer.Reporting", "Schemas", schema + ".schema.json")));
        using JsonDocument document = JsonDocument.Parse(json);
        return read.Evaluate(document.RootElement, new EvaluationOptions { OutputFormat = OutputFormat.List });
    }
}
