using System.Globalization;
using System.Text;
using Analyzer.Core.Report;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Practice.Log;
using Analyzer.Practice.Progress;

namespace Analyzer.Practice.Classroom;

/// <summary>One person of the class: the latest block, what to practise, and the change since the block before.</summary>
public sealed record ClassPerson(string Name, ComparedBlock? Latest, BlockNumbers? Numbers, FindingList? Next, Comparison? SinceLast, IReadOnlyList<string> Problems)
{
    /// <summary>True when the person reads inches; the numbers here are mm all the same.</summary>
    public bool Inches { get; init; }
}

/// <summary>The class as a whole, people in the order of their names as given; nobody is ranked.</summary>
public sealed record ClassSummary(IReadOnlyList<ClassPerson> People, IReadOnlyList<(string InCommon, int Count)> Common)
{
    public int Measured => People.Count(p => p.Latest is not null);

    /// <param name="stitchedOrder">Line ids in the order the class sewed them, when its plan is known.</param>
    public static ClassSummary Of(
        IReadOnlyList<ClassResult> results, double toleranceMm = BlockComparer.DefaultToleranceMm, IReadOnlyList<string>? stitchedOrder = null, bool inches = false)
    {
        List<ClassPerson> people = [.. results.GroupBy(r => r.Item.Person, StringComparer.OrdinalIgnoreCase).OrderBy(g => g.Key, StringComparer.OrdinalIgnoreCase)
            .Select(g => Person(g.Key, [.. g], toleranceMm, stitchedOrder) with { Inches = inches })];
        List<(string, int)> common = [.. people.SelectMany(p => (p.Next?.Findings ?? []).Select(f => f.InCommon).Distinct())
            .GroupBy(text => text).Select(g => (g.Key, g.Count())).Where(g => g.Item2 >= 2).OrderByDescending(g => g.Item2).ThenBy(g => g.Key, StringComparer.Ordinal)];
        return new ClassSummary(people, common);
    }

    /// <summary>One row a photo measured last, numbers in invariant culture.</summary>
    public string Csv()
    {
        var text = new StringBuilder("person,photo,offset_mm,angle_deg,wobble_mm,crossing_mm,miss_triangle_mm,within_percent,finding_1,finding_2,finding_3,change_since_last,problem\n");
        foreach (ClassPerson p in People)
        {
            string[] findings = [.. (p.Next?.Findings ?? []).Select(f => f.Sentence), "", "", ""];
            text.AppendJoin(',', CsvText.Cell(p.Name), CsvText.Cell(p.Latest?.Report.Photo?.File), CsvText.Cell(p.Numbers?.OffsetMm.Value), CsvText.Cell(p.Numbers?.AngleDeg.Value),
                CsvText.Cell(p.Numbers?.WobbleMm.Value), CsvText.Cell(p.Numbers?.CrossingMm.Value), CsvText.Cell(p.Numbers?.Of(Measure.Triangle).Value), CsvText.Cell(p.Numbers?.WithinPercent.Value),
                CsvText.Cell(findings[0]), CsvText.Cell(findings[1]), CsvText.Cell(findings[2]), CsvText.Cell(p.SinceLast is null ? null : Pages.ComparePage.Headline(p.SinceLast)), CsvText.Cell(string.Join(" ", p.Problems))).Append('\n');
        }
        return text.ToString();
    }

    private static ClassPerson Person(string name, List<ClassResult> results, double toleranceMm, IReadOnlyList<string>? stitchedOrder)
    {
        var problems = results.Where(r => r.Problem is not null).Select(r => r.ProblemOfFile!).ToList();
        var blocks = new List<ComparedBlock>();
        foreach (ClassResult result in results.Where(r => r.Report is not null).OrderBy(r => TakenOn(r.Report!), StringComparer.Ordinal).ThenBy(r => r.Item.Path, StringComparer.Ordinal))
            try
            {
                blocks.Add(new ComparedBlock(result.Report!, Path.GetFileName(result.Item.Path), toleranceMm));
            }
            catch (FormatException trouble)
            {
                problems.Add(trouble.Message);
            }
        ComparedBlock? latest = blocks.LastOrDefault();
        Comparison? change = blocks.Count > 1 ? BlockComparer.Compare(blocks[^2], blocks[^1], toleranceMm) : null;
        return new ClassPerson(name, latest, latest is null ? null : BlockNumbers.Of(latest), latest is null ? null : FindingReader.Read(latest, stitchedOrder), change, problems);
    }

    private static string TakenOn(AccuracyReport report) => report.Photo?.TakenOn ?? "";

    /// <summary>"9 of 12 aim the last family low".</summary>
    public string CommonSentence((string InCommon, int Count) common) => string.Create(CultureInfo.InvariantCulture, $"{common.Count} of {Measured} {common.InCommon}.");
}
