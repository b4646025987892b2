using System.Globalization;
using System.Text;
using Analyzer.Cli.Shell;
using Analyzer.Core.Report;
using Analyzer.Practice.Repeats;
using Analyzer.Reporting;
using Analyzer.Reporting.Html;

namespace Analyzer.Cli.Commands;

/// <summary>Several photos of one block: pooled numbers, repeatability and the smallest change that counts, printed and written.</summary>
internal static class MeasureRepeats
{
    private const string PageName = "repeats.html";

    public static void Tell(IReadOnlyList<AccuracyReport> reports, string folder, Terminal terminal, CancellationToken cancel)
    {
        if (RepeatStudy.Of(reports) is not { } repeats) return;
        terminal.Out.WriteLine(repeats.IsOneBlock ? $"{repeats.Photos.Count} photos taken together" : "The photos taken together");
        foreach (RepeatMeasure m in repeats.Measures)
        {
            string unit = m.Unit == "deg" ? "degrees" : "mm";
            terminal.Out.WriteLine(string.Create(CultureInfo.InvariantCulture,
                $"  {m.Name,-12} spread from photo to photo {m.RepeatabilitySd:0.000} {unit}; a change counts from {m.SmallestChangeOnePhoto:0.000} {unit} (one photo) or {m.SmallestChangeMean:0.000} {unit} (mean of {repeats.Photos.Count})"));
        }
        foreach (string remark in repeats.Remarks) terminal.Out.WriteLine("  " + remark);
        var files = new Dictionary<string, byte[]>(StringComparer.Ordinal) { [PageName] = Encoding.UTF8.GetBytes(RepeatPage.Write(repeats)) };
        if (repeats.IsOneBlock) files[ReportFiles.Json] = Encoding.UTF8.GetBytes(ReportJson.Write(Pooled(reports, repeats)) + "\n");
        MeasureFiles.Guard(() => ReportFolder.Write(folder, new ReportFiles(files), cancel));
        terminal.Out.WriteLine($"Taken together: {Path.Combine(folder, PageName)}");
    }

    /// <summary>The first measured report with the means of all photos in place of its numbers; samples stay with the single photos.</summary>
    private static AccuracyReport Pooled(IReadOnlyList<AccuracyReport> reports, RepeatReport repeats)
    {
        AccuracyReport[] measured = [.. reports.Where(r => r.Outcome != "not-measurable").DistinctBy(r => r.Photo?.Sha256)];
        AccuracyReport first = measured[0];
        return first with
        {
            Repeats = repeats,
            ErrorBudget = null,
            ExtraLines = [],
            Turns = [],
            Lines =
            [
                .. first.Lines.Select((line, i) => line with
                {
                    OffsetMm = Mean(repeats, "offset", line.Id, [.. measured.Select(r => r.Lines[i].OffsetMm)]),
                    AngleDeg = Mean(repeats, "angle", line.Id, [.. measured.Select(r => r.Lines[i].AngleDeg)]),
                    StraightnessTotalMm = Mean(repeats, "whole width", line.Id, [.. measured.Select(r => r.Lines[i].StraightnessTotalMm)]),
                    StraightnessRmsMm = Mean(repeats, "wobble", line.Id, [.. measured.Select(r => r.Lines[i].StraightnessRmsMm)]),
                    Samples = [],
                }),
            ],
            Intersections = [.. first.Intersections.Select((n, i) => n with { RadialMm = Mean(repeats, "crossing", n.Id, [.. measured.Select(r => r.Intersections[i].RadialMm)]), Crossings = [], StitchedMm = null, MissTriangleMm = n.MissTriangleMm is null ? null : MeasuredValue.Unknown })],
        };
    }

    /// <summary>Mean with the larger of what the photos' spread and what they claim themselves leave: what all photos share does not average out.</summary>
    private static MeasuredValue Mean(RepeatReport repeats, string name, string id, MeasuredValue[] singles)
    {
        if (repeats.Measures.FirstOrDefault(m => m.Name == name)?.Items.FirstOrDefault(i => i.Id == id) is not { } item) return MeasuredValue.Unknown;
        double claimed = singles.Select(s => s.U ?? 0).DefaultIfEmpty(0).Average();
        return new MeasuredValue(Math.Round(item.Mean, 4), Math.Round(Math.Max(claimed, item.Sd / Math.Sqrt(item.Values.Count)), 4));
    }
}
