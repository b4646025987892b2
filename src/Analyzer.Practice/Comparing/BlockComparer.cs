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

    public static Comparison Compare(ComparedBlock before, ComparedBlock after, double toleranceMm = DefaultToleranceMm)
    {
        bool same = SameGrid(before, after);
        List<(int Before, int After)> families = same ? [.. before.Families.Select((_, i) => (i, i))] : MatchFamilies(before, after);
        var notes = new List<string>();
        double windowMm = same ? 0 : CommonWindow(before, after, families);
        (double warpMm, int warpDf) = CommonWarp(before, after);
        AddNotes(notes, before, after, same, families, windowMm);
        var drafts = new List<Draft>();
        foreach (Measure measure in Measure.All)
        {
            if (!same && measure == Measure.Triangle && families.Count < 3) continue;
            var sides = new Sides(before, after, measure, same, windowMm, families, warpMm);
            if (Try(sides, measure, warpDf, null, "whole block") is { } overall) drafts.Add(overall);
            if (!measure.ByFamily || families.Count < 2) continue;
            foreach ((int b, int a) in families)
                if (Try(sides, measure, warpDf, (b, a), FamilyName(before.Families[b], b)) is { } row) drafts.Add(row);
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

    /// <summary>Standard deviation of one warp mode of either block, from the bow its lines share, with its degrees of freedom.</summary>
    /// <remarks>
    /// Each family's estimate is unbiased but may fall below zero; cutting each at zero is too large, cutting their mean too small, so
    /// the middle of both is taken.
    /// </remarks>
    private static (double ModeMm, int Df) CommonWarp(ComparedBlock before, ComparedBlock after)
    {
        List<(double Square, double OfUnitModes)> shared = [.. before.SharedBows(), .. after.SharedBows()];
        double unit = shared.Sum(s => s.OfUnitModes);
        if (unit <= 0) return (0, 1);
        double meanSquare = (shared.Sum(s => Math.Max(0, s.Square)) + Math.Max(0, shared.Sum(s => s.Square))) / 2 / unit;
        return (Math.Sqrt(meanSquare), shared.Count);
    }

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

    private static Draft? Try(Sides sides, Measure measure, int warpDf, (int Before, int After)? family, string name)
    {
        LineJackknife? main = sides.Estimate(family);
        if (main is null) return null;
        Sides.Shares warp = sides.WarpVariance(family), photo = sides.PhotoVariance(family);
        // An error common to a block's lines moves them together and apart. Together is added; apart is in the lines' spread already, as far
        // as it is expected there, and comes off. The spread stays as uncertain as it was, so its own variance carries the degrees of freedom.
        double own = Math.Max(main.Variance - warp.Spread - photo.Spread, LeastOwnShare * main.Variance), variance = own + warp.Mean;
        double uncertain = main.Variance * main.Variance / main.Df + warp.Mean * warp.Mean / warpDf;
        main = main with { Variance = variance, Df = uncertain > 0 ? Math.Max(1, variance * variance / uncertain) : main.Df };
        return new Draft(measure, family?.Before, name, main, photo.Mean);
    }

    private static List<ComparisonRow> Judge(List<Draft> drafts)
    {
        int overall = drafts.Count(d => d.Family is null), byFamily = drafts.Count - overall;
        double[] weights = [.. drafts.Select(d => d.Family is null ? (byFamily == 0 ? 1.0 : 0.5) / overall : 0.5 / byFamily)];
        double[] adjusted = Holm.Adjust([.. drafts.Select(d => d.P(true))], weights);
        double[] linesOnly = Holm.Adjust([.. drafts.Select(d => d.P(false))], weights);
        return [.. drafts.Select((d, i) => d.Row(adjusted[i], linesOnly[i], Alpha * weights[i]))];
    }

    private sealed record Draft(Measure Measure, int? Family, string FamilyName, LineJackknife Lines, double PhotoVariance)
    {
        private double Variance(bool withPhoto) => Lines.Variance + (withPhoto ? PhotoVariance : 0);

        private double Df(bool withPhoto) =>
            withPhoto ? Student.EffectiveDf([(Lines.Variance, Lines.Df), (PhotoVariance, double.PositiveInfinity)]) : Lines.Df;

        public double P(bool withPhoto)
        {
            if (Lines.Lines < FewestLines) return 1;
            double se = Math.Sqrt(Variance(withPhoto));
            if (se < 1e-9) return Math.Abs(Lines.Difference) < 1e-9 ? 1 : 0;
            return Student.TwoSidedP(Lines.Difference / se, Df(withPhoto));
        }

        public ComparisonRow Row(double adjusted, double linesOnly, double level)
        {
            double se = Math.Sqrt(Variance(true)), df = Df(true);
            bool few = Lines.Lines < FewestLines;
            double half = few ? double.NaN : Student.TwoSidedQuantile(Alpha, df) * se;
            double detectable = few ? double.NaN : Student.TwoSidedQuantile(level, df) * se;
            bool up = Lines.Difference > 0;
            Verdict verdict = few ? Verdict.CannotTell
                : adjusted <= Alpha ? up == Measure.HigherIsBetter ? Verdict.Better : Verdict.Worse
                : linesOnly <= Alpha ? Verdict.CannotTell : Verdict.NoDifferenceShown;
            var row = new ComparisonRow(Measure, Family, FamilyName, Lines.Before, Lines.After, Lines.Difference, Lines.Difference - half, Lines.Difference + half,
                P(true), adjusted, detectable, Math.Sqrt(Lines.Variance), Math.Sqrt(PhotoVariance), df, Lines.Lines, verdict, "");
            return row with { Sentence = VerdictWords.Of(row, few) };
        }
    }
}
