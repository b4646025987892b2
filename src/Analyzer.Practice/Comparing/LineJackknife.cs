using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Comparing;

/// <summary>Difference of two blocks' means with its variance from leaving out one whole line at a time, family by family.</summary>
/// <remarks>
/// Stratified delete-one-cluster jackknife (Shao and Tu, The Jackknife and Bootstrap, 1995, 6.2): the linear form of the cluster
/// bootstrap. When a line is left out, the others of its family count n/(n-1) times as much, so that the family keeps its share of the
/// whole; without that the whole-block rows come out too sure. A crossing falls with each of its lines; its own share would then count once a family, so all but one are taken off
/// again (multiway clusters, Cameron, Gelbach and Miller, J. Business and Economic Statistics 29, 2011). In one grid the same line
/// is left out of both blocks together.
/// </remarks>
internal sealed record LineJackknife(double Before, double After, double Variance, double Df, int Lines)
{
    /// <summary>Sets the other block's families apart where the blocks are not paired.</summary>
    private const int OtherBlock = 100;

    public double Difference => After - Before;

    public static LineJackknife Of(ReadOnlySpan<Item> before, ReadOnlySpan<Item> after, bool paired, Func<int, int> familyBefore, Func<int, int> familyAfter)
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
            int lines = stratum.Count();
            double more = lines > 1 ? lines / (lines - 1.0) : 1;
            double Without(double sx, double sw, double x, double w, double cutX, double cutW, double whole) =>
                Mean(sx - x + more * (x - cutX), sw - w + more * (w - cutW), whole);
            double[] without = [.. stratum.Select(c => Without(sxA, swA, xa, wa, c.Xa, c.Wa, a) - Without(sxB, swB, xb, wb, c.Xb, c.Wb, b))];
            int n = without.Length;
            double mean = without.Average(), sum = without.Sum(v => (v - mean) * (v - mean));
            // A family of one line has no spread of its own: its whole pull on the result stands in.
            parts.Add(n > 1 ? ((n - 1.0) / n * sum, Math.Max(1, Evenly(stratum) - 1)) : ((without[0] - (a - b)) * (without[0] - (a - b)), 1));
        }
        double all = parts.Sum(p => p.Variance), variance = all - OwnShare(before, after, paired, b, a, swB, swA);
        variance = Math.Max(variance, parts.Count == 0 ? 0 : parts.Max(p => p.Variance));
        return new LineJackknife(b, a, variance, Student.EffectiveDf(parts), cut.Count);

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

    /// <summary>How many lines of equal weight would carry the variance as broadly as these do: (Σw²)²/Σw⁴, at most their number.</summary>
    private static double Evenly(IEnumerable<Cut> stratum)
    {
        double two = 0, four = 0;
        foreach (Cut c in stratum)
        {
            double square = Math.Pow(c.Wb + c.Wa, 2);
            two += square;
            four += square * square;
        }
        return four > 0 ? two * two / four : 1;
    }

    private static double Mean(double sx, double sw, double whole) => sw > 1e-12 ? sx / sw : whole;

    /// <summary>What the crossings' own scatter adds beyond once.</summary>
    private static double OwnShare(ReadOnlySpan<Item> before, ReadOnlySpan<Item> after, bool paired, double b, double a, double swB, double swA)
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
        return n > 1 ? extra / n * sum : 0;
    }

    private sealed class Cut(int stratum)
    {
        public double Wb, Xb, Wa, Xa;

        public int Stratum { get; } = stratum;
    }
}
