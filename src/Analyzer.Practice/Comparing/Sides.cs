namespace Analyzer.Practice.Comparing;

/// <summary>Both blocks' values of one measure, as measured and under each photo error.</summary>
internal sealed class Sides
{
    /// <summary>Size of a warp mode that the slopes are taken with: as flat cloth is warped, mm.</summary>
    private const double WarpStepMm = 0.1;

    private readonly ComparedBlock _before, _after;
    private readonly bool _paired;
    private readonly List<(int Before, int After)> _families;
    private readonly Item[] _itemsBefore, _itemsAfter;
    private readonly List<(Item[] Up, Item[] Down)> _errorsBefore, _errorsAfter, _warpsBefore, _warpsAfter;

    public Sides(ComparedBlock before, ComparedBlock after, Measure measure, bool paired, double windowMm, List<(int Before, int After)> families)
    {
        (_before, _after, _paired, _families) = (before, after, paired, families);
        _itemsBefore = before.Items(measure, PhotoError.None, windowMm);
        _itemsAfter = after.Items(measure, PhotoError.None, windowMm);
        // A projective map keeps straight lines straight, so wrong corners leave the wobble alone; a warp does not.
        bool moves = !measure.IsShape, noise = measure.IsShape;
        _errorsBefore = Of(before, before.PhotoErrors());
        _errorsAfter = Of(after, after.PhotoErrors());
        _warpsBefore = Of(before, PhotoError.Warps(before.Block.WidthMm, before.Block.HeightMm, WarpStepMm));
        _warpsAfter = Of(after, PhotoError.Warps(after.Block.WidthMm, after.Block.HeightMm, WarpStepMm));

        List<(Item[], Item[])> Of(ComparedBlock block, List<(PhotoError Up, PhotoError Down)> errors) =>
            [.. errors.Where(e => e.Up.IsWarp ? measure != Measure.Triangle : e.Up.MovesPoints ? moves : noise).Select(e => (block.Items(measure, e.Up, windowMm), block.Items(measure, e.Down, windowMm)))];
    }

    /// <summary>The difference and its variance from line to line, or null when one side has no value.</summary>
    public ClusteredDifference? Estimate((int Before, int After)? family)
    {
        (Item[] before, Item[] after) = Chosen(_itemsBefore, _itemsAfter, family);
        return before.Length == 0 || after.Length == 0 ? null
            : ClusteredDifference.Of(before, after, _paired, _before.FamilyOfLine, _after.FamilyOfLine);
    }

    /// <summary>Variance of the difference from both photos: each error up and down, slope and bend (JCGM 100, 5.1; second-order term kept).</summary>
    public Shares PhotoVariance((int Before, int After)? family) => Variance(family, _errorsBefore, _errorsAfter, withBend: true);

    /// <summary>The same for a warp of each block's cloth, slope only, for a mean square of 1 mm² of each mode.</summary>
    public Shares WarpVariance((int Before, int After)? family)
    {
        Shares ofStep = Variance(family, _warpsBefore, _warpsAfter, withBend: false);
        return new Shares(ofStep.Mean / (WarpStepMm * WarpStepMm), ofStep.Spread / (WarpStepMm * WarpStepMm));
    }

    /// <summary>What errors common to a block's lines add to the variance of the difference, and what they add to the lines' spread.</summary>
    /// <param name="Mean">Variance of the difference itself.</param>
    /// <param name="Spread">What the line jackknife is expected to see of the same errors, because they move lines apart: it is in the lines' variance
    /// already and must come off there, or it would count twice.</param>
    internal readonly record struct Shares(double Mean, double Spread);

    private Shares Variance((int Before, int After)? family, List<(Item[] Up, Item[] Down)> ofBefore, List<(Item[] Up, Item[] Down)> ofAfter, bool withBend)
    {
        (Item[] before, Item[] after) = Chosen(_itemsBefore, _itemsAfter, family);
        double b = Mean(before), a = Mean(after), sum = 0, spread = 0;
        Item[] stillBefore = Still(before), stillAfter = Still(after);
        foreach ((Item[] up, Item[] down) in ofBefore)
        {
            Item[] high = Chosen(up, _itemsAfter, family).Before, low = Chosen(down, _itemsAfter, family).Before;
            sum += Part(Mean(high), Mean(low), b);
            spread += Spread(Slopes(before, high, low), stillAfter);
        }
        foreach ((Item[] up, Item[] down) in ofAfter)
        {
            Item[] high = Chosen(_itemsBefore, up, family).After, low = Chosen(_itemsBefore, down, family).After;
            sum += Part(Mean(high), Mean(low), a);
            spread += Spread(stillBefore, Slopes(after, high, low));
        }
        return new Shares(sum, spread);

        double Spread(Item[] ofOne, Item[] ofOther) =>
            ofOne.Length == 0 || ofOther.Length == 0 ? 0 : ClusteredDifference.Of(ofOne, ofOther, _paired, _before.FamilyOfLine, _after.FamilyOfLine).Variance;

        double Part(double up, double down, double middle)
        {
            double slope = (up - down) / 2, bend = (up + down) / 2 - middle;
            return slope * slope + (withBend ? bend * bend : 0);
        }
    }

    private static Item[] Still(Item[] items) => [.. items.Select(i => i with { Value = 0 })];

    /// <summary>How far one standard uncertainty of an error moves each value.</summary>
    private static Item[] Slopes(Item[] items, Item[] up, Item[] down) =>
        up.Length != items.Length || down.Length != items.Length ? Still(items) : [.. items.Select((item, i) => item with { Value = (up[i].Value - down[i].Value) / 2 })];

    private (Item[] Before, Item[] After) Chosen(Item[] before, Item[] after, (int Before, int After)? family)
    {
        bool crossings = before.Any(i => i.Family < 0) || after.Any(i => i.Family < 0);
        Func<Item, bool> keepBefore, keepAfter;
        if (family is { } f) (keepBefore, keepAfter) = (i => i.Family == f.Before, i => i.Family == f.After);
        else if (crossings) (keepBefore, keepAfter) = (i => i.Family < 0, i => i.Family < 0);
        else if (_families.Count == 0) (keepBefore, keepAfter) = (_ => true, _ => true);
        else (keepBefore, keepAfter) = (i => _families.Any(p => p.Before == i.Family), i => _families.Any(p => p.After == i.Family));
        Item[] b = [.. before.Where(keepBefore)], a = [.. after.Where(keepAfter)];
        if (_paired)
        {
            var inBefore = b.Select(i => i.Key).ToHashSet();
            var inAfter = a.Select(i => i.Key).ToHashSet();
            return ([.. b.Where(i => inAfter.Contains(i.Key))], [.. a.Where(i => inBefore.Contains(i.Key))]);
        }
        return family is null && !crossings && _families.Count > 1 ? Balanced(b, a) : (b, a);
    }

    /// <summary>Gives every family the same share in both blocks, so that a change of mix is not taken for a change of hand.</summary>
    private (Item[], Item[]) Balanced(Item[] before, Item[] after)
    {
        double totalB = before.Sum(i => i.Weight), totalA = after.Sum(i => i.Weight);
        var factorB = new Dictionary<int, double>();
        var factorA = new Dictionary<int, double>();
        foreach ((int fb, int fa) in _families)
        {
            double b = before.Where(i => i.Family == fb).Sum(i => i.Weight), a = after.Where(i => i.Family == fa).Sum(i => i.Weight);
            if (b <= 0 || a <= 0) continue;
            double share = (b / totalB + a / totalA) / 2;
            factorB[fb] = share / b;
            factorA[fa] = share / a;
        }
        return ([.. before.Where(i => factorB.ContainsKey(i.Family)).Select(i => i with { Weight = i.Weight * factorB[i.Family] })],
            [.. after.Where(i => factorA.ContainsKey(i.Family)).Select(i => i with { Weight = i.Weight * factorA[i.Family] })]);
    }

    private static double Mean(Item[] items)
    {
        double sw = 0, sx = 0;
        foreach (Item item in items)
        {
            sw += item.Weight;
            sx += item.Weight * item.Value;
        }
        return sw > 0 ? sx / sw : 0;
    }
}
