using System.Globalization;
using Analyzer.Cli.Shell;
using Analyzer.Core.Units;
using Analyzer.Planning;
using Analyzer.Practice.Classroom;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Practice.Log;
using Analyzer.Practice.Pages;
using Analyzer.Practice.Progress;

namespace Analyzer.Cli.Commands;

/// <summary>"log list", "log show" and "log progress".</summary>
internal static class LogReading
{
    public static int List(string[] words, Terminal terminal)
    {
        Arguments arguments = Arguments.Parse(words, ["--log", "--who", UnitsOption.Name], []);
        bool inches = UnitsOption.Inches(arguments);
        double k = Measure.Offset.Scale(inches);
        string digits = inches ? "0.000" : "0.00";
        using PracticeLog log = LogCommand.OpenExisting(arguments);
        IReadOnlyList<PracticeSession> sessions = log.Sessions(arguments.Value("--who"));
        if (sessions.Count == 0)
        {
            terminal.Out.WriteLine(arguments.Value("--who") is { } who ? $"The log holds nothing of {who}." : "The log is empty.");
            return ExitCodes.Done;
        }
        terminal.Out.WriteLine($"{"ID",5}  {"date",-10}  {"who",-16} {"minutes",8} {"blocks",7} {"placement",10} {"wobble",8} {"crossing",9}");
        foreach (PracticeSession s in sessions)
        {
            BlockNumbers? n = s.Blocks.Count > 0 ? BlockNumbers.TryOf(s.Blocks[^1].ReportJson) : null;
            terminal.Out.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"{s.Id,5}  {s.HeldOn:yyyy-MM-dd}  {s.Who,-16} {Text(s.Minutes, "0.#"),8} {s.Blocks.Count,7} {Text(k * n?.OffsetMm.Value, digits),10} {Text(k * n?.WobbleMm.Value, digits),8} {Text(k * n?.CrossingMm.Value, digits),9}"));
        }
        terminal.Out.WriteLine($"Placement, wobble r.m.s. and crossing error in {(inches ? "inches" : "mm")}, of the session's last block.");
        return ExitCodes.Done;
    }

    public static int Show(string[] words, Terminal terminal)
    {
        Arguments arguments = Arguments.Parse(words, ["--log", "--out", UnitsOption.Name], []);
        bool inches = UnitsOption.Inches(arguments);
        using PracticeLog log = LogCommand.OpenExisting(arguments);
        PracticeSession s = log.Session(Id(arguments)) ?? throw new UserErrorException($"The log holds no session {arguments.Plain[0]}; log list shows the numbers.", ExitCodes.Failed);
        terminal.Out.WriteLine(string.Create(CultureInfo.InvariantCulture, $"Session {s.Id}: {s.Who}, {s.HeldOn:yyyy-MM-dd}{(s.Minutes is { } m ? $", {m:0.#} minutes" : "")}"));
        foreach ((string name, string? value) in new[] { ("Machine", s.Machine), ("Foot", s.Foot), ("Thread", s.Thread), ("Fabric", s.Fabric), ("Note", s.Note) })
            if (!string.IsNullOrWhiteSpace(value)) terminal.Out.WriteLine($"{name}: {value}");
        int number = 0;
        foreach (PracticeBlock block in s.Blocks) ShowBlock(block, Order(log, block), inches, ++number, arguments.Value("--out"), terminal);
        return ExitCodes.Done;
    }

    /// <summary>The order the block's lines were sewn in, off the plan stored with it.</summary>
    private static IReadOnlyList<string>? Order(PracticeLog log, PracticeBlock block)
    {
        if (block.Plan is not { } name || log.Plans().FirstOrDefault(p => p.Name.Equals(name, StringComparison.OrdinalIgnoreCase)) is not { } stored) return null;
        try
        {
            return PlanFile.Read(stored.PlanJson).LineOrder is { Count: > 0 } order ? order : null;
        }
        catch (FormatException)
        {
            return null;
        }
    }

    private static void ShowBlock(PracticeBlock block, IReadOnlyList<string>? order, bool inches, int number, string? folder, Terminal terminal)
    {
        terminal.Out.WriteLine($"Block {number}: photo {block.PhotoPath ?? "unknown"}{(block.Plan is null ? "" : $", plan {block.Plan}")}");
        try
        {
            var compared = new ComparedBlock(Core.Report.ReportJson.Read(block.ReportJson), "block", BlockComparer.DefaultToleranceMm);
            BlockNumbers numbers = BlockNumbers.Of(compared);
            foreach (Measure m in Measure.All)
                if (numbers.Of(m) is { Value: { } value } v) terminal.Out.WriteLine($"  {m.Name,-28} {m.Text(value, unit: true, inches: inches)}{(v.U is { } u ? $" ± {m.Unsure(u, inches: inches)}" : "")}");
            foreach (Finding f in FindingReader.Read(compared, order).Findings)
            {
                terminal.Out.WriteLine($"  - {LengthSentence.In(f.Sentence, inches)}");
                terminal.Out.WriteLine($"    {LengthSentence.In(f.Drill, inches)}");
            }
        }
        catch (FormatException trouble)
        {
            terminal.Out.WriteLine($"  {trouble.Message}");
        }
        if (folder is null) return;
        UserFiles.Guard(folder, () =>
        {
            Directory.CreateDirectory(folder);
            ClassWriter.WriteAside(Path.Combine(folder, number == 1 ? "report.json" : $"report-{number}.json"), block.ReportJson);
            if (block.OverlayPng is { } png) ClassWriter.WriteAside(Path.Combine(folder, number == 1 ? "overlay.png" : $"overlay-{number}.png"), png);
        });
    }

    public static int Progress(string[] words, Terminal terminal, CancellationToken cancel)
    {
        Arguments arguments = Arguments.Parse(words, ["--log", "--who", "--out", UnitsOption.Name], []);
        bool inches = UnitsOption.Inches(arguments);
        using PracticeLog log = LogCommand.OpenExisting(arguments);
        IReadOnlyList<string> people = log.People();
        string who = arguments.Value("--who") ?? (people.Count == 1 ? people[0] : throw new UserErrorException($"--who is missing: the log holds {(people.Count == 0 ? "nobody yet" : string.Join(", ", people))}."));
        IReadOnlyList<PracticeSession> sessions = log.Sessions(who);
        if (sessions.Count == 0) throw new UserErrorException($"The log holds nothing of {who}.", ExitCodes.Failed);
        PracticeProgress progress = ProgressReader.Read(sessions[0].Who, sessions) with { Inches = inches };
        cancel.ThrowIfCancellationRequested();
        if (progress.Invented) terminal.Out.WriteLine("Invented data: made by a program, nobody sewed these blocks.");
        terminal.Out.WriteLine($"{progress.Who}: {progress.Points.Count} measured blocks, {sessions.Count} sessions.");
        foreach (string note in progress.Notes) terminal.Out.WriteLine("Note: " + note);
        foreach (MeasureTrend t in progress.Trends) terminal.Out.WriteLine($"{t.Measure.Name,-26} {LengthSentence.In(t.Sentence, inches)}");
        terminal.Out.WriteLine($"{"Speed against accuracy",-26} {progress.PaceSentence}");
        if (arguments.Value("--out") is { } folder)
        {
            UserFiles.Guard(folder, () =>
            {
                Directory.CreateDirectory(folder);
                ClassWriter.WriteAside(Path.Combine(folder, "progress.html"), ProgressPage.Render(progress));
            });
            terminal.Out.WriteLine($"Page: {Path.Combine(folder, "progress.html")}");
        }
        return ExitCodes.Done;
    }

    public static long Id(Arguments arguments)
    {
        if (arguments.Plain.Count != 1 || !long.TryParse(arguments.Plain[0], NumberStyles.None, CultureInfo.InvariantCulture, out long id))
            throw new UserErrorException("Give the number of one session; log list shows the numbers.");
        return id;
    }

    private static string Text(double? value, string format) => value?.ToString(format, CultureInfo.InvariantCulture) ?? "–";
}
