using System.Globalization;
using Analyzer.Core.Causes;
using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;

namespace Analyzer.Pipeline;

/// <summary>The pattern when nobody has told it: the regular grid that the lines fit best, and what to say about it.</summary>
internal static class UnknownGrid
{
    /// <summary>Stands in for the pattern while the corners are looked for.</summary>
    public static IntendedGrid Placeholder(BlockSize size) =>
        new(size, NamedGrids.Families("square", new Core.Units.Length(Math.Max(10, Math.Min(size.WidthMm, size.HeightMm) / 3)), size)!);

    public static Reason NoGrid { get; } = new("no-regular-grid", "The lines in this photo do not show a regular pattern that could be measured against.",
        "Say what was meant with --grid or --lines, and take the photo nearer and with light from the side.");

    /// <summary>The fitted grid once more from the traced lines: angle, spacing and place by least squares over whole lines.</summary>
    public static FittedGrid Refit(AccuracyReport report, IntendedGrid grid)
    {
        var families = new List<FittedFamily>();
        for (int f = 0; f < grid.Families.Count; f++)
        {
            LineFamily family = grid.Families[f];
            FoundLine[] lines = [.. report.Lines.Where(l => l.Family == f && l.OffsetMm.Value is not null && l.Samples.Count >= 15).Select(l => AsStitched(l, family))];
            if (lines.Length < 3) continue;
            FittedFamily? best = GridFit.Fit(lines, grid.Size).Families.Where(x => x.SpacingMm is not null).MaxBy(x => x.Lines.Count);
            if (best is not null) families.Add(best);
        }
        return new FittedGrid(families);
    }

    private static FoundLine AsStitched(LineReport line, LineFamily family)
    {
        double length = Math.Sqrt(Math.Pow(line.ToMm[0] - line.FromMm[0], 2) + Math.Pow(line.ToMm[1] - line.FromMm[1], 2)), turn = Math.Tan(line.AngleDeg.Value!.Value * Math.PI / 180) * length / 2, offset = line.OffsetMm.Value!.Value;
        BlockPoint Moved(double[] p, double d) => new(p[0] + family.AcrossX * d, p[1] + family.AcrossY * d);
        return new FoundLine(Moved(line.FromMm, offset - turn), Moved(line.ToMm, offset + turn), Math.Max(0.02, line.OffsetShapeUMm ?? 0.1));
    }

    /// <summary>What the pattern was found to be, each number with its standard uncertainty, and how to say so next time.</summary>
    public static GridSuggestion Words(FittedGrid fitted, BlockSize size)
    {
        GridSuggestion named = GridCheck.Describe(fitted, size);
        string each = string.Join("; ", fitted.Families.Select(f => string.Create(CultureInfo.InvariantCulture,
            $"{f.AngleDeg:0.00} ± {2 * f.AngleUDeg:0.00} degrees, every {f.SpacingMm:0.00} ± {2 * (f.SpacingUMm ?? 0):0.00} mm, place ± {2 * f.PlaceUMm:0.00} mm")));
        return named with { Message = $"Measured against the regular grid that the lines themselves fit best ({each}). {named.Message}" };
    }
}
