using System.Text;
using System.Text.Encodings.Web;
using System.Text.Json;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Route;

namespace Analyzer.Planning;

/// <summary>Writes plan.json, schema "stitch-plan/1". <see cref="PlanFile"/> reads it back.</summary>
public static class PlanWriter
{
    public static string Write(BlockPlan plan)
    {
        using var stream = new MemoryStream();
        using (var json = new Utf8JsonWriter(stream, new JsonWriterOptions { Indented = true, Encoder = JavaScriptEncoder.Default }))
        {
            json.WriteStartObject();
            json.WriteString("schema", PlanFile.SchemaName);
            json.WriteString("units", plan.Settings.Inches ? "in" : "mm");
            json.WriteStartObject("block");
            Number(json, "widthMm", plan.Grid.Size.WidthMm);
            Number(json, "heightMm", plan.Grid.Size.HeightMm);
            json.WriteEndObject();
            WriteGrid(json, plan);
            if (plan.Settings.CornerMarks) WriteMarks(json, plan);
            WriteRoute(json, plan);
            WriteAmounts(json, plan);
            WriteOtherRoutes(json, plan);
            json.WriteEndObject();
        }
        return Encoding.UTF8.GetString(stream.ToArray()) + "\n";
    }

    private static void WriteGrid(Utf8JsonWriter json, BlockPlan plan)
    {
        json.WriteStartObject("grid");
        json.WriteString("name", plan.Settings.GridName);
        json.WriteStartArray("families");
        for (int f = 0; f < plan.Grid.Families.Count; f++)
        {
            LineFamily family = plan.Grid.Families[f];
            json.WriteStartObject();
            json.WriteNumber("family", f);
            Number(json, "angleDeg", family.AngleDeg);
            Number(json, "spacingMm", family.SpacingMm);
            Point(json, "throughMm", family.Through);
            json.WriteEndObject();
        }
        json.WriteEndArray();
        json.WriteNumber("lineCount", plan.Grid.Lines.Count);
        json.WriteNumber("intersectionCount", plan.Grid.Nodes.Count);
        json.WriteEndObject();
    }

    private static void WriteMarks(Utf8JsonWriter json, BlockPlan plan)
    {
        json.WriteStartObject("cornerMarks");
        json.WriteString("dictionary", CornerMark.Dictionary);
        Number(json, "sideMm", Drawing.CornerMarks.SideMm);
        Number(json, "gapMm", Drawing.CornerMarks.GapMm);
        json.WriteStartArray("marks");
        foreach (CornerMark mark in CornerMark.Around(plan.Grid.Size))
        {
            json.WriteStartObject();
            json.WriteNumber("id", mark.Id);
            json.WriteStartArray("cornersMm");
            foreach (BlockPoint p in mark.Corners)
            {
                json.WriteStartArray();
                json.WriteNumberValue(Math.Round(p.Xmm, 4));
                json.WriteNumberValue(Math.Round(p.Ymm, 4));
                json.WriteEndArray();
            }
            json.WriteEndArray();
            json.WriteEndObject();
        }
        json.WriteEndArray();
        json.WriteEndObject();
    }

    private static void WriteRoute(Utf8JsonWriter json, BlockPlan plan)
    {
        StitchRoute route = plan.Route;
        json.WriteStartObject("route");
        json.WriteString("rule", Code(route.Rule));
        json.WriteString("startCorner", Code(route.Start));
        json.WriteNumber("cuts", route.Cuts);
        json.WriteNumber("pivots", route.Pivots);
        json.WriteNumber("bounces", route.Bounces);
        Number(json, "linesMm", Math.Round(route.LinesMm, 3));
        Number(json, "ditchMm", Math.Round(route.DitchMm, 3));
        Number(json, "ditchAgainMm", Math.Round(route.DitchAgainMm, 3));
        Number(json, "stitchedMm", Math.Round(route.StitchedMm, 3));
        json.WriteStartArray("lineOrder");
        foreach (string id in route.LineOrder) json.WriteStringValue(id);
        json.WriteEndArray();
        json.WriteStartArray("steps");
        for (int i = 0; i < route.Steps.Count; i++)
        {
            RouteStep step = route.Steps[i];
            json.WriteStartObject();
            json.WriteString("kind", Code(step.Kind));
            if (step.LineId is not null) json.WriteString("lineId", step.LineId);
            json.WriteStartArray("pointsMm");
            foreach (BlockPoint p in step.Points)
            {
                json.WriteStartArray();
                json.WriteNumberValue(Math.Round(p.Xmm, 4));
                json.WriteNumberValue(Math.Round(p.Ymm, 4));
                json.WriteEndArray();
            }
            json.WriteEndArray();
            json.WriteString("text", plan.StepTexts[i]);
            json.WriteEndObject();
        }
        json.WriteEndArray();
        json.WriteEndObject();
    }

    /// <summary>What every order from every corner would cost, so that the choice can be looked at again.</summary>
    private static void WriteOtherRoutes(Utf8JsonWriter json, BlockPlan plan)
    {
        json.WriteStartArray("routes");
        foreach (StitchRoute route in plan.Routes)
        {
            json.WriteStartObject();
            json.WriteString("rule", Code(route.Rule));
            json.WriteString("startCorner", Code(route.Start));
            json.WriteNumber("cuts", route.Cuts);
            json.WriteNumber("pivots", route.Pivots);
            Number(json, "ditchAgainMm", Math.Round(route.DitchAgainMm, 3));
            Number(json, "stitchedMm", Math.Round(route.StitchedMm, 3));
            json.WriteEndObject();
        }
        json.WriteEndArray();
    }

    private static void WriteAmounts(Utf8JsonWriter json, BlockPlan plan)
    {
        json.WriteStartObject("thread");
        Number(json, "stitchMm", plan.Settings.Thread.StitchMm);
        Number(json, "thicknessMm", plan.Settings.Thread.ThicknessMm);
        Number(json, "wasteShare", plan.Settings.Thread.WasteShare);
        Number(json, "stitches", Math.Round(plan.Thread.Stitches));
        Number(json, "topMm", Math.Round(plan.Thread.TopMm));
        Number(json, "bobbinMm", Math.Round(plan.Thread.BobbinMm));
        Number(json, "lowShare", plan.Thread.LowShare);
        Number(json, "highShare", plan.Thread.HighShare);
        json.WriteEndObject();
        json.WriteStartObject("time");
        Number(json, "stitchesPerMinute", plan.Settings.Time.StitchesPerMinute);
        Number(json, "needleMin", Math.Round(plan.Time.NeedleMin, 2));
        Number(json, "totalMin", Math.Round(plan.Time.TotalMin, 2));
        Number(json, "pace", plan.Time.Pace);
        json.WriteNumber("paceFromBlocks", plan.Settings.Time.PaceBlocks);
        json.WriteEndObject();
    }

    /// <summary>Stable words for the rules, also used on the command line.</summary>
    public static string Code(RouteRule rule) => rule switch
    {
        RouteRule.BorderThenLastFamily => "last-family-last",
        RouteRule.BorderFirst => "border-first",
        RouteRule.AnyOrder => "any-order",
        RouteRule.NoSecondPass => "no-second-pass",
        _ => "lines-only",
    };

    public static string Code(BlockCorner corner) => corner switch
    {
        BlockCorner.LowerLeft => "lower-left",
        BlockCorner.UpperLeft => "upper-left",
        BlockCorner.UpperRight => "upper-right",
        _ => "lower-right",
    };

    internal static string Code(StepKind kind) => kind switch
    {
        StepKind.Ditch => "ditch",
        StepKind.DitchAgain => "ditch-again",
        StepKind.Line => "line",
        _ => "cut",
    };

    private static void Number(Utf8JsonWriter json, string name, double value) => json.WriteNumber(name, value);

    private static void Point(Utf8JsonWriter json, string name, BlockPoint p)
    {
        json.WriteStartArray(name);
        json.WriteNumberValue(p.Xmm);
        json.WriteNumberValue(p.Ymm);
        json.WriteEndArray();
    }
}
