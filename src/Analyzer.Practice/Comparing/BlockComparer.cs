using Analyzer.Core.Pattern;
using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Comparing;

/// <summary>Compares two blocks: every measure, overall and by family, with interval, corrected test and verdict.</summary>
public static class BlockComparer
{
    /// <summary>Half a marked line's width (common practice, no source).</summary>
    public const double DefaultToleranceMm = 0.5;

    public const double Alpha = 0.05;

    /// <summary>Fewer lines than this in a row and no change can be called.</summary>
    public const int FewestLines = 4;

    private const double SameAngleDeg = 5;

    /// <summary>Lines always differ among themselves: at least this share of their spread is their own (a judgement).</summary>
    private const double LeastOwnShare = 0.25;

    /// <summary>Degrees of freedom of what the photos state about themselves: a standard uncertainty known to a quarter (JCGM 100, G.4.2; the quarter is a judgement).</summary>
    private const double PhotoDf = 8;

    public static Comparison Compare(ComparedBlock before, ComparedBlock after, double toleranceMm = DefaultToleranceMm)
    {
        bool same = SameGrid(before, after);
        List<(int Before, int After)> families = same ? [.. before.Families.Select((_, i) => (i, i))] : MatchFamilies(before, after);
        var notes = new List<string>();
        double windowMm = same ? 0 : CommonWindow(before, after, families);
        Warp warp = CommonWarp(before, after);
        AddNotes(notes, before, after, same, families, windowMm);
        var drafts = new List<Draft>();
        foreach (Measure measure in Measure.All)
        {
            if (!same && measure == Measure.Triangle && families.Count < 3) continue;
            var sides = new Sides(before, after, measure, same, windowMm, families);
            if (Try(sides, measure, warp, null, "whole block") is { } overall) drafts.Add(overall);
            if (!measure.ByFamily || families.Count < 2) continue;
            foreach ((int b, int a) in families)
                if (Try(sides, measure, warp, (b, a), FamilyName(before.Families[b], b)) is { } row) drafts.Add(row);
        }
        return new Comparison(before, after, same, toleranceMm, windowMm, Judge(drafts), notes);
    }

    /// <summary>"A: across (0°)", "B: down (90°)", "C: rising (60°)".</summary>
    public static string FamilyName(LineFamily family, int number)
    {
        double angle = ((family.AngleDeg % 180) + 180) % 180;
        string way = angle is < 1 or > 179 ? "across" : Math.Abs(angle - 90) < 1 ? "down" : angle < 90 ? "rising" : "falling";
        string degrees = (angle > 90 ? angle - 180 : angle).ToString("0.#", System.Globalization.CultureInfo.InvariantCulture).Replace('-', '−');
        return $"{IntendedGrid.FamilyLetter(number)}: {way} ({degrees}°)";
    }

    private static bool SameGrid(ComparedBlock a, ComparedBlock b)
    {
        if (Math.Abs(a.Block.WidthMm - b.Block.WidthMm) > 0.5 || Math.Abs(a.Block.HeightMm - b.Block.HeightMm) > 0.5) return false;
        if (a.Families.Count != b.Families.Count || a.Report.Lines.Count != b.Report.Lines.Count) return false;
        for (int i = 0; i < a.Families.Count; i++)
            if (Math.Abs(a.Families[i].AngleDeg - b.Families[i].AngleDeg) > 0.1 || Math.Abs(a.Families[i].SpacingMm - b.Families[i].SpacingMm) > 0.05) return false;
        return a.Report.Lines.Zip(b.Report.Lines).All(p => p.First.Id == p.Second.Id &&
            Math.Abs(p.First.FromMm[0] - p.Second.FromMm[0]) + Math.Abs(p.First.FromMm[1] - p.Second.FromMm[1]) < 1);
    }

    private static List<(int, int)> MatchFamilies(ComparedBlock a, ComparedBlock b)
    {
        var pairs = new List<(int, int)>();
        for (int i = 0; i < a.Families.Count; i++)
            for (int j = 0; j < b.Families.Count; j++)
                if (IntendedGrid.AngleBetweenDeg(a.Families[i], b.Families[j]) < SameAngleDeg && pairs.All(p => p.Item2 != j) && pairs.All(p => p.Item1 != i))
                    pairs.Add((i, j));
        return pairs;
    }

    /// <summary>Stretch of line that most lines of both blocks hold, whole centimetres, at least 3 cm.</summary>
    private static double CommonWindow(ComparedBlock a, ComparedBlock b, List<(int Before, int After)> families)
    {
        double[] lengths = [.. a.Lines.Where(l => families.Any(f => f.Before == l.Family)).Select(l => l.LengthMm)
            .Concat(b.Lines.Where(l => families.Any(f => f.After == l.Family)).Select(l => l.LengthMm)).Order()];
        return lengths.Length == 0 ? 30 : Math.Max(30, 10 * Math.Floor(lengths[lengths.Length / 5] / 10));
    }

    /// <summary>Mean square of one warp mode of either block, mm², from the bow its lines share, and the variance of this estimate.</summary>
    /// <remarks>
    /// Each family gives mean² less what chance from line to line adds to it, an unbiased estimate that may fall below zero; their sum is cut at zero,
    /// as a variance component by moments is (DerSimonian and Laird, Controlled Clinical Trials 7, 1986, 177-188). The variance is
    /// that of a difference of mean squares, each 2 s⁴/(df + 2) without bias (Welch, Biometrika 34, 1947, 28-35); a squared mean has one degree of freedom.
    /// </remarks>
    private static Warp CommonWarp(ComparedBlock before, ComparedBlock after)
    {
        List<SharedBow> shared = [.. before.SharedBows(), .. after.SharedBows()];
        double unit = shared.Sum(s => s.OfUnitModes);
        if (unit <= 0) return new Warp(0, 0);
        double sum = shared.Sum(s => s.MeanSquare - s.ByChance);
        double variance = 2 * shared.Sum(s => s.MeanSquare * s.MeanSquare / 3 + s.ByChance * s.ByChance / (s.Lines + 1));
        return new Warp(Math.Max(0, sum) / unit, variance / (unit * unit));
    }

    private readonly record struct Warp(double Square, double Variance);

    private static void AddNotes(List<string> notes, ComparedBlock before, ComparedBlock after, bool same, List<(int Before, int After)> families, double windowMm)
    {
        if (before.Report.Photo?.Sha256 is { Length: > 0 } hash && hash == after.Report.Photo?.Sha256)
            notes.Add("Both reports are of the same photo, so every difference is the program's own.");
        if (!same)
        {
            notes.Add(families.Count == 0
                ? "The two grids have no direction of lines in common. Nothing by family can be compared; the whole-block rows compare different lines."
                : $"The grids differ. Families that run the same way are compared ({families.Count} of {Math.Max(before.Families.Count, after.Families.Count)}); wobble is taken over equal stretches of {windowMm:0} mm, because a longer line wobbles more by its length alone. Crossing errors compare the crossings that each grid has.");
        }
        foreach (ComparedBlock block in new[] { before, after })
        {
            int missing = block.Report.Lines.Count - block.Lines.Count;
            if (missing > 0) notes.Add($"{block.Name}: {missing} of {block.Report.Lines.Count} lines were not seen well enough and are left out{(same ? " on both sides" : "")}.");
        }
    }

    private static Draft? Try(Sides sides, Measure measure, Warp warp, (int Before, int After)? family, string name)
    {
        ClusteredDifference? main = sides.Estimate(family);
        if (main is null) return null;
        Sides.Shares warps = sides.WarpVariance(family), photo = sides.PhotoVariance(family);
        // An error common to a block's lines moves them together and apart. Together is added; apart is in the lines' spread already, as far
        // as it is expected there, and comes off. The degrees of freedom (Welch and Satterthwaite; JCGM 100, G.4) are those of this sum: the
        // spread as uncertain as it was, or the share of it that stays, and warp and photo with what they add on balance.
        return new Draft(measure, family?.Before, name, main, Sum(photo.Spread, photo.Mean), Sum(0, 0), photo.Mean);

        Uncertainty Sum(double photoSpread, double photoMean)
        {
            double own = main.Variance - warp.Square * warps.Spread - photoSpread, least = LeastOwnShare * main.Variance;
            double variance = Math.Max(own, least) + warp.Square * warps.Mean + photoMean;
            double lines = own > least ? main.Variance : least, takenOff = own > least ? 1 : 0;
            double ofWarp = warps.Mean - takenOff * warps.Spread, ofPhoto = photoMean - takenOff * photoSpread;
            double uncertain = lines * lines / main.Df + ofWarp * ofWarp * warp.Variance / 2 + ofPhoto * ofPhoto / PhotoDf;
            return new Uncertainty(variance, uncertain > 0 ? Math.Max(1, variance * variance / uncertain) : main.Df);
        }
    }

    private static List<ComparisonRow> Judge(List<Draft> drafts)
    {
        int overall = drafts.Count(d => d.Family is null), byFamily = drafts.Count - overall;
        double[] weights = [.. drafts.Select(d => d.Family is null ? (byFamily == 0 ? 1.0 : 0.5) / overall : 0.5 / byFamily)];
        double[] adjusted = Holm.Adjust([.. drafts.Select(d => d.P(true))], weights);
        double[] linesOnly = Holm.Adjust([.. drafts.Select(d => d.P(false))], weights);
        return [.. drafts.Select((d, i) => d.Row(adjusted[i], linesOnly[i], Alpha * weights[i]))];
    }

    private readonly record struct Uncertainty(double Variance, double Df);

    /// <param name="Whole">Lines, warp and photos together.</param>
    /// <param name="LinesOnly">As if both photos were free of error.</param>
    private sealed record Draft(Measure Measure, int? Family, string FamilyName, ClusteredDifference Lines, Uncertainty Whole, Uncertainty LinesOnly, double PhotoVariance)
    {
        public double P(bool withPhoto)
        {
            if (Lines.Lines < FewestLines) return 1;
            (double variance, double df) = withPhoto ? Whole : LinesOnly;
            double se = Math.Sqrt(variance);
            if (se < 1e-9) return Math.Abs(Lines.Difference) < 1e-9 ? 1 : 0;
            return Student.TwoSidedP(Lines.Difference / se, df);
        }

        public ComparisonRow Row(double adjusted, double linesOnly, double level)
        {
            double se = Math.Sqrt(Whole.Variance), df = Whole.Df;
            bool few = Lines.Lines < FewestLines;
            double half = few ? double.NaN : Student.TwoSidedQuantile(Alpha, df) * se;
            double detectable = few ? double.NaN : Student.TwoSidedQuantile(level, df) * se;
            bool up = Lines.Difference > 0;
            Verdict verdict = few ? Verdict.CannotTell
                : adjusted <= Alpha ? up == Measure.HigherIsBetter ? Verdict.Better : Verdict.Worse
                : linesOnly <= Alpha ? Verdict.CannotTell : Verdict.NoDifferenceShown;
            var row = new ComparisonRow(Measure, Family, FamilyName, Lines.Before, Lines.After, Lines.Difference, Lines.Difference - half, Lines.Difference + half,
                P(true), adjusted, detectable, Math.Sqrt(Math.Max(0, Whole.Variance - PhotoVariance)), Math.Sqrt(PhotoVariance), df, Lines.Lines, verdict, "");
            return row with { Sentence = VerdictWords.Of(row, few) };
        }
    }
}
