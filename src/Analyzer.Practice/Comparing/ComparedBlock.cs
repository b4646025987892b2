using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Comparing;

/// <summary>A block as the comparison sees it: measured lines and crossings, and what its photo may have got wrong.</summary>
public sealed class ComparedBlock
{
    /// <summary>Lines with fewer samples or a smaller share seen than this are left out.</summary>
    private const int FewestSamples = 15;

    private const double LeastCoverage = 0.5;

    private readonly AccuracyReport _report;
    private readonly double _toleranceMm;
    private readonly Dictionary<string, int> _lineNumber = [];

    public ComparedBlock(AccuracyReport report, string name, double toleranceMm)
    {
        if (report.Block is null || report.Grid is null || report.Lines.Count == 0)
            throw new FormatException($"{name}: this report holds no measured lines, so there is nothing to compare; measure the photo again first.");
        _report = report;
        _toleranceMm = toleranceMm;
        Name = name;
        Block = report.Block;
        Families = [.. report.Grid.Families.OrderBy(f => f.Family).Select(f => new LineFamily(f.AngleDeg, f.SpacingMm, new BlockPoint(f.ThroughMm[0], f.ThroughMm[1])))];
        for (int i = 0; i < report.Lines.Count; i++) _lineNumber[report.Lines[i].Id] = i;
        Lines = [.. report.Lines.Where(Counts).Select(line => new ComparedLine(line, Families[line.Family], _lineNumber[line.Id]))];
        if (Lines.Count == 0)
            throw new FormatException($"{name}: no line of this block was measured well enough to compare; take the photo again in even light.");
        CornerUMm = Block.PixelsPerMm > 0 ? Block.CornerUncertaintyPx / Block.PixelsPerMm : 0;
        IReadOnlyDictionary<string, double> place = report.ErrorBudget?.PlaceUMm ?? new Dictionary<string, double>();
        PlaceUMm = Math.Sqrt(place.Where(p => p.Key != "corners" && double.IsFinite(p.Value)).Sum(p => p.Value * p.Value));
        NoiseMm = report.ErrorBudget?.NoiseRmsMm ?? report.ErrorBudget?.ShapeUMm ?? 0;
    }

    public string Name { get; }

    public AccuracyReport Report => _report;

    public BlockInfo Block { get; }

    public IReadOnlyList<LineFamily> Families { get; }

    public IReadOnlyList<ComparedLine> Lines { get; }

    /// <summary>Standard uncertainty of one corner, per axis, mm.</summary>
    public double CornerUMm { get; }

    /// <summary>Standard uncertainty of place from lens, loft, resolution and thread together, mm.</summary>
    public double PlaceUMm { get; }

    /// <summary>Photo noise of a sample, r.m.s., mm: what the report says was taken out of the wobble.</summary>
    public double NoiseMm { get; }

    internal List<(PhotoError Up, PhotoError Down)> PhotoErrors() =>
        PhotoError.All(Block.WidthMm, Block.HeightMm, CornerUMm, PlaceUMm, NoiseMm);

    /// <summary>The bow that the lines of each family share.</summary>
    internal List<SharedBow> SharedBows()
    {
        var shared = new List<SharedBow>();
        List<(PhotoError Up, PhotoError Down)> modes = PhotoError.Warps(Block.WidthMm, Block.HeightMm, 1);
        foreach (IGrouping<int, ComparedLine> family in Lines.GroupBy(l => l.Family))
        {
            double longest = family.Max(l => l.LengthMm);
            ComparedLine[] lines = [.. family.Where(l => l.LengthMm > longest / 2)];
            if (lines.Length < 3) continue;
            double[] bows = [.. lines.Select(l => l.BowMm)];
            double mean = Samples.Mean(bows);
            shared.Add(new SharedBow(mean * mean, Samples.Variance(bows) / bows.Length, lines.Length, modes.Sum(m => Math.Pow(lines.Average(l => l.BowOf(m.Up)), 2))));
        }
        return shared;
    }

    /// <summary>Every value of a measure, with the photo off by the given error.</summary>
    /// <param name="windowMm">Equal stretches the wobble is taken over; 0 for whole lines.</param>
    internal Item[] Items(Measure measure, PhotoError error, double windowMm) => measure.Code switch
    {
        "offset" => OfLines(line => Math.Abs(line.OffsetMm(error))),
        "angle" => OfLines(line => Math.Abs(line.AngleDeg(error)), line => line.LengthMm),
        "wobble" => OfLines(line => line.WobbleMm(NoiseMm * error.NoiseShare, windowMm, error)),
        "total" => OfLines(line => line.TotalMm(NoiseMm * error.NoiseShare, windowMm, error)),
        "within" => [.. OfLines(line => 100 * line.ShareWithin(_toleranceMm, error), line => line.SampleCount)],
        "overshoot" => OfLines(line => line.OvershootMm(error)),
        "crossing" => [.. _report.Intersections.Where(n => n.StitchedMm is not null).SelectMany(n => CrossingItems(n, error))],
        "triangle" => [.. _report.Intersections.Where(n => n.MissTriangleMm?.Value is not null)
            .Select(n => new Item(n.Id, -1, n.MissTriangleMm!.Value!.Value, 1, NumbersOf(n)))],
        _ => [],
    };

    private bool Counts(LineReport line) =>
        line.Status is "measured" or "partial" && line.Coverage >= LeastCoverage && line.Samples.Count >= FewestSamples;

    private Item[] OfLines(Func<ComparedLine, double> value, Func<ComparedLine, double>? weight = null)
    {
        var items = new List<Item>(Lines.Count);
        foreach (ComparedLine line in Lines)
        {
            double v = value(line);
            if (!double.IsNaN(v)) items.Add(new Item(line.Id, line.Family, v, weight?.Invoke(line) ?? 1, [line.Number]));
        }
        return [.. items];
    }

    private IEnumerable<Item> CrossingItems(IntersectionReport node, PhotoError error)
    {
        (double ex, double ey) = error.At(node.IntendedMm[0], node.IntendedMm[1]);
        double x = node.StitchedMm![0] + ex - node.IntendedMm[0], y = node.StitchedMm[1] + ey - node.IntendedMm[1];
        int[] lines = NumbersOf(node);
        yield return new Item(node.Id, -1, Math.Sqrt(x * x + y * y), 1, lines);
        foreach (int family in lines.Select(l => _report.Lines[l].Family).Distinct())
            yield return new Item(node.Id, family, Math.Abs(x * Families[family].AcrossX + y * Families[family].AcrossY), 1, lines);
    }

    private int[] NumbersOf(IntersectionReport node) => [.. node.LineIds.Where(_lineNumber.ContainsKey).Select(id => _lineNumber[id])];

    internal int FamilyOfLine(int number) => _report.Lines[number].Family;
}

/// <summary>A family's mean bow: what a warp of the cloth and chance make of it.</summary>
/// <param name="MeanSquare">Square of the lines' mean bow, mm².</param>
/// <param name="ByChance">What chance from line to line adds to that square, mm².</param>
/// <param name="OfUnitModes">The square that warp modes of one millimetre each would give the same lines.</param>
internal readonly record struct SharedBow(double MeanSquare, double ByChance, int Lines, double OfUnitModes);
