using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Comparing;

/// <summary>Difference of two blocks' means with its variance from line to line: whole lines are the clusters, family by family.</summary>
/// <remarks>
/// Each line's pull on the result is its distance from its family's mean times its weight, so that a family keeps its share of the whole. The
/// squared pulls are summed, each over 1 - its share of the family's weight: the bias-reduced cluster variance (CR2; Bell and McCaffrey, Survey
/// Methodology 28, 2002; Imbens and Kolesár, Review of Economics and Statistics 98, 2016) with the working model that goes with the weights, a
/// line's variance going as one over its weight. For equal weights it is s²/n with n - 1 degrees of freedom. The delete-one jackknife used before
/// divides by the square of 1 - share and comes out too large for lines of unequal length. A crossing falls with each of its lines; its own
/// scatter would then count once a family, so all but one are taken off again (multiway clusters, Cameron, Gelbach and Miller, J. Business and
/// Economic Statistics 29, 2011). In one grid the same line of both blocks is one cluster.
/// </remarks>
internal sealed record ClusteredDifference(double Before, double After, double Variance, double Df, int Lines)
{
    /// <summary>Sets the other block's families apart where the blocks are not paired.</summary>
    private const int OtherBlock = 100;

    public double Difference => After - Before;

    public static ClusteredDifference Of(ReadOnlySpan<Item> before, ReadOnlySpan<Item> after, bool paired, Func<int, int> familyBefore, Func<int, int> familyAfter)
    {
        double swB = 0, sxB = 0, swA = 0, sxA = 0;
        var cut = new Dictionary<int, Cut>();
        foreach (Item item in before)
        {
            swB += item.Weight;
            sxB += item.Weight * item.Value;
        }
        foreach (Item item in after)
        {
            swA += item.Weight;
            sxA += item.Weight * item.Value;
        }
        double b = sxB / swB, a = sxA / swA;
        const int shift = 1 << 20;
        foreach (Item item in before)
            foreach (int line in item.Lines)
            {
                Cut c = Get(line, familyBefore(line));
                c.Wb += item.Weight;
                c.Xb += item.Weight * item.Value;
            }
        foreach (Item item in after)
            foreach (int line in item.Lines)
            {
                Cut c = Get(paired ? line : line + shift, paired ? familyAfter(line) : familyAfter(line) + OtherBlock);
                c.Wa += item.Weight;
                c.Xa += item.Weight * item.Value;
            }

        var parts = new List<(double Variance, double Df)>();
        foreach (IGrouping<int, Cut> stratum in cut.Values.GroupBy(c => c.Stratum))
        {
            (double wb, double xb) = InStratum(before, familyBefore, stratum.Key);
            (double wa, double xa) = InStratum(after, l => paired ? familyAfter(l) : familyAfter(l) + OtherBlock, stratum.Key);
            Cut[] lines = [.. stratum];
            // A family of one line has no spread of its own: its whole pull on the result stands in.
            if (lines.Length == 1)
            {
                double pull = Mean(sxA - lines[0].Xa, swA - lines[0].Wa, a) - Mean(sxB - lines[0].Xb, swB - lines[0].Wb, b) - (a - b);
                parts.Add((pull * pull, 1));
                continue;
            }
            double[] share = [.. lines.Select(c => wb > 0 && wa > 0 ? (c.Wb / wb + c.Wa / wa) / 2 : wb > 0 ? c.Wb / wb : c.Wa / wa)];
            double[] pulls = [.. lines.Select(c => (c.Xa - c.Wa * Mean(xa, wa, 0)) / swA - (c.Xb - c.Wb * Mean(xb, wb, 0)) / swB)];
            parts.Add((pulls.Zip(share, (pull, p) => pull * pull / (1 - p)).Sum(), FreedomOf(share)));
        }
        (double once, double again) = OwnShare(before, after, paired, b, a, swB, swA);
        // Crossings of one line share the line's error, so they err together or independently, never against each other.
        double variance = parts.Sum(p => p.Variance) - again;
        return new ClusteredDifference(b, a, again > 0 ? Math.Max(variance, once) : variance, Student.EffectiveDf(parts), cut.Count);

        Cut Get(int key, int stratum)
        {
            if (!cut.TryGetValue(key, out Cut? c)) cut[key] = c = new Cut(stratum);
            return c;
        }
    }

    /// <summary>Weight and weighted sum of the items that depend on a line of the stratum.</summary>
    private static (double Weight, double Sum) InStratum(ReadOnlySpan<Item> items, Func<int, int> family, int stratum)
    {
        double w = 0, x = 0;
        foreach (Item item in items)
        {
            bool inside = false;
            foreach (int line in item.Lines) inside |= family(line) == stratum;
            if (!inside) continue;
            w += item.Weight;
            x += item.Weight * item.Value;
        }
        return (w, x);
    }

    /// <summary>Degrees of freedom of the variance of a weighted mean (Bell and McCaffrey, Survey Methodology 28, 2002, 169-181), for lines whose variance goes as one over their weight.</summary>
    /// <param name="share">Each line's share of the weight; n lines of equal share have n - 1.</param>
    private static double FreedomOf(double[] share)
    {
        double own = share.Sum(p => p * p), all = share.Sum(p => p * p / (1 - p)), same = share.Sum(p => Math.Pow(p * p / (1 - p), 2));
        return Math.Max(1, 1 / (own + all * all - same));
    }

    private static double Mean(double sx, double sw, double whole) => sw > 1e-12 ? sx / sw : whole;

    /// <summary>The crossings' own scatter: counted once, and what is beyond once in the families' parts.</summary>
    private static (double Once, double Again) OwnShare(ReadOnlySpan<Item> before, ReadOnlySpan<Item> after, bool paired, double b, double a, double swB, double swA)
    {
        double sum = 0, extra = 0;
        int n = 0;
        var kept = new Dictionary<string, double>();
        foreach (Item item in before)
        {
            if (item.Lines.Length == 0) continue;
            extra += item.Lines.Length - 1;
            n++;
            double e = item.Weight * (item.Value - b) / swB;
            if (paired) kept[item.Key] = e;
            else sum += e * e;
        }
        foreach (Item item in after)
        {
            if (item.Lines.Length == 0) continue;
            double e = item.Weight * (item.Value - a) / swA;
            if (paired) e -= kept.GetValueOrDefault(item.Key);
            else
            {
                n++;
                extra += item.Lines.Length - 1;
            }
            sum += e * e;
        }
        return n > 1 ? (sum, extra / n * sum) : (0, 0);
    }

    private sealed class Cut(int stratum)
    {
        public double Wb, Xb, Wa, Xa;

        public int Stratum { get; } = stratum;
    }
}
