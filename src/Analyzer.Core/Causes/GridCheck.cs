using System.Globalization;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Units;

namespace Analyzer.Core.Causes;

/// <summary>How found lines stand to the intended grid.</summary>
public enum GridVerdict
{
    /// <summary>They are the intended grid, with the errors anyone makes.</summary>
    Agrees,

    /// <summary>The intended pattern, but turned or moved as a whole.</summary>
    MovedAsAWhole,

    /// <summary>Another pattern: other angles, another spacing, other families.</summary>
    Other,

    /// <summary>Too few lines to say.</summary>
    Unclear,
}

/// <summary>Compares found lines with the intended grid and, where they contradict it, says what they look like and how to run again.</summary>
public sealed record GridCheck(GridVerdict Verdict, FittedGrid Fitted, GridSuggestion? Suggestion)
{
    /// <summary>Smallest turn and shift of a whole grid that is worth a word: below, offsets and angles of the lines tell it better.</summary>
    public const double SmallestTurnDeg = 0.7, SmallestShiftMm = 1.0;

    private const double AngleToleranceDeg = 3.5, SpacingTolerance = 0.03, ShiftShare = 0.12;

    public static GridCheck Of(IReadOnlyList<FoundLine> found, IntendedGrid intended)
    {
        FittedGrid fitted = GridFit.Fit(found, intended.Size);
        FittedFamily[] sure = [.. fitted.Families.Where(f => f.SpacingMm is not null && f.Lines.Count >= 4)];
        if (sure.Length == 0) return new GridCheck(GridVerdict.Unclear, fitted, null);

        (FittedFamily Fit, LineFamily? Meant)[] pairs = [.. sure.Select(f => (f, intended.Families.OrderBy(m => AngleGap(f, m)).FirstOrDefault(m => AngleGap(f, m) <= AngleToleranceDeg)))];
        pairs = [.. pairs.Select(p => (p.Meant is null ? p.Fit : WithoutStrays(p.Fit, p.Meant), p.Meant))];
        // One family on every second line only has lines missing; where all are, another spacing was meant.
        bool sparse = pairs.All(p => p.Meant is not null) && pairs.Any(p => SameSpacing(p.Fit, p.Meant!, false));
        bool samePattern = pairs.All(p => p.Meant is not null && SameSpacing(p.Fit, p.Meant, sparse));
        if (!samePattern) return new GridCheck(GridVerdict.Other, fitted, Suggest(sure, intended.Size));

        double turn = pairs.Average(p => SignedGap(p.Fit, p.Meant!));
        double turnU = Math.Sqrt(pairs.Sum(p => p.Fit.AngleUDeg * p.Fit.AngleUDeg)) / pairs.Length;
        bool turned = Math.Abs(turn) > Math.Max(SmallestTurnDeg, 4 * turnU) && pairs.All(p => Math.Abs(SignedGap(p.Fit, p.Meant!) - turn) < 0.5 * Math.Abs(turn) + 3 * p.Fit.AngleUDeg);
        (double dx, double dy, bool moved) = Shift(pairs, intended.Size);
        if (!turned && !moved) return new GridCheck(GridVerdict.Agrees, fitted, null);
        return new GridCheck(GridVerdict.MovedAsAWhole, fitted, MovedSuggestion(pairs, turned ? turn : 0, moved ? (dx, dy) : null));
    }

    /// <summary>Names a fitted grid, or tells its families; with the options that measure against it.</summary>
    public static GridSuggestion Describe(FittedGrid fitted, BlockSize size)
    {
        FittedFamily[] sure = [.. fitted.Families.Where(f => f.SpacingMm is not null)];
        if (Named(sure, size) is { } named)
            return new GridSuggestion(Info(named.Families), $"It looks like {named.Name} with lines {LengthText.Spoken(named.Spacing)} apart.", $"--grid \"{named.Name}:{LengthText.Written(named.Spacing)}\"");
        LineFamily[] families = [.. sure.Select(f => f.ToFamily()).OfType<LineFamily>()];
        return new GridSuggestion(Info(families), "It is none of the named patterns.", LinesOptions(families));
    }

    private static double SignedGap(FittedFamily f, LineFamily m) => FittedFamily.Fold(f.AngleDeg - m.AngleDeg);

    private static double AngleGap(FittedFamily f, LineFamily m) => Math.Abs(SignedGap(f, m));

    /// <summary>
    /// A finer spacing that only a stray line between the intended ones has called for is taken back: where seven lines in ten sit on the coarser
    /// intended spacing, that is the family's.
    /// </summary>
    private static FittedFamily WithoutStrays(FittedFamily f, LineFamily m)
    {
        double spacing = f.SpacingMm!.Value;
        int times = (int)Math.Round(m.SpacingMm / spacing);
        if (times < 2 || Math.Abs(times * spacing - m.SpacingMm) > SpacingTolerance * m.SpacingMm) return f;
        LineFamily fine = f.ToFamily()!;
        int[] rest = [.. f.Lines.Select(l => (int)Math.Round((fine.Across(l.Middle) - fine.Across(f.Through)) / spacing)).Select(k => ((k % times) + times) % times)];
        int usual = Enumerable.Range(0, times).MaxBy(r => rest.Count(v => v == r));
        if (rest.Count(v => v == usual) < 0.7 * rest.Length) return f;
        BlockPoint through = fine.At(fine.Along(f.Through), fine.Across(f.Through) + usual * spacing);
        return f with { SpacingMm = times * spacing, Through = through };
    }

    private static bool SameSpacing(FittedFamily f, LineFamily m, bool multiplesToo)
    {
        double spacing = f.SpacingMm!.Value, times = Math.Round(spacing / m.SpacingMm);
        // A handful of lines, all on every second or third intended one, is the intended grid with lines missing.
        if (times >= 2 && (multiplesToo || f.Lines.Count <= 4) && Math.Abs(spacing - times * m.SpacingMm) <= SpacingTolerance * spacing) spacing /= times;
        return IsInStep(spacing, m.SpacingMm, f.Lines.Count, f.SpacingUMm ?? 0);
    }

    /// <summary>Whether two spacings are one, give or take: over so many lines they must not have run a third of a line out of step.</summary>
    public static bool IsInStep(double spacingMm, double meantMm, int lines, double spacingUMm = 0)
    {
        double difference = Math.Abs(spacingMm - meantMm);
        return difference <= Math.Max(SpacingTolerance * meantMm, 3 * spacingUMm) && difference * lines / 2 < 0.35 * meantMm;
    }

    /// <summary>Place of the fitted lines against the intended ones at the middle of the block, within half a spacing, mm toward n.</summary>
    private static double PhaseMm(FittedFamily f, LineFamily m)
    {
        double difference = m.Across(f.Through) - m.Across(m.Through);
        return difference - m.SpacingMm * Math.Round(difference / m.SpacingMm);
    }

    /// <summary>The one shift of the whole grid that explains the families' places; "moved" only when it does, and is more than anyone's placing.</summary>
    private static (double Dx, double Dy, bool Moved) Shift((FittedFamily Fit, LineFamily? Meant)[] pairs, BlockSize size)
    {
        double xx = 0, xy = 0, yy = 0, bx = 0, by = 0;
        foreach ((FittedFamily f, LineFamily? m) in pairs)
        {
            double p = PhaseMm(f, m!);
            xx += m!.AcrossX * m.AcrossX;
            xy += m.AcrossX * m.AcrossY;
            yy += m.AcrossY * m.AcrossY;
            bx += m.AcrossX * p;
            by += m.AcrossY * p;
        }
        double det = xx * yy - xy * xy, dx, dy;
        if (det > 1e-6) (dx, dy) = ((yy * bx - xy * by) / det, (xx * by - xy * bx) / det);
        else (dx, dy) = (bx / pairs.Length, by / pairs.Length);
        bool large = pairs.Any(p => Math.Abs(PhaseMm(p.Fit, p.Meant!)) > Math.Max(Math.Max(SmallestShiftMm, ShiftShare * p.Meant!.SpacingMm), 4 * p.Fit.PlaceUMm));
        bool explains = pairs.All(p => Math.Abs(PhaseMm(p.Fit, p.Meant!) - p.Meant!.AcrossX * dx - p.Meant.AcrossY * dy) < Math.Max(0.6, 4 * p.Fit.PlaceUMm));
        bool inside = Math.Abs(dx) < size.WidthMm && Math.Abs(dy) < size.HeightMm;
        return (dx, dy, large && explains && inside);
    }

    private static GridSuggestion MovedSuggestion((FittedFamily Fit, LineFamily? Meant)[] pairs, double turnDeg, (double Dx, double Dy)? shift)
    {
        var words = new List<string>();
        if (turnDeg != 0) words.Add(string.Create(CultureInfo.InvariantCulture, $"turned by {Math.Abs(turnDeg):0.0} degrees {(turnDeg > 0 ? "counter-clockwise" : "clockwise")}"));
        if (shift is { } s) words.Add($"moved {ShiftWords(s.Dx, s.Dy)}");
        LineFamily[] families = [.. pairs.Select(p => p.Fit.ToFamily()!)];
        string message = $"The pattern is right, but as a whole it is {string.Join(" and ", words)}. Either the stencil or first line was laid that way, or a corner is not where it should be.";
        return new GridSuggestion(Info(families), message, LinesOptions(families));
    }

    private static GridSuggestion Suggest(FittedFamily[] fitted, BlockSize size)
    {
        LineFamily[] families = [.. fitted.Select(f => f.ToFamily()).OfType<LineFamily>()];
        if (Named(fitted, size) is { } named)
            return new GridSuggestion(Info(named.Families), $"This looks like {named.Name} with lines {LengthText.Spoken(named.Spacing)} apart, not the pattern you gave.", $"--grid \"{named.Name}:{LengthText.Written(named.Spacing)}\"");
        string each = string.Join(", ", fitted.Select(f => string.Create(CultureInfo.InvariantCulture,
            $"{f.AngleDeg:0.0} ± {f.AngleUDeg:0.0} degrees every {f.SpacingMm:0.0} ± {f.SpacingUMm ?? 0:0.0} mm")));
        return new GridSuggestion(Info(families), $"The lines do not follow the pattern you gave; they run at {each}.", LinesOptions(families));
    }

    /// <summary>The named pattern, with a spacing people use, that all fitted families agree with.</summary>
    private static (string Name, Length Spacing, IReadOnlyList<LineFamily> Families)? Named(FittedFamily[] fitted, BlockSize size)
    {
        double slant = fitted.Select(f => Math.Abs(f.AngleDeg)).Where(a => a is >= 10 and <= 80).DefaultIfEmpty(0).Average();
        string[] names = ["square", "diamond", "triangle", "triangle45", string.Create(CultureInfo.InvariantCulture, $"diamond{slant:0}")];
        // A spacing people use, in inches, is tried before an odd one; a few lines with their own scatter may lie a little off an eighth of an inch.
        (double Tolerance, Func<double, Length?> Spacing)[] tries =
        [
            (0.01, mm => LengthText.NearestSixteenth(new Length(mm)) is { } n ? Length.FromInches(n / 16.0) : null),
            (0.03, mm => Math.Round(mm / 25.4 * 8) is > 0 and var n ? Length.FromInches(n / 8.0) : null),
            (0.01, mm => new Length(Math.Abs(mm - Math.Round(mm)) <= 0.006 * mm ? Math.Round(mm) : Math.Round(mm, 1))),
        ];
        foreach ((double tolerance, Func<double, Length?> spacingOf) in tries)
            foreach (string name in names)
                foreach (double spacingMm in fitted.Select(f => f.SpacingMm!.Value))
                {
                    if (spacingOf(spacingMm) is not { } spacing || NamedGrids.Families(name, spacing, size) is not { } families || families.Count != fitted.Length) continue;
                    if (families.All(m => fitted.Any(f => AngleGap(f, m) <= Math.Max(0.8, 4 * f.AngleUDeg) && SpacingFits(f, m, tolerance)
                        && Math.Abs(PhaseMm(f, m)) <= Math.Max(SmallestShiftMm, ShiftShare * m.SpacingMm))))
                        return (name, spacing, families);
                }
        return null;
    }

    /// <summary>Spacing within the tolerance; a handful of lines may sit on every second or third line only.</summary>
    private static bool SpacingFits(FittedFamily f, LineFamily m, double tolerance)
    {
        double spacing = f.SpacingMm!.Value, times = f.Lines.Count <= 6 ? Math.Max(1, Math.Round(spacing / m.SpacingMm)) : 1;
        return Math.Abs(spacing / times - m.SpacingMm) <= Math.Max(tolerance * m.SpacingMm, 3 * (f.SpacingUMm ?? 0));
    }

    private static FamilyInfo[] Info(IEnumerable<LineFamily> families) =>
        [.. families.Select((f, i) => new FamilyInfo(i, Math.Round(f.AngleDeg, 3), Math.Round(f.SpacingMm, 4), [Math.Round(f.Through.Xmm, 3), Math.Round(f.Through.Ymm, 3)]))];

    private static string LinesOptions(IEnumerable<LineFamily> families) => string.Join(" ", families.Select(f =>
        string.Create(CultureInfo.InvariantCulture, $"--lines \"{f.AngleDeg:0.##}deg {f.SpacingMm:0.###}mm {f.Through.Xmm:0.##}mm,{f.Through.Ymm:0.##}mm\"")));

    private static string ShiftWords(double dx, double dy)
    {
        var words = new List<string>();
        if (Math.Abs(dx) >= 0.3) words.Add(string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(dx):0.0} mm to the {(dx > 0 ? "right" : "left")}"));
        if (Math.Abs(dy) >= 0.3) words.Add(string.Create(CultureInfo.InvariantCulture, $"{Math.Abs(dy):0.0} mm {(dy > 0 ? "down" : "up")}"));
        return string.Join(" and ", words);
    }
}
