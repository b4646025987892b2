using System.Globalization;
using System.Security.Cryptography;
using Analyzer.Core.Report;
using Analyzer.Practice.Log;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Practice;

/// <summary>A report that can be compared: where it comes from, and what to call it.</summary>
internal sealed record ReportSource(string Key, string Name);

/// <summary>Measured blocks wherever they are: on the bench ("b-"), opened from a file ("f-"), in the practice log ("l-").</summary>
internal static class ReportSources
{
    public static IEnumerable<ReportSource> Bench(Workbench workbench) =>
        workbench.Blocks.All().Where(job => job.Outcome is { Report.Block: not null } outcome && outcome.Report.Lines.Any(l => l.Samples.Count > 0))
            .Select(job => new ReportSource("b-" + job.Id, $"{job.FileName} ({Size(job.Outcome!.Report)})"));

    public static IEnumerable<ReportSource> Opened(Workbench workbench) => workbench.Opened.All().Select(o => new ReportSource("f-" + o.Id, $"{o.Name} ({Size(o.Report)})"));

    /// <summary>Newest first; empty where there is no log yet, or where it cannot be read.</summary>
    public static IReadOnlyList<ReportSource> Logged(Workbench workbench)
    {
        try
        {
            return workbench.Log.Read(log => log.Sessions().Reverse().SelectMany(s => s.Blocks.Select((b, i) => new ReportSource(
                string.Create(CultureInfo.InvariantCulture, $"l-{s.Id}-{i + 1}"),
                string.Create(CultureInfo.InvariantCulture, $"{s.Who}, {s.HeldOn:yyyy-MM-dd}: {DisplayName.Of(b.PhotoPath)}")))).Take(200).ToArray()) ?? [];
        }
        catch (PracticeLogException)
        {
            return [];
        }
    }

    public static (AccuracyReport Report, string Name, BlockJob? Job)? Find(Workbench workbench, string key)
    {
        if (key.StartsWith("b-", StringComparison.Ordinal) && workbench.Blocks.Find(key[2..]) is { Outcome: { } outcome } job) return (outcome.Report, job.FileName, job);
        if (key.StartsWith("f-", StringComparison.Ordinal) && workbench.Opened.Find(key[2..]) is { } opened) return (opened.Report, opened.Name, null);
        string[] parts = key.Split('-');
        if (parts.Length != 3 || parts[0] != "l" || !long.TryParse(parts[1], NumberStyles.None, CultureInfo.InvariantCulture, out long id)
            || !int.TryParse(parts[2], NumberStyles.None, CultureInfo.InvariantCulture, out int number)) return null;
        try
        {
            return workbench.Log.Read(log => log.Session(id)) is { } session && number >= 1 && number <= session.Blocks.Count
                ? (ReportJson.Read(session.Blocks[number - 1].ReportJson), string.Create(CultureInfo.InvariantCulture, $"{session.Who}, {session.HeldOn:yyyy-MM-dd}"), null)
                : null;
        }
        catch (PracticeLogException)
        {
            return null;
        }
    }

    private static string Size(AccuracyReport report) => report.Block is { } b ? string.Create(CultureInfo.InvariantCulture, $"{b.WidthMm:0.#} x {b.HeightMm:0.#} mm, {report.Lines.Count} lines") : "no block";
}

/// <summary>A report.json opened from a file.</summary>
internal sealed record OpenedReport(string Id, string Name, AccuracyReport Report);

/// <summary>Reports opened from files in this run, a bounded number; the oldest goes first.</summary>
internal sealed class OpenedReports
{
    private const int Most = 12;

    private readonly Lock _gate = new();
    private readonly List<OpenedReport> _all = [];

    public OpenedReport Keep(string name, AccuracyReport report)
    {
        var opened = new OpenedReport(Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(16)), DisplayName.Of(name), report);
        lock (_gate)
        {
            if (_all.Count >= Most) _all.RemoveAt(0);
            _all.Add(opened);
        }
        return opened;
    }

    public OpenedReport? Find(string id)
    {
        lock (_gate) return _all.Find(o => o.Id == id);
    }

    public IReadOnlyList<OpenedReport> All()
    {
        lock (_gate) return [.. _all];
    }
}
