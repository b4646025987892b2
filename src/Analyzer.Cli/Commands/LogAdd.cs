using System.Globalization;
using Analyzer.Cli.Shell;
using Analyzer.Core.Report;
using Analyzer.Planning;
using Analyzer.Practice.Log;

namespace Analyzer.Cli.Commands;

/// <summary>"log add".</summary>
internal static class LogAdd
{
    private static readonly string[] Options =
        ["--log", "--who", "--date", "--minutes", "--block-minutes", "--machine", "--foot", "--thread", "--fabric", "--note", "--plan-file"];

    public static int Run(string[] words, Terminal terminal)
    {
        Arguments arguments = Arguments.Parse(words, Options, ["--again"]);
        string who = arguments.Value("--who") ?? throw new UserErrorException("--who is missing: give a nickname, such as --who me.");
        Nickname.Check(who);
        double? minutes = Minutes(arguments, "--minutes"), blockMinutes = Minutes(arguments, "--block-minutes");
        if (arguments.Plain.Count == 0 && minutes is null)
            throw new UserErrorException("There is nothing to log: give a report.json, or --minutes for practice without a block.");
        StoredPlan? plan = Plan(arguments);
        var blocks = arguments.Plain.Select(path => Block(path, blockMinutes, plan?.Name)).ToList();
        using PracticeLog log = LogCommand.Open(arguments);
        if (plan is not null)
        {
            plan = Named(plan, log.Plans());
            blocks = [.. blocks.Select(b => b with { Plan = plan.Name })];
        }
        if (!arguments.Has("--again"))
            foreach (PracticeBlock block in blocks)
                if (block.PhotoSha256 is { Length: > 0 } hash && log.Holds(who, hash))
                    throw new UserErrorException($"{block.PhotoPath ?? "This photo"} is in the log of {who} already; --again stores it once more.", ExitCodes.Failed);
        var session = new PracticeSession
        {
            Who = who.Trim(),
            HeldOn = Date(arguments, blocks),
            Minutes = minutes,
            Machine = arguments.Value("--machine"),
            Foot = arguments.Value("--foot"),
            Thread = arguments.Value("--thread"),
            Fabric = arguments.Value("--fabric"),
            Note = arguments.Value("--note"),
            Blocks = blocks,
        };
        log.AddAll([session], plan is null ? [] : [plan]);
        terminal.Out.WriteLine(string.Create(CultureInfo.InvariantCulture,
            $"Logged for {session.Who} on {session.HeldOn:yyyy-MM-dd}: {blocks.Count} block{(blocks.Count == 1 ? "" : "s")}{(minutes is { } m ? $", {m:0.#} minutes" : "")}."));
        return ExitCodes.Done;
    }

    private static PracticeBlock Block(string path, double? minutes, string? plan)
    {
        string text = UserFiles.ReportText(path);
        AccuracyReport report = ReportJson.Read(text);
        if (report.Outcome == "not-measurable" || report.Lines.Count == 0)
            throw new UserErrorException($"{path}: this photo could not be measured, so there is nothing to log. Take it again and measure it first.", ExitCodes.NotMeasurable);
        string overlay = Path.Combine(Directory.Exists(path) ? path : Path.GetDirectoryName(Path.GetFullPath(path))!, "overlay.png");
        const long largest = 5_000_000;
        return new PracticeBlock
        {
            ReportJson = text,
            PhotoPath = report.Photo?.File,
            PhotoSha256 = report.Photo?.Sha256,
            StitchMinutes = minutes,
            Plan = plan,
            OverlayPng = File.Exists(overlay) && new FileInfo(overlay).Length <= largest ? File.ReadAllBytes(overlay) : null,
        };
    }

    private static StoredPlan? Plan(Arguments arguments)
    {
        if (arguments.Value("--plan-file") is not { } path) return null;
        try
        {
            string text = File.ReadAllText(path);
            PlanFile.Read(text);
            return new StoredPlan(Path.GetFileName(Path.GetDirectoryName(Path.GetFullPath(path))) ?? "plan", text);
        }
        catch (Exception trouble) when (trouble is FormatException or IOException or UnauthorizedAccessException or ArgumentException)
        {
            throw new UserErrorException($"--plan-file {path} cannot be read as a plan; give the plan.json that the plan command wrote.", inner: trouble);
        }
    }

    /// <summary>A name that no other plan in the log has: an earlier block keeps the plan it was sewn after.</summary>
    private static StoredPlan Named(StoredPlan plan, IReadOnlyList<StoredPlan> known)
    {
        string name = plan.Name;
        for (int n = 2; known.Any(k => k.Name.Equals(name, StringComparison.OrdinalIgnoreCase) && k.PlanJson != plan.PlanJson); n++) name = $"{plan.Name}-{n}";
        return plan with { Name = name };
    }

    private static double? Minutes(Arguments arguments, string name)
    {
        if (arguments.Value(name) is not { } text) return null;
        if (!double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double minutes) || !(minutes is >= 0 and <= 100_000))
            throw new UserErrorException($"{name} \"{text}\" should be a number of minutes, such as 40.");
        return minutes;
    }

    private static DateOnly Date(Arguments arguments, List<PracticeBlock> blocks)
    {
        if (arguments.Value("--date") is { } text)
            return DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateOnly given) ? given
                : throw new UserErrorException($"--date \"{text}\" should be a date such as 2026-03-14.");
        string? taken = blocks.Select(b => ReportJson.Read(b.ReportJson).Photo?.TakenOn).FirstOrDefault(t => t is { Length: >= 10 });
        if (taken is not null && DateOnly.TryParseExact(taken[..10].Replace(':', '-'), "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateOnly photo)) return photo;
        return DateOnly.FromDateTime(DateTime.Now);
    }
}
