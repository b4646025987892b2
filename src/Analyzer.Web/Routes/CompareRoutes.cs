using System.Globalization;
using System.Text;
using Analyzer.Core.Report;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Practice.Pages;
using Analyzer.Web.Blocks;
using Analyzer.Web.Pages;
using Analyzer.Web.Practice;
using Analyzer.Web.Safety;

namespace Analyzer.Web.Routes;

/// <summary>Comparing two blocks, and opening reports from files for it.</summary>
internal static class CompareRoutes
{
    private const int LargestReport = 40 << 20;

    public static void Map(WebApplication app, Workbench workbench)
    {
        app.MapGet("/compare", context => Answers.Html(context, ComparePages.Choose(workbench, context.Request.Query["before"], context.Request.Query["after"])));
        app.MapGet("/compare/view", context =>
        {
            try
            {
                (Comparison comparison, FindingList next) = Read(context, workbench);
                return Answers.Html(context, ComparePages.View(workbench, comparison, next, context.Request.QueryString.Value?.TrimStart('?') ?? ""));
            }
            catch (FormatException trouble)
            {
                context.Response.StatusCode = StatusCodes.Status400BadRequest;
                return Answers.Html(context, ComparePages.Choose(workbench, context.Request.Query["before"], context.Request.Query["after"], trouble.Message));
            }
        });
        app.MapGet("/compare/compare.html", context => Answers.Checked(context, () =>
        {
            (Comparison comparison, FindingList next) = Read(context, workbench);
            return Answers.File(context, "compare.html", Encoding.UTF8.GetBytes(ComparePage.Render(comparison, next)));
        }));
        app.MapGet("/compare/compare.json", context => Answers.Checked(context, () =>
        {
            (Comparison comparison, FindingList next) = Read(context, workbench);
            return Answers.File(context, "compare.json", Encoding.UTF8.GetBytes(CompareJson.Write(comparison, next)));
        }));
        app.MapPost("/api/reports", context => Answers.Checked(context, async () =>
        {
            if (!await workbench.Uploads.WaitAsync(0))
            {
                await Trouble.Busy(context);
                return;
            }
            try
            {
                byte[] body = await Answers.Body(context, LargestReport) ?? throw new FormatException("This file is far too large to be a report.");
                AccuracyReport report = ReportJson.Read(Encoding.UTF8.GetString(body).TrimStart('\uFEFF'));
                string name = context.Request.Query["name"].ToString();
                // What cannot be compared is refused at once, not after it was chosen.
                _ = new ComparedBlock(report, DisplayName.Of(name), BlockComparer.DefaultToleranceMm);
                await context.Response.WriteAsJsonAsync(new { key = "f-" + workbench.Opened.Keep(report.Photo?.File ?? name, report).Id });
            }
            finally
            {
                workbench.Uploads.Release();
            }
        }));
    }

    private static (Comparison, FindingList) Read(HttpContext context, Workbench workbench)
    {
        string text = context.Request.Query["tolerance"].ToString().Replace(',', '.');
        double tolerance = BlockComparer.DefaultToleranceMm;
        if (text.Length > 0 && (!double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out tolerance) || !(tolerance is > 0 and <= 20)))
            throw new FormatException("How far counts as on the line should be a number above 0 and up to 20 mm.");
        return Comparing.Of(workbench, context.Request.Query["before"], context.Request.Query["after"], tolerance, context.Request.Query["units"] == "in");
    }
}
