using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Findings;

/// <summary>One block as the rules see it.</summary>
internal sealed class BlockView
{
    public BlockView(ComparedBlock block, IReadOnlyList<string>? stitchedOrder)
    {
        Block = block;
        StitchedOrder = stitchedOrder;
        if (block.Report.Settings.TryGetValue(FindingReader.BackwardSetting, out string? back)) Backward = back.Split(' ', StringSplitOptions.RemoveEmptyEntries).ToHashSet();
        Errors = block.PhotoErrors();
        double sum = 0, weight = 0;
        foreach (ComparedLine line in block.Lines)
        {
            sum += line.DeviationMm.Sum(d => d * d);
            weight += line.SampleCount;
        }
        MeanSquareMm2 = weight > 0 ? sum / weight : 0;
        Samples = (int)weight;
    }

    public ComparedBlock Block { get; }

    /// <summary>Line ids in the order they were sewn, when that is known.</summary>
    public IReadOnlyList<string>? StitchedOrder { get; }

    /// <summary>Lines sewn from their far end to their near one; null when the directions are not known.</summary>
    public IReadOnlySet<string>? Backward { get; }

    public List<(PhotoError Up, PhotoError Down)> Errors { get; }

    /// <summary>Mean of all squared deviations, mm².</summary>
    public double MeanSquareMm2 { get; }

    public int Samples { get; }

    public IEnumerable<(int Family, string Letter, string Name, ComparedLine[] Lines)> Families() =>
        Block.Lines.GroupBy(l => l.Family).OrderBy(g => g.Key)
            .Select(g => (g.Key, IntendedGrid.FamilyLetter(g.Key), Words.Lines(Block.Families[g.Key], g.Key), g.ToArray()));

    /// <summary>Share of the mean squared deviation that a mean square over these lines makes, percent.</summary>
    public double Share(double meanSquareMm2, IReadOnlyCollection<ComparedLine> lines) =>
        MeanSquareMm2 <= 0 ? 0 : 100 * Math.Max(0, meanSquareMm2) * lines.Sum(l => l.SampleCount) / Samples / MeanSquareMm2;

    /// <summary>The mean of one number a line against zero, with the photo's share of the uncertainty of that mean.</summary>
    public TestResult MeanTest(ComparedLine[] lines, Func<ComparedLine, PhotoError, double> number)
    {
        double[] values = [.. lines.Select(l => number(l, PhotoError.None))];
        double mean = Statistics.Samples.Mean(values), lineVariance = Statistics.Samples.Variance(values) / values.Length, photo = 0;
        foreach ((PhotoError up, PhotoError down) in Errors)
        {
            if (!up.MovesPoints) continue;
            double half = (lines.Average(l => number(l, up)) - lines.Average(l => number(l, down))) / 2;
            photo += half * half;
        }
        double df = Student.EffectiveDf([(lineVariance, values.Length - 1), (photo, double.PositiveInfinity)]);
        return TestResult.OfT(mean, Math.Sqrt(lineVariance + photo), df);
    }

    /// <summary>Positions along a line of the crossings it takes part in.</summary>
    public IEnumerable<(IntersectionReport Node, double AlongMm)> NodesOn(ComparedLine line)
    {
        LineFamily family = Block.Families[line.Family];
        LineReport report = Block.Report.Lines[line.Number];
        double start = family.AlongX * report.FromMm[0] + family.AlongY * report.FromMm[1];
        foreach (IntersectionReport node in Block.Report.Intersections)
            if (node.LineIds.Contains(line.Id))
                yield return (node, family.AlongX * node.IntendedMm[0] + family.AlongY * node.IntendedMm[1] - start);
    }
}
