using System.Globalization;
using Analyzer.Core.Report;
using Analyzer.Core.Statistics;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Repeats;

/// <summary>Pools photos of one block: lines (or crossings) are the levels, photos the repeats (ISO 5725-2; Shrout and Fleiss 1979 for the reliability).</summary>
public static class RepeatStudy
{
    /// <summary>Offsets of one block agree between photos much better than lines differ; below this the photos show different blocks.</summary>
    private const double SameBlockReliability = 0.5;

    /// <summary>Fewest lines by which blocks can be told apart.</summary>
    private const int FewestLines = 5;

    /// <summary>Null when fewer than two different photos were measured; the same file named twice is one photo.</summary>
    public static RepeatReport? Of(IReadOnlyList<AccuracyReport> reports)
    {
        AccuracyReport[] measured = [.. reports.Where(r => r.Outcome != "not-measurable").DistinctBy(r => r.Photo?.Sha256)];
        if (measured.Length < 2) return null;
        var measures = new List<RepeatMeasure>();
        void Add(string name, string unit, Func<AccuracyReport, IEnumerable<(string Id, double? Value)>> read)
        {
            if (Measure(name, unit, [.. measured.Select(r => read(r).Where(p => p.Value is not null).ToDictionary(p => p.Id, p => p.Value!.Value))]) is { } m) measures.Add(m);
        }
        Add("wobble", "mm", r => r.Lines.Select(l => (l.Id, l.StraightnessRmsMm.Value)));
        Add("whole width", "mm", r => r.Lines.Select(l => (l.Id, l.StraightnessTotalMm.Value)));
        Add("offset", "mm", r => r.Lines.Select(l => (l.Id, l.OffsetMm.Value)));
        Add("angle", "deg", r => r.Lines.Select(l => (l.Id, l.AngleDeg.Value)));
        Add("crossing", "mm", r => r.Intersections.Select(n => (n.Id, n.RadialMm.Value)));
        string[] names = [.. measured.Select(r => r.Photo?.File ?? "photo")];
        RepeatMeasure? offset = measures.FirstOrDefault(m => m.Name == "offset");
        if (offset is { Reliability: < SameBlockReliability } && offset.Items.Count >= FewestLines)
        {
            return new RepeatReport(names, [], ["The photos do not show the same block: the lines' offsets do not go together. Nothing was pooled; each photo has its own report."]) { IsOneBlock = false };
        }
        return new RepeatReport(names, measures, [.. Remarks(reports.Count, measured, measures)]);
    }

    internal static RepeatMeasure? Measure(string name, string unit, IReadOnlyList<IReadOnlyDictionary<string, double>> photos)
    {
        string[] ids = [.. photos[0].Keys.Where(id => photos.All(p => p.ContainsKey(id)))];
        if (ids.Length == 0) return null;
        double[][] rows = [.. ids.Select(id => photos.Select(p => p[id]).ToArray())];
        double sd = ids.Length == 1 ? Moments.Sd(rows[0]) : Repeatability.Of(rows).RepeatabilitySd;
        double? reliability = ids.Length >= 3 ? IntraclassCorrelation.Of(rows).Icc31 : null;
        return new RepeatMeasure(name, unit, sd, 2.8 * sd, 2.8 * sd / Math.Sqrt(photos.Count), reliability is { } r && double.IsFinite(r) ? r : null,
            [.. ids.Select((id, i) => new RepeatItem(id, Moments.Mean(rows[i]), Moments.Sd(rows[i]), rows[i]))]);
    }

    private static IEnumerable<string> Remarks(int given, AccuracyReport[] measured, List<RepeatMeasure> measures)
    {
        if (measured.Length < given) yield return $"{given - measured.Length} of {given} photos could not be measured, or were named twice, and {(given - measured.Length == 1 ? "is" : "are")} left out.";
        if (measured.Length == 2) yield return "Two photos tell the repeatability only roughly; three or more tell it better.";
        if (measures.FirstOrDefault(m => m.Name == "wobble") is { } wobble)
        {
            yield return string.Create(CultureInfo.InvariantCulture,
                $"A line's wobble (r.m.s.) must change by more than {wobble.SmallestChangeOnePhoto:0.000} mm between two single photos, or {wobble.SmallestChangeMean:0.000} mm between two such sets of photos, before the change counts.");
        }
        yield return "The repeatability holds for photos taken as these were: same camera, same light, same person. What all photos share, such as the size you gave, does not show in it.";
    }
}
