using System.Globalization;
using System.Text.Json;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Planning;

/// <summary>A plan read from plan.json: what is to be stitched and in which order.</summary>
/// <param name="LineOrder">Ids of the grid's lines in the order they are sewn; empty when the plan holds no route.</param>
/// <param name="GridName">What the maker called the grid, such as "triangle:1in"; may be empty.</param>
public sealed record StitchPlan(IntendedGrid Grid, IReadOnlyList<string> LineOrder, string GridName)
{
    /// <summary>Total minutes the plan expects at pace 1, or null when it does not say.</summary>
    public double? PlannedMinutes { get; init; }

    /// <summary>Ids of the lines that are sewn from their far end to their near one (see the frames in the measuring contract); null when the plan's steps do not tell.</summary>
    public IReadOnlyList<string>? Backward { get; init; }

    /// <summary>True when the block was planned in inches.</summary>
    public bool Inches { get; init; }

    /// <summary>Reference marks on the template, in block mm; empty when it bears none.</summary>
    public IReadOnlyList<CornerMark> CornerMarks { get; init; } = [];
}

/// <summary>Reads plan.json, schema "stitch-plan/1". Every fault is a <see cref="FormatException"/> with one sentence naming the field.</summary>
public static class PlanFile
{
    public const string SchemaName = "stitch-plan/1";

    /// <summary>Rounding of written places, with room, mm.</summary>
    private const double SamePlaceMm = 0.01;

    public static StitchPlan Read(string json)
    {
        using JsonDocument document = Parse(json);
        JsonElement root = document.RootElement;
        if (root.ValueKind != JsonValueKind.Object)
            throw new FormatException("The plan is not a JSON object with the fields schema, block and grid; write it again with the plan command.");
        string schema = Text(root, "schema");
        if (schema != SchemaName)
            throw new FormatException($"The plan's field \"schema\" is \"{Short(schema)}\", but this version reads \"{SchemaName}\"; write the plan again.");
        JsonElement block = Child(root, "block", JsonValueKind.Object, "block");
        double width = Number(block, "widthMm", "block.widthMm"), height = Number(block, "heightMm", "block.heightMm");
        foreach ((double side, string name) in (ReadOnlySpan<(double, string)>)[(width, "block.widthMm"), (height, "block.heightMm")])
            if (!(side >= BlockSize.SmallestMm && side <= BlockSize.LargestMm))
                throw new FormatException($"The plan's field \"{name}\" is {Say(side)}, but a block side lies between {Say(BlockSize.SmallestMm)} and {Say(BlockSize.LargestMm)} mm.");
        JsonElement grid = Child(root, "grid", JsonValueKind.Object, "grid");
        JsonElement families = Child(grid, "families", JsonValueKind.Array, "grid.families");
        var read = new List<LineFamily>();
        foreach (JsonElement family in families.EnumerateArray()) read.Add(Family(family, $"grid.families[{read.Count}]"));
        IntendedGrid intended = Grid(new BlockSize(width, height), read);
        return new StitchPlan(intended, LineOrder(root, intended), grid.TryGetProperty("name", out JsonElement given) && given.ValueKind == JsonValueKind.String ? given.GetString()! : "")
        {
            PlannedMinutes = Minutes(root),
            Backward = Backward(root, intended),
            CornerMarks = Marks(root, intended.Size),
            Inches = root.TryGetProperty("units", out JsonElement units) && units.ValueKind == JsonValueKind.String && units.GetString() == "in",
        };
    }

    private static JsonDocument Parse(string json)
    {
        try
        {
            return JsonDocument.Parse(json, new JsonDocumentOptions { MaxDepth = 32 });
        }
        catch (JsonException trouble)
        {
            throw new FormatException($"The plan is not valid JSON: the text breaks at line {trouble.LineNumber + 1}; write it again with the plan command.", trouble);
        }
    }

    private static LineFamily Family(JsonElement family, string name)
    {
        if (family.ValueKind != JsonValueKind.Object)
            throw new FormatException($"The plan's field \"{name}\" should be an object with angleDeg, spacingMm and throughMm.");
        double angle = Number(family, "angleDeg", name + ".angleDeg");
        if (Math.Abs(angle) > 180)
            throw new FormatException($"The plan's field \"{name}.angleDeg\" is {Say(angle)}, but an angle lies between -180 and 180 degrees.");
        double spacing = Number(family, "spacingMm", name + ".spacingMm");
        if (!(spacing >= 2 && spacing <= BlockSize.LargestMm))
            throw new FormatException($"The plan's field \"{name}.spacingMm\" is {Say(spacing)}, but a spacing lies between 2 and {Say(BlockSize.LargestMm)} mm.");
        JsonElement through = Child(family, "throughMm", JsonValueKind.Array, name + ".throughMm");
        double[] point = [.. through.EnumerateArray().Select(v => v.ValueKind == JsonValueKind.Number && v.TryGetDouble(out double d) ? d : double.NaN)];
        if (point.Length != 2 || point.Any(v => !(Math.Abs(v) <= 10 * BlockSize.LargestMm)))
            throw new FormatException($"The plan's field \"{name}.throughMm\" should be two numbers in mm, [x, y], on or near the block.");
        return new LineFamily(angle, spacing, new BlockPoint(point[0], point[1]));
    }

    private static IntendedGrid Grid(BlockSize size, List<LineFamily> families)
    {
        try
        {
            return new IntendedGrid(size, families);
        }
        catch (ArgumentException trouble)
        {
            int parameter = trouble.Message.IndexOf(" (Parameter", StringComparison.Ordinal);
            string reason = parameter < 0 ? trouble.Message : trouble.Message[..parameter];
            throw new FormatException($"The plan's field \"grid.families\" makes no grid: {reason}", trouble);
        }
    }

    private static double? Minutes(JsonElement root)
    {
        if (!root.TryGetProperty("time", out JsonElement time) || time.ValueKind != JsonValueKind.Object || !time.TryGetProperty("totalMin", out _)) return null;
        double total = Number(time, "totalMin", "time.totalMin"), pace = time.TryGetProperty("pace", out _) ? Number(time, "pace", "time.pace") : 1;
        return total > 0 && pace > 0 ? total / pace : null;
    }

    private static List<CornerMark> Marks(JsonElement root, BlockSize size)
    {
        var marks = new List<CornerMark>();
        if (!root.TryGetProperty("cornerMarks", out JsonElement all) || all.ValueKind == JsonValueKind.Null) return marks;
        if (all.ValueKind != JsonValueKind.Object)
            throw new FormatException("The plan's field \"cornerMarks\" should be an object.");
        foreach (JsonElement mark in Child(all, "marks", JsonValueKind.Array, "cornerMarks.marks").EnumerateArray())
        {
            string name = $"cornerMarks.marks[{marks.Count}]";
            if (mark.ValueKind != JsonValueKind.Object)
                throw new FormatException($"The plan's field \"{name}\" should be an object with id and cornersMm.");
            double id = Number(mark, "id", name + ".id");
            if (id is not (>= 0 and < 50) || id != Math.Floor(id))
                throw new FormatException($"The plan's field \"{name}.id\" is {Say(id)}, but a mark's number is whole and lies between 0 and 49.");
            var corners = new List<BlockPoint>();
            foreach (JsonElement corner in Child(mark, "cornersMm", JsonValueKind.Array, name + ".cornersMm").EnumerateArray())
            {
                double[] point = corner.ValueKind == JsonValueKind.Array ? [.. corner.EnumerateArray().Select(v => v.ValueKind == JsonValueKind.Number && v.TryGetDouble(out double d) ? d : double.NaN)] : [];
                if (point.Length == 2 && point.All(v => Math.Abs(v) <= 2 * BlockSize.LargestMm)) corners.Add(new BlockPoint(point[0], point[1]));
            }
            if (corners.Count != 4)
                throw new FormatException($"The plan's field \"{name}.cornersMm\" should be four points in mm, each [x, y], on or near the block.");
            var read = new CornerMark((int)id, corners);
            if (!CornerMark.Around(size).Any(m => m.Id == read.Id && m.Corners.Zip(corners, (a, b) => Math.Max(Math.Abs(a.Xmm - b.Xmm), Math.Abs(a.Ymm - b.Ymm))).All(d => d < SamePlaceMm)))
                throw new FormatException($"The plan's field \"{name}.cornersMm\" is not where a template of this block prints its mark {read.Id}; write the plan again with the plan command.");
            marks.Add(read);
        }
        return marks;
    }

    /// <summary>Read off the steps, which may be left out or be of another hand: then nothing is known.</summary>
    private static List<string>? Backward(JsonElement root, IntendedGrid grid)
    {
        if (!root.TryGetProperty("route", out JsonElement route) || route.ValueKind != JsonValueKind.Object
            || !route.TryGetProperty("steps", out JsonElement steps) || steps.ValueKind != JsonValueKind.Array) return null;
        Dictionary<string, GridLine> lines = grid.Lines.ToDictionary(line => line.Id);
        var backward = new List<string>();
        foreach (JsonElement step in steps.EnumerateArray())
        {
            if (step.ValueKind != JsonValueKind.Object || !step.TryGetProperty("lineId", out JsonElement id)) continue;
            if (id.ValueKind != JsonValueKind.String || !lines.Remove(id.GetString()!, out GridLine? line) || First(step) is not { } first) return null;
            double Gap(BlockPoint end) => Math.Abs(first.X - end.Xmm) + Math.Abs(first.Y - end.Ymm);
            if (Gap(line.To) < Gap(line.From)) backward.Add(line.Id);
        }
        return lines.Count == 0 ? backward : null;

        static (double X, double Y)? First(JsonElement step) =>
            step.TryGetProperty("pointsMm", out JsonElement points) && points.ValueKind == JsonValueKind.Array && points.GetArrayLength() > 1
            && points[0].ValueKind == JsonValueKind.Array && points[0].GetArrayLength() == 2 && points[0].EnumerateArray().All(v => v.ValueKind == JsonValueKind.Number)
                ? (points[0][0].GetDouble(), points[0][1].GetDouble()) : null;
    }

    private static List<string> LineOrder(JsonElement root, IntendedGrid grid)
    {
        if (!root.TryGetProperty("route", out JsonElement route) || route.ValueKind == JsonValueKind.Null) return [];
        if (route.ValueKind != JsonValueKind.Object)
            throw new FormatException("The plan's field \"route\" should be an object.");
        JsonElement order = Child(route, "lineOrder", JsonValueKind.Array, "route.lineOrder");
        var known = grid.Lines.Select(line => line.Id).ToHashSet();
        var ids = new List<string>();
        foreach (JsonElement id in order.EnumerateArray())
        {
            string text = id.ValueKind == JsonValueKind.String ? id.GetString()! : "";
            if (!known.Remove(text))
                throw new FormatException($"The plan's field \"route.lineOrder[{ids.Count}]\" is \"{Short(id.ToString())}\", which is not a line of this grid or comes twice.");
            ids.Add(text);
        }
        if (known.Count > 0)
            throw new FormatException($"The plan's field \"route.lineOrder\" leaves out {known.Count} of the grid's lines, such as {known.First()}.");
        return ids;
    }

    private static JsonElement Child(JsonElement parent, string property, JsonValueKind kind, string name)
    {
        if (!parent.TryGetProperty(property, out JsonElement child))
            throw new FormatException($"The plan's field \"{name}\" is missing; write the plan again with the plan command.");
        if (child.ValueKind != kind)
            throw new FormatException($"The plan's field \"{name}\" should be {(kind == JsonValueKind.Array ? "a list" : "an object")}.");
        return child;
    }

    private static string Text(JsonElement parent, string property)
    {
        if (!parent.TryGetProperty(property, out JsonElement child) || child.ValueKind != JsonValueKind.String)
            throw new FormatException($"The plan's field \"{property}\" is missing or not a text; this is not a plan of this program.");
        return child.GetString()!;
    }

    private static double Number(JsonElement parent, string property, string name)
    {
        if (!parent.TryGetProperty(property, out JsonElement child))
            throw new FormatException($"The plan's field \"{name}\" is missing; write the plan again with the plan command.");
        if (child.ValueKind != JsonValueKind.Number || !child.TryGetDouble(out double value) || !double.IsFinite(value))
            throw new FormatException($"The plan's field \"{name}\" should be a number.");
        return value;
    }

    private static string Short(string text) => text.Length <= 40 ? text : text[..40] + "...";

    private static string Say(double value) => value.ToString("0.###", CultureInfo.InvariantCulture);
}
