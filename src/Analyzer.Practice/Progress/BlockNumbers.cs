using Analyzer.Core.Report;
using Analyzer.Practice.Comparing;

namespace Analyzer.Practice.Progress;

/// <summary>A block's own measures with their standard uncertainty (line to line, and photo).</summary>
public sealed class BlockNumbers
{
    private readonly Dictionary<string, MeasuredValue> _values = [];

    private BlockNumbers()
    {
    }

    public MeasuredValue OffsetMm => Of(Measure.Offset);

    public MeasuredValue AngleDeg => Of(Measure.Angle);

    public MeasuredValue WobbleMm => Of(Measure.Wobble);

    public MeasuredValue CrossingMm => Of(Measure.Crossing);

    public MeasuredValue WithinPercent => Of(Measure.Within);

    /// <summary>Sum of the intended lines' lengths, m.</summary>
    public double LineMetres { get; private init; }

    /// <summary>Equal for blocks of the same size and grid.</summary>
    public string GridKey { get; private init; } = "";

    public MeasuredValue Of(Measure measure) => _values.GetValueOrDefault(measure.Code, MeasuredValue.Unknown);

    /// <summary>Null when the text is not a report with measured lines.</summary>
    public static BlockNumbers? TryOf(string reportJson)
    {
        try
        {
            return Of(new ComparedBlock(ReportJson.Read(reportJson), "block", BlockComparer.DefaultToleranceMm));
        }
        catch (FormatException)
        {
            return null;
        }
    }

    public static BlockNumbers Of(ComparedBlock block)
    {
        var numbers = new BlockNumbers
        {
            LineMetres = block.Report.Lines.Sum(l => Math.Sqrt(Math.Pow(l.ToMm[0] - l.FromMm[0], 2) + Math.Pow(l.ToMm[1] - l.FromMm[1], 2))) / 1000,
            GridKey = FormattableString.Invariant($"{block.Block.WidthMm:0}x{block.Block.HeightMm:0}:") + string.Join(';', block.Families.Select(f => FormattableString.Invariant($"{f.AngleDeg:0.#}/{f.SpacingMm:0.#}"))),
        };
        foreach (Measure measure in Measure.All)
            if (Estimate(block, measure) is { } value) numbers._values[measure.Code] = value;
        return numbers;
    }

    /// <summary>The same estimate as in a comparison, against nothing.</summary>
    private static MeasuredValue? Estimate(ComparedBlock block, Measure measure)
    {
        Item[] Whole(PhotoError error) => [.. block.Items(measure, error, 0).Where(i => measure != Measure.Crossing || i.Family < 0)];
        Item[] items = Whole(PhotoError.None);
        if (items.Length == 0) return null;
        ClusteredDifference lines = ClusteredDifference.Of(items, [new Item("", -1, 0, 1, [])], false, block.FamilyOfLine, _ => 0);
        double variance = lines.Variance;
        foreach ((PhotoError up, PhotoError down) in block.PhotoErrors())
        {
            if (measure.IsShape == up.MovesPoints) continue;
            double high = Mean(Whole(up)), low = Mean(Whole(down)), slope = (high - low) / 2, bend = (high + low) / 2 - lines.Before;
            variance += slope * slope + bend * bend;
        }
        return new MeasuredValue(lines.Before, Math.Sqrt(variance));
    }

    private static double Mean(Item[] items) => items.Sum(i => i.Value * i.Weight) / items.Sum(i => i.Weight);
}
