using System.Globalization;
using System.Text;
using Analyzer.Cli.Shell;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using Analyzer.Planning.Advice;
using Analyzer.Planning.Words;

namespace Analyzer.Cli.Commands;

/// <summary>"Which grid suits me?": the outlook of candidate spacings for a quilter's own accuracy.</summary>
internal static class PlanAdvice
{
    private const int MostSpacings = 20;

    public static bool IsAsked(Arguments a) => a.Value("--report") is not null || a.Value("--wobble") is not null || a.Value("--crossing-error") is not null;

    public static string Text(Arguments a, IntendedGrid grid, bool inches)
    {
        AccuracyProfile profile = Profile(a);
        double distanceMm = a.Value("--distance") is null ? GridAdvice.DefaultDistanceMm : PlanOptions.LengthBetween(a, "--distance", 50, 20000);
        double closed = GridAdvice.ClosedMm(distanceMm);
        var lengths = new LengthWords(inches);
        var text = new StringBuilder();
        text.AppendLine(LengthSentence.In(string.Create(CultureInfo.InvariantCulture, $"Which grid suits you? Lines laid within {profile.PlacementMm:0.00} mm and wobbling by {profile.WobbleMm:0.00} mm (r.m.s.), seen from {distanceMm / 10:0} cm, where a miss of {closed:0.00} mm begins to show."), inches));
        text.AppendLine("spacing     crossings   look closed  (in most blocks)   open in a block   fair   gaps differ by");
        GridOutlook? best = null;
        foreach ((IntendedGrid candidate, double spacing) in Candidates(a, grid, inches))
        {
            GridOutlook outlook = GridAdvice.Look(candidate, profile, closed);
            bool right = outlook.LooksRight;
            if (right && (best is null || spacing < best.SpacingMm)) best = outlook with { SpacingMm = spacing };
            text.AppendLine(string.Create(CultureInfo.InvariantCulture,
                $"{lengths.Say(spacing),-10} {outlook.Intersections,10} {100 * outlook.ClosedShare,11:0} %  {$"{100 * outlook.LowShare:0} to {100 * outlook.HighShare:0} %",-16} {outlook.OpenPerBlock,15:0} {100 * outlook.FairShare,5:0} % {100 * outlook.UnevenShare,14:0.#} %   {(right ? "looks right" : "")}").TrimEnd());
        }
        text.AppendLine(best is null
            ? "None of these would look right from there: straighter and better-placed lines come first, or a longer look from farther away."
            : $"The tightest that will still look right is {lengths.Say(best.SpacingMm)}; one size larger is safer.");
        return text.AppendLine("This is a simulation of your measured errors, not a promise. Fair: closed, or missed by less than a fortieth of the spacing. Looks right: 9 in 10 are fair and neighbouring gaps differ by less than a twelfth.").ToString();
    }

    private static AccuracyProfile Profile(Arguments a)
    {
        if (a.Value("--report") is not { } path)
        {
            if (a.Value("--wobble") is null || a.Value("--crossing-error") is null)
                throw new UserErrorException("--wobble and --crossing-error belong together: give both off your last report, or give --report report.json.");
            return AccuracyProfile.FromFigures(PlanOptions.LengthBetween(a, "--wobble", 0, 50), PlanOptions.LengthBetween(a, "--crossing-error", 0, 50));
        }
        if (a.Value("--wobble") is not null || a.Value("--crossing-error") is not null)
            throw new UserErrorException("--report already holds your accuracy; leave out --wobble and --crossing-error.");
        try
        {
            return AccuracyProfile.FromReport(ReportJson.Read(File.ReadAllText(path)))
                ?? throw new UserErrorException($"--report {path}: fewer than three lines were measured in it; give a report of a measured block.");
        }
        catch (FormatException trouble)
        {
            throw new UserErrorException($"--report {path}: {trouble.Message}", inner: trouble);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            throw new UserErrorException($"--report {path}: the file cannot be read; check its name and folder.", inner: trouble);
        }
    }

    private static IEnumerable<(IntendedGrid Grid, double SpacingMm)> Candidates(Arguments a, IntendedGrid grid, bool inches)
    {
        string? name = a.Value("--grid") is { } named ? GridOptions.ParseGridName(named).Name : null;
        double now = grid.Families[0].SpacingMm;
        foreach (double spacing in Spacings(a, inches))
        {
            IReadOnlyList<LineFamily> families = name is not null
                ? NamedGrids.Families(name, new Length(spacing), grid.Size)!
                : [.. grid.Families.Select(f => new LineFamily(f.AngleDeg, f.SpacingMm * spacing / now, f.Through))];
            IntendedGrid? candidate = null;
            try
            {
                candidate = new IntendedGrid(grid.Size, families);
            }
            catch (ArgumentException)
            {
                // A spacing that puts no line, or far too many, into this block is no candidate.
            }
            if (candidate is { Nodes.Count: > 0 and <= 20000 }) yield return (candidate, spacing);
        }
    }

    private static IEnumerable<double> Spacings(Arguments a, bool inches)
    {
        if (a.Value("--spacings") is not { } text)
            return inches ? ((double[])[0.5, 0.75, 1, 1.25, 1.5, 2]).Select(v => v * Length.MillimetresPerInch) : [12, 16, 20, 25, 30, 40, 50];
        string[] parts = text.Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries);
        if (parts.Length is 0 or > MostSpacings) throw new UserErrorException($"--spacings \"{text}\" should list 1 to {MostSpacings} spacings, such as \"3/4in,1in,1 1/4in\".");
        return parts.Select(part => Length.TryParse(part, out Length l) && l.Millimetres is >= GridOptions.SmallestSpacingMm and <= BlockSize.LargestMm
            ? l.Millimetres
            : throw new UserErrorException($"--spacings: \"{part}\" is not a spacing of at least {GridOptions.SmallestSpacingMm:0} mm; write it as 3/4in or 20mm.")).ToList();
    }
}
