using System.Globalization;
using System.Text;
using Analyzer.Core.Report;
using Analyzer.Practice.Log;
using Analyzer.Practice.Pages;
using Analyzer.Practice.Progress;
using Analyzer.Reporting;
using Analyzer.Web.Blocks;
using Analyzer.Web.Pages;
using Analyzer.Web.Plans;
using Analyzer.Web.Safety;

namespace Analyzer.Web.Routes;

/// <summary>The practice log: pages, adding, removing, export, import, backup. Every change is one transaction of the log itself.</summary>
internal static class LogRoutes
{
    private const int LargestOverlay = 5_000_000;

    public static void Map(WebApplication app, Workbench workbench)
    {
        app.MapGet("/log", context => Page(context, workbench, () =>
        {
            string? who = context.Request.Query["who"].ToString() is { Length: > 0 } given ? given : null;
            (IReadOnlyList<PracticeSession> Sessions, IReadOnlyList<string> People)? found = workbench.Log.Read(log => ((IReadOnlyList<PracticeSession>, IReadOnlyList<string>)?)(log.Sessions(who), log.People()));
            return LogPages.Overview(workbench, found?.Sessions ?? [], found?.People ?? [], who, Inches(context));
        }));
        app.MapGet("/log/{id:long}", context => Page(context, workbench, () => Session(context, workbench) is { } session ? LogPages.Session(workbench, session, Inches(context)) : null));
        app.MapGet("/log/progress", context => Page(context, workbench, () => Progress(context, workbench) is { } progress ? LogPages.Progress(workbench, progress) : null));
        app.MapGet("/log/progress.html", context => Guarded(context, () =>
            Progress(context, workbench) is { } progress ? Answers.File(context, "progress.html", Encoding.UTF8.GetBytes(ProgressPage.Render(progress))) : Trouble.NotFound(context)));
        app.MapGet("/log/{id:long}/{number:int}/{name}", context => Guarded(context, () => BlockFile(context, workbench)));
        app.MapGet("/log/export.zip", context => Guarded(context, () => Export(context, workbench)));
        app.MapPost("/api/log", context => Guarded(context, () => Add(context, workbench)));
        app.MapPost("/api/log/backup", context => Guarded(context, () => context.Response.WriteAsJsonAsync(new
        {
            words = workbench.Log.Read(log => log.BackUp()) is { } place ? $"Copied to {place}." : "There is nothing in the log yet.",
        })));
        app.MapPost("/api/log/import", context => Guarded(context, () => Import(context, workbench)));
        app.MapPost("/api/log/{id:long}/remove", context => Guarded(context, () =>
            workbench.Log.Read(log => log.Remove(Id(context))) ? Done(context) : Trouble.NotFound(context)));
        app.MapPost("/api/log/forget", context => Guarded(context, async () =>
        {
            Ask ask = await Answers.Ask<Ask>(context);
            bool gone = workbench.Log.Read(log => log.RemovePerson(ask.Who ?? ""));
            await context.Response.WriteAsJsonAsync(new { words = gone ? $"Removed everything of {ask.Who}. Backups made earlier still hold it." : "The log holds nothing of this person." });
        }));
    }

    private sealed record Ask(string? Who, string? Date, string? Minutes, string? BlockMinutes, string? Machine, string? Foot, string? Thread, string? Fabric, string? Note, string? Block, bool Again);

    private static async Task Add(HttpContext context, Workbench workbench)
    {
        Ask ask = await Answers.Ask<Ask>(context);
        string who = (ask.Who ?? "").Trim();
        Nickname.Check(who);
        double? minutes = Minutes(ask.Minutes, "Minutes practised"), blockMinutes = Minutes(ask.BlockMinutes, "The minutes of this block");
        BlockJob? job = null;
        if (ask.Block is { Length: > 0 } id)
        {
            job = workbench.Blocks.Find(id) ?? throw new FormatException("This block is no longer on the bench; measure its photo again.");
            if (job.Outcome is not { } measured || measured.Report.Outcome == "not-measurable" || measured.Report.Lines.Count == 0)
                throw new FormatException("This photo could not be measured, so there is nothing to save of it.");
        }
        else if (minutes is null)
        {
            throw new FormatException("Without a block there is nothing to save but minutes: fill them in.");
        }
        if (!DateOnly.TryParseExact(ask.Date, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateOnly date))
            throw new FormatException("The date is missing or cannot be read.");
        KeptPlan? plan = job?.Choice.Plan;
        PracticeBlock? block = job is null ? null : Block(job, blockMinutes);
        var session = new PracticeSession
        {
            Who = who,
            HeldOn = date,
            Minutes = minutes,
            Machine = Text(ask.Machine),
            Foot = Text(ask.Foot),
            Thread = Text(ask.Thread),
            Fabric = Text(ask.Fabric),
            Note = Text(ask.Note),
            Blocks = block is null ? [] : [block],
        };
        long? number = workbench.Log.Write(log =>
        {
            if (!ask.Again && block?.PhotoSha256 is { Length: > 0 } hash && log.Holds(who, hash)) return (long?)null;
            log.AddAll([session], plan is null ? [] : [new StoredPlan(plan.Name, plan.Json)]);
            return log.Sessions(who).First(s => s.Uid == session.Uid).Id;
        });
        if (number is null) await Trouble.Answer(context, StatusCodes.Status409Conflict, $"This photo is in the log of {who} already.");
        else await context.Response.WriteAsJsonAsync(new { id = number });
    }

    private static PracticeBlock Block(BlockJob job, double? minutes)
    {
        AccuracyReport report = job.Outcome!.Report;
        byte[]? overlay = ReportWriter.Render(report, job.Outcome.Picture, ReportOptions.Default).Files.GetValueOrDefault(ReportFiles.Overlay);
        return new PracticeBlock
        {
            ReportJson = ReportJson.Write(report),
            PhotoPath = report.Photo?.File,
            PhotoSha256 = report.Photo?.Sha256,
            StitchMinutes = minutes,
            Plan = job.Choice.Plan?.Name,
            OverlayPng = overlay is { Length: <= LargestOverlay } ? overlay : null,
        };
    }

    private static string? Text(string? text) => string.IsNullOrWhiteSpace(text) ? null : text.Trim() is { Length: <= 400 } fits ? fits : text.Trim()[..400];

    private static double? Minutes(string? text, string what)
    {
        if (string.IsNullOrWhiteSpace(text)) return null;
        return double.TryParse(text.Trim().Replace(',', '.'), NumberStyles.Float, CultureInfo.InvariantCulture, out double minutes) && minutes is >= 0 and <= 100_000
            ? minutes : throw new FormatException($"{what} should be a number of minutes, such as 40.");
    }

    private static PracticeSession? Session(HttpContext context, Workbench workbench) => workbench.Log.Read(log => log.Session(Id(context)));

    private static PracticeProgress? Progress(HttpContext context, Workbench workbench)
    {
        string who = context.Request.Query["who"].ToString();
        return workbench.Log.Read(log => log.Sessions(who)) is { Count: > 0 } sessions && who.Length > 0 ? ProgressReader.Read(sessions[0].Who, sessions) with { Inches = Inches(context) } : null;
    }

    private static bool Inches(HttpContext context) => context.Request.Query["units"] == "in";

    private static Task BlockFile(HttpContext context, Workbench workbench)
    {
        int number = int.Parse((string)context.GetRouteValue("number")!, CultureInfo.InvariantCulture);
        if (Session(context, workbench) is not { } session || number < 1 || number > session.Blocks.Count) return Trouble.NotFound(context);
        PracticeBlock block = session.Blocks[number - 1];
        return context.GetRouteValue("name") switch
        {
            "report.json" => Answers.File(context, "report.json", Encoding.UTF8.GetBytes(block.ReportJson)),
            "overlay.png" when block.OverlayPng is { } png => Answers.Send(context, png, "image/png"),
            _ => Trouble.NotFound(context),
        };
    }

    private static async Task Export(HttpContext context, Workbench workbench)
    {
        string path = workbench.Folder.NewFile(".export");
        try
        {
            if (!workbench.Log.Read(log => Written(log, path)))
            {
                await Trouble.Answer(context, StatusCodes.Status404NotFound, "There is nothing in the log yet, so there is nothing to export.");
                return;
            }
            context.Response.ContentType = "application/zip";
            context.Response.Headers.ContentDisposition = "attachment; filename=\"practice-log.zip\"";
            await context.Response.SendFileAsync(path, context.RequestAborted);
        }
        finally
        {
            File.Delete(path);
        }

        static bool Written(PracticeLog log, string path)
        {
            LogArchive.Export(log, path);
            return true;
        }
    }

    private static async Task Import(HttpContext context, Workbench workbench)
    {
        string path = workbench.Folder.NewFile(".import");
        try
        {
            if (await Intake.Save(context, path, 2 * workbench.Options.LargestPhoto) > 2 * workbench.Options.LargestPhoto)
                throw new FormatException("This file is too large for an export of the log here; use the log import command.");
            (int added, int all) = workbench.Log.Write(log => ImportOf(log, path));
            await context.Response.WriteAsJsonAsync(new { words = $"{added} of {all} sessions were new and are in the log now." });
        }
        finally
        {
            File.Delete(path);
        }

        static (int, int) ImportOf(PracticeLog log, string path)
        {
            try
            {
                return LogArchive.Import(log, path);
            }
            catch (PracticeLogException trouble)
            {
                throw new PracticeLogException(trouble.Message.Replace(path, "The file", StringComparison.Ordinal), trouble);
            }
        }
    }

    private static long Id(HttpContext context) => long.Parse((string)context.GetRouteValue("id")!, CultureInfo.InvariantCulture);

    private static Task Done(HttpContext context)
    {
        context.Response.StatusCode = StatusCodes.Status204NoContent;
        return Task.CompletedTask;
    }

    private static Task Page(HttpContext context, Workbench workbench, Func<string?> page)
    {
        try
        {
            return page() is { } html ? Answers.Html(context, html) : Trouble.NotFound(context);
        }
        catch (PracticeLogException trouble)
        {
            context.Response.StatusCode = StatusCodes.Status409Conflict;
            return Answers.Html(context, LogPages.Unusable(workbench, trouble.Message));
        }
    }

    private static async Task Guarded(HttpContext context, Func<Task> work)
    {
        string sentence;
        try
        {
            await Answers.Checked(context, work);
            return;
        }
        catch (PracticeLogException trouble)
        {
            sentence = trouble.Message;
        }
        await Trouble.Answer(context, StatusCodes.Status409Conflict, sentence);
    }
}
