namespace Analyzer.Vision.Tracing;

/// <summary>What is seen at every sample of a trace: the change along it over the ground's (not a number where another line crosses) and how strongly it stands out in any colour.</summary>
internal sealed record AlongTrace(TracedLine Line, double[] Change, float[] Strength);

/// <summary>
/// Two kinds of line that run along each other and part in places: a mark and the thread sewn beside it, a thread and its shadow, two colours of one thread. What changes along each of them there,
/// from stitch to stitch, tells which of the two is the thread.
/// </summary>
/// <param name="ComparedMm">Length along which both were seen, mm.</param>
/// <param name="Mm">Length along which they part, mm.</param>
/// <param name="Change">Mean change along the first where they part, over that of the ground (0 = no more than the ground).</param>
/// <param name="OtherChange">The same along the second.</param>
/// <param name="Strength">How strongly the first stands out there in any colour, in noise units.</param>
/// <param name="OtherStrength">The same of the second.</param>
internal sealed record Parting(int ComparedMm, int Mm, double Change, double OtherChange, double Strength, double OtherStrength)
{
    /// <summary>Farther apart than this they are two lines and not one seen twice, mm.</summary>
    private const double ApartMm = 0.35;

    public static Parting Of(AlongTrace one, AlongTrace other)
    {
        Dictionary<double, int> places = Enumerable.Range(0, other.Change.Length).ToDictionary(i => other.Line.AlongMm[i]);
        var apart = new List<(int One, int Other)>();
        int compared = 0;
        for (int i = 0; i < one.Change.Length; i++)
        {
            if (!places.TryGetValue(one.Line.AlongMm[i], out int k) || double.IsNaN(one.Change[i]) || double.IsNaN(other.Change[k])) continue;
            compared++;
            if (Math.Abs(one.Line.DeviationMm[i] - other.Line.DeviationMm[k]) > ApartMm) apart.Add((i, k));
        }
        return apart.Count == 0 ? new Parting(compared, 0, 0, 0, 0, 0)
            : new Parting(compared, apart.Count, apart.Average(p => one.Change[p.One]), apart.Average(p => other.Change[p.Other]), apart.Average(p => one.Strength[p.One]), apart.Average(p => other.Strength[p.Other]));
    }

    /// <summary>Of the lines of which both kinds have a trace.</summary>
    public static Parting Between(Dictionary<int, AlongTrace> one, Dictionary<int, AlongTrace> other) => Sum([.. one.Where(p => other.ContainsKey(p.Key)).Select(p => Of(p.Value, other[p.Key]))]);

    /// <summary>Of all lines together.</summary>
    public static Parting Sum(IReadOnlyList<Parting> lines)
    {
        int mm = lines.Sum(l => l.Mm);
        double Mean(Func<Parting, double> value) => mm > 0 ? lines.Sum(l => l.Mm * value(l)) / mm : 0;
        return new Parting(lines.Sum(l => l.ComparedMm), mm, Mean(l => l.Change), Mean(l => l.OtherChange), Mean(l => l.Strength), Mean(l => l.OtherStrength));
    }

    /// <summary>Whether along the second there is plainly stitching where they part, and hardly any along the first; and it stands out nearly as much.</summary>
    public bool OtherIsSewn
    {
        get
        {
            const double leastMm = 20, leastShare = 0.05, plain = 0.35, more = 0.25, none = 0.3, fewer = 0.2, half = 0.5, asStrong = 0.6;
            return Mm >= Math.Max(leastMm, leastShare * ComparedMm) && OtherChange > plain && OtherChange > Change + more && Change < Math.Max(none, fewer * OtherChange) && Change < half * OtherChange && OtherStrength > asStrong * Strength;
        }
    }

    /// <summary>Of the kinds of line that are not much less like thread than the one taken for it, the clearest that is sewn where the two part, while that one is not.</summary>
    public static Candidate? SewnInstead(IReadOnlyList<Candidate> candidates, StripWorkshop work)
    {
        const double muchLess = 3, mostLines = 0.7, fewer = 0.1, nearlyAsClear = 0.4;
        Candidate thread = candidates[0];
        ClassScore b = thread.Score!;
        if (thread.MovedMm is not null) return null;
        Dictionary<int, AlongTrace>? own = null;
        return candidates.Skip(1).Where(c => MayBeThread(c) && Between(own ??= work.Along(thread), work.Along(c)).OtherIsSewn).MaxBy(c => c.Score!.Contrast);

        bool MayBeThread(Candidate c) => c.MovedMm is null && c.Score is { } s && s.Score > b.Score - muchLess && s.FoundShare > Math.Max(mostLines, b.FoundShare - fewer) && s.Contrast > nearlyAsClear * b.Contrast && IsMoreSewn(s, b);
    }

    /// <summary>
    /// More is seen of stitches in the very middle of its lines as a whole, and it is neither crumbling chalk (which changes along itself too, in a broad band), nor straight as a ruler beside a line that sways, nor without a thread's profile.
    /// </summary>
    private static bool IsMoreSewn(ClassScore s, ClassScore than)
    {
        const double broadMm = 0.7, unbroken = 0.1, straighter = 0.3, noProfile = 0.1, profile = 0.06, worse = 2;
        return s.ChangesInTheMiddle && s.TextureHeight > than.TextureHeight && !(s.DashCorrelation < unbroken && s.TextureWidthMm >= broadMm) && !(s.SwayMm < straighter * than.SwayMm)
            && s.MisfitShare < Math.Clamp(worse * than.MisfitShare, profile, noProfile);
    }
}
