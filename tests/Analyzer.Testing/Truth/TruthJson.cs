using System.Text;
using System.Text.Json;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing.Scene;
using Analyzer.Testing.Truth;

namespace Analyzer.Testing;

/// <summary>Truth as a compact file beside its photo: holes, samples and crossings with four decimals; what follows from them is worked out on reading.</summary>
public static class TruthJson
{
    public const string SchemaName = "synthetic-block-truth/1";

    public static string Write(SceneTruth truth)
    {
        using var stream = new MemoryStream();
        using (var json = new Utf8JsonWriter(stream))
        {
            json.WriteStartObject();
            json.WriteString("schema", SchemaName);
            json.WriteNumber("seed", truth.Seed);
            json.WriteString("tier", truth.Tier);
            json.WriteString("description", truth.Description);
            json.WriteString("gridName", truth.GridName);
            json.WriteNumber("widthPx", truth.WidthPx);
            json.WriteNumber("heightPx", truth.HeightPx);
            json.WriteNumber("blockWidthMm", truth.Grid.Size.WidthMm);
            json.WriteNumber("blockHeightMm", truth.Grid.Size.HeightMm);
            json.WriteNumber("pixelsPerMmLowest", Rounded(truth.PixelsPerMmLowest));
            json.WriteNumber("pixelsPerMmHighest", Rounded(truth.PixelsPerMmHighest));
            json.WriteStartArray("cornersPx");
            foreach (PhotoPoint p in truth.Corners.ToArray()) Numbers(json, p.X, p.Y);
            json.WriteEndArray();
            json.WriteStartArray("cardCornersPx");
            foreach (PhotoPoint p in truth.CardCornersPx) Numbers(json, p.X, p.Y);
            json.WriteEndArray();
            json.WriteStartArray("families");
            foreach (LineFamily f in truth.Grid.Families)
            {
                json.WriteStartObject();
                json.WriteNumber("angleDeg", f.AngleDeg);
                json.WriteNumber("spacingMm", f.SpacingMm);
                json.WriteStartArray("throughMm");
                json.WriteNumberValue(f.Through.Xmm);
                json.WriteNumberValue(f.Through.Ymm);
                json.WriteEndArray();
                json.WriteEndObject();
            }
            json.WriteEndArray();
            json.WriteStartArray("lines");
            foreach (LineTruth line in truth.Lines) WriteLine(json, line);
            json.WriteEndArray();
            json.WriteStartArray("extraLines");
            foreach (IReadOnlyList<BlockPoint> extra in truth.ExtraLines) Points(json, extra);
            json.WriteEndArray();
            json.WriteStartArray("crossings");
            foreach (CrossingTruth c in truth.Crossings)
            {
                json.WriteStartObject();
                json.WriteString("node", c.NodeId);
                json.WriteString("a", c.LineA);
                json.WriteString("b", c.LineB);
                json.WritePropertyName("atMm");
                Numbers(json, c.AtMm.Xmm, c.AtMm.Ymm);
                json.WriteEndObject();
            }
            json.WriteEndArray();
            json.WriteEndObject();
        }
        return Encoding.UTF8.GetString(stream.ToArray());
    }

    public static SceneTruth Read(string text)
    {
        using JsonDocument document = JsonDocument.Parse(text);
        JsonElement root = document.RootElement;
        if (root.GetProperty("schema").GetString() != SchemaName) throw new FormatException($"This is not a truth file of schema {SchemaName}.");
        LineFamily[] families = [.. root.GetProperty("families").EnumerateArray().Select(f => new LineFamily(
            f.GetProperty("angleDeg").GetDouble(), f.GetProperty("spacingMm").GetDouble(), new BlockPoint(f.GetProperty("throughMm")[0].GetDouble(), f.GetProperty("throughMm")[1].GetDouble())))];
        var grid = new IntendedGrid(new BlockSize(root.GetProperty("blockWidthMm").GetDouble(), root.GetProperty("blockHeightMm").GetDouble()), families);
        var nodes = grid.Nodes.ToDictionary(n => n.Id, n => n.Position);
        return new SceneTruth
        {
            Seed = root.GetProperty("seed").GetInt32(),
            Tier = Text(root, "tier"),
            Description = Text(root, "description"),
            GridName = Text(root, "gridName"),
            WidthPx = root.GetProperty("widthPx").GetInt32(),
            HeightPx = root.GetProperty("heightPx").GetInt32(),
            Grid = grid,
            Corners = BlockCorners.FromArray([.. root.GetProperty("cornersPx").EnumerateArray().Select(p => new PhotoPoint(p[0].GetDouble(), p[1].GetDouble()))], 0),
            CardCornersPx = [.. root.GetProperty("cardCornersPx").EnumerateArray().Select(p => new PhotoPoint(p[0].GetDouble(), p[1].GetDouble()))],
            PixelsPerMmLowest = root.GetProperty("pixelsPerMmLowest").GetDouble(),
            PixelsPerMmHighest = root.GetProperty("pixelsPerMmHighest").GetDouble(),
            Lines = [.. root.GetProperty("lines").EnumerateArray().Select(l => ReadLine(l, grid))],
            ExtraLines = [.. root.GetProperty("extraLines").EnumerateArray().Select(e => (IReadOnlyList<BlockPoint>)ReadPoints(e))],
            Crossings = [.. root.GetProperty("crossings").EnumerateArray().Select(c => new CrossingTruth(
                Text(c, "node"), Text(c, "a"), Text(c, "b"), nodes[Text(c, "node")], new BlockPoint(c.GetProperty("atMm")[0].GetDouble(), c.GetProperty("atMm")[1].GetDouble())))],
        };
    }

    public static void Save(SceneTruth truth, string path) => File.WriteAllText(path, Write(truth));

    public static SceneTruth Load(string path) => Read(File.ReadAllText(path));

    private static void WriteLine(Utf8JsonWriter json, LineTruth line)
    {
        json.WriteStartObject();
        json.WriteString("id", line.Id);
        json.WriteBoolean("missing", line.IsMissing);
        json.WritePropertyName("holesMm");
        Points(json, line.Holes);
        WriteSamples(json, "deviations", line.Samples);
        WriteSummary(json, "summary", line.Summary);
        WriteSamples(json, "idealDeviations", line.IdealSamples);
        WriteSummary(json, "idealSummary", line.IdealSummary);
        json.WritePropertyName("overshootMm");
        Numbers(json, line.OvershootStartMm, line.OvershootEndMm);
        LineCauses c = line.Causes;
        json.WritePropertyName("causesMeanSquareMm2");
        Numbers(json, c.Offset, c.Angle, c.Bow, c.WobbleLong, c.WobbleMid, c.WobbleShort, c.HoleJitter, line.DistortionMeanSquare);
        if (line.Mark.Count > 0)
        {
            json.WritePropertyName("markMm");
            Points(json, line.Mark.Where((_, i) => i % 4 == 0 || i == line.Mark.Count - 1));
            WriteSamples(json, "markDeviations", line.MarkSamples);
            WriteSummary(json, "markSummary", line.MarkSummary);
        }
        json.WriteEndObject();
    }

    private static void WriteSummary(Utf8JsonWriter json, string name, LineSummary s)
    {
        json.WriteStartObject(name);
        json.WriteNumber("offsetMm", Rounded(s.OffsetMm));
        json.WriteNumber("angleDeg", Rounded(s.AngleDeg));
        json.WriteNumber("straightnessTotalMm", Rounded(s.StraightnessTotalMm));
        json.WriteNumber("straightnessRmsMm", Rounded(s.StraightnessRmsMm));
        json.WriteEndObject();
    }

    /// <summary>First place along, mm, then the deviations at 1 mm steps.</summary>
    private static void WriteSamples(Utf8JsonWriter json, string name, IReadOnlyList<DeviationSample> samples)
    {
        json.WriteStartObject(name);
        json.WriteNumber("fromMm", samples.Count == 0 ? 0 : Rounded(samples[0].AlongMm));
        json.WritePropertyName("mm");
        Numbers(json, [.. samples.Select(s => s.DeviationMm)]);
        json.WriteEndObject();
    }

    private static void Points(Utf8JsonWriter json, IEnumerable<BlockPoint> points) => Numbers(json, [.. points.SelectMany(p => new[] { p.Xmm, p.Ymm })]);

    private static void Numbers(Utf8JsonWriter json, params double[] values)
    {
        json.WriteStartArray();
        foreach (double v in values) json.WriteNumberValue(Rounded(v));
        json.WriteEndArray();
    }

    private static decimal Rounded(double v) => Math.Round((decimal)v, 4);

    private static string Text(JsonElement e, string name) => e.GetProperty(name).GetString() ?? "";

    private static LineTruth ReadLine(JsonElement e, IntendedGrid grid)
    {
        GridLine line = grid.Line(Text(e, "id"));
        BlockPoint[] holes = ReadPoints(e.GetProperty("holesMm"));
        double[] c = ReadNumbers(e.GetProperty("causesMeanSquareMm2")), ends = ReadNumbers(e.GetProperty("overshootMm"));
        DeviationSample[] marks = e.TryGetProperty("markDeviations", out JsonElement m) ? ReadSamples(m) : [];
        DeviationSample[] samples = ReadSamples(e.GetProperty("deviations")), ideal = ReadSamples(e.GetProperty("idealDeviations"));
        return new LineTruth
        {
            Id = line.Id,
            Family = line.Family,
            Index = line.Index,
            IsMissing = e.GetProperty("missing").GetBoolean(),
            Holes = holes,
            Samples = samples,
            Summary = TruthMaker.Summarise(samples, line.LengthMm),
            IdealSamples = ideal,
            IdealSummary = TruthMaker.Summarise(ideal, line.LengthMm),
            OvershootStartMm = ends[0],
            OvershootEndMm = ends[1],
            StitchLengthMm = holes.Length < 2 ? 0 : Enumerable.Range(0, holes.Length - 1).Average(i => holes[i].DistanceTo(holes[i + 1])),
            Causes = new LineCauses { Offset = c[0], Angle = c[1], Bow = c[2], WobbleLong = c[3], WobbleMid = c[4], WobbleShort = c[5], HoleJitter = c[6] },
            DistortionMeanSquare = c[7],
            Mark = e.TryGetProperty("markMm", out JsonElement path) ? ReadPoints(path) : [],
            MarkSamples = marks,
            MarkSummary = TruthMaker.Summarise(marks, line.LengthMm),
        };
    }

    private static DeviationSample[] ReadSamples(JsonElement e)
    {
        double from = e.GetProperty("fromMm").GetDouble();
        return [.. ReadNumbers(e.GetProperty("mm")).Select((d, i) => new DeviationSample(from + i, d))];
    }

    private static BlockPoint[] ReadPoints(JsonElement e)
    {
        double[] v = ReadNumbers(e);
        return [.. Enumerable.Range(0, v.Length / 2).Select(i => new BlockPoint(v[2 * i], v[2 * i + 1]))];
    }

    private static double[] ReadNumbers(JsonElement e) => [.. e.EnumerateArray().Select(v => v.GetDouble())];
}
