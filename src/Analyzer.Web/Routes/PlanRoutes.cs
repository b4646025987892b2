using System.Text;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;
using Analyzer.Planning;
using Analyzer.Planning.Advice;
using Analyzer.Planning.Paper;
using Analyzer.Planning.Words;
using Analyzer.Reporting.Sheets;
using Analyzer.Vision.Reference;
using Analyzer.Web.Blocks;
using Analyzer.Web.Pages;
using Analyzer.Web.Plans;
using Analyzer.Web.Practice;
using Analyzer.Web.Safety;

namespace Analyzer.Web.Routes;

/// <summary>Planning: the page, the plan that is drawn while sliders move, its files, and keeping one to measure against.</summary>
internal static class PlanRoutes
{
    private const int LargestPlanFile = 5 << 20;

    public static void Map(WebApplication app, Workbench workbench)
    {
        app.MapGet("/plan", context => Answers.Html(context, PlanPage.Write(workbench)));
        app.MapGet("/api/plan", context => Answers.Checked(context, async () =>
        {
            PlanAsk ask = PlanAsk.Parse(context.Request.Query, workbench.Plans);
            object? view = await Alone(context, workbench, () => PlanView.Of(ask.Make(), ask));
            if (view is not null) await context.Response.WriteAsJsonAsync(view);
        }));
        app.MapGet("/plan/file/{name}", context => Answers.Checked(context, async () =>
        {
            string name = (string)context.GetRouteValue("name")!;
            if (PlanFiles.Names.All(n => n.Name != name)) throw new FormatException("There is no such file of a plan.");
            PlanAsk ask = PlanAsk.Parse(context.Request.Query, workbench.Plans);
            byte[]? bytes = await Alone(context, workbench, () => PlanFiles.Make(name, ask.Make(), ask)!);
            if (bytes is not null) await Answers.File(context, name, bytes, opens: name == "summary.html");
        }));
        app.MapGet("/api/outlook", context => Answers.Checked(context, () => Outlook(context, workbench)));
        app.MapGet("/api/print-scale", context => Answers.Checked(context, () =>
        {
            bool inch = context.Request.Query["bar"] == "inch";
            double bar = inch ? PrintScale.InchBarMm : PrintScale.BarMm;
            if (!Length.TryParse(context.Request.Query["measured"], out Length measured) || !(measured.Millimetres >= bar / 2 && measured.Millimetres <= 2 * bar))
                throw new FormatException("Give what your ruler says the bar is long, with its unit, such as 97.3 mm.");
            return context.Response.WriteAsJsonAsync(new { words = PrintScale.FromBar(measured.Millimetres, bar).Message });
        }));
        app.MapGet("/corner-rule.pdf", context => Answers.File(context, "corner-rule.pdf", ReferenceSheetPdf.Draw(context.Request.Query["paper"] == "letter" ? "letter" : "a4", ReferenceMarks.CellsOf)));
        app.MapPost("/api/plans", context => Answers.Checked(context, () => Keep(context, workbench)));
    }

    /// <summary>One plan is worked out at a time; the page asks again when it was not its turn.</summary>
    private static async Task<T?> Alone<T>(HttpContext context, Workbench workbench, Func<T> work) where T : class
    {
        if (!await workbench.Planning.WaitAsync(TimeSpan.FromSeconds(4), context.RequestAborted))
        {
            await Trouble.Busy(context);
            return null;
        }
        try
        {
            return await Task.Run(work, context.RequestAborted);
        }
        finally
        {
            workbench.Planning.Release();
        }
    }

    /// <summary>A plan.json as body, or the plan that the query asks for.</summary>
    private static async Task Keep(HttpContext context, Workbench workbench)
    {
        string json;
        if (context.Request.ContentLength > 2)
        {
            byte[] body = await Answers.Body(context, LargestPlanFile) ?? throw new FormatException("This file is far too large to be a plan; choose the plan.json that the plan page or the plan command wrote.");
            json = Encoding.UTF8.GetString(body).TrimStart('\uFEFF');
        }
        else
        {
            PlanAsk ask = PlanAsk.Parse(context.Request.Query, workbench.Plans);
            if (await Alone(context, workbench, () => PlanWriter.Write(ask.Make())) is not { } made) return;
            json = made;
        }
        KeptPlan kept = workbench.Plans.Keep(json, context.Request.Query["name"]);
        await context.Response.WriteAsJsonAsync(new { id = kept.Id });
    }

    /// <summary>"Which grid suits me?": the outlook of several spacings for one's own accuracy.</summary>
    private static async Task Outlook(HttpContext context, Workbench workbench)
    {
        IQueryCollection query = context.Request.Query;
        AccuracyProfile profile = Profile(query, workbench);
        BlockSize size = BlockChoice.Size(query["size"].ToString());
        string pattern = query["grid"].ToString().Split(':')[0];
        bool inches = query["units"] != "mm";
        double distance = Length.TryParse(query["distance"], out Length far) && far.Millimetres is >= 50 and <= 20_000 ? far.Millimetres : GridAdvice.DefaultDistanceMm;
        double closed = GridAdvice.ClosedMm(distance);
        var lengths = new LengthWords(inches);
        double[] spacings = inches ? [.. new[] { 0.5, 0.75, 1, 1.25, 1.5, 2 }.Select(v => v * Length.MillimetresPerInch)] : [12, 16, 20, 25, 30, 40, 50];
        object[]? rows = await Alone(context, workbench, () => spacings.Select(s => Row(s)).OfType<object>().ToArray());
        if (rows is null) return;
        await context.Response.WriteAsJsonAsync(new { placementMm = profile.PlacementMm, wobbleMm = profile.WobbleMm, distanceMm = distance, closedMm = closed, rows });

        object? Row(double spacing)
        {
            if (NamedGrids.Families(pattern, new Length(spacing), size) is not { } families) throw new FormatException("Choose one of the named patterns for this.");
            IntendedGrid grid;
            try
            {
                grid = new IntendedGrid(size, families);
            }
            catch (ArgumentException)
            {
                return null;
            }
            if (grid.Nodes.Count is 0 or > 2500) return null;
            GridOutlook outlook = GridAdvice.Look(grid, profile, closed);
            return new
            {
                spacing = lengths.Say(spacing),
                crossings = outlook.Intersections,
                closedPercent = 100 * outlook.ClosedShare,
                fairPercent = 100 * outlook.FairShare,
                unevenPercent = 100 * outlook.UnevenShare,
                looksRight = outlook.LooksRight,
            };
        }
    }

    private static AccuracyProfile Profile(IQueryCollection query, Workbench workbench)
    {
        if (query["report"].ToString() is { Length: > 0 } key)
        {
            return ReportSources.Find(workbench, key) is { } found
                ? AccuracyProfile.FromReport(found.Report) ?? throw new FormatException("Fewer than three lines were measured on this block; choose another.")
                : throw new FormatException("This block is no longer on the bench; choose another.");
        }
        if (!Length.TryParse(query["wobble"], out Length wobble) || !Length.TryParse(query["crossing"], out Length crossing) || wobble.Millimetres is < 0 or > 50 || crossing.Millimetres is < 0 or > 50)
            throw new FormatException("Give your wobble and your crossing error as lengths, such as 0.3 and 0.6 mm.");
        return AccuracyProfile.FromFigures(wobble.Millimetres, crossing.Millimetres);
    }
}
