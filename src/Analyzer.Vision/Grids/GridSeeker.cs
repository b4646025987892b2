using Analyzer.Core.Causes;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Grids;

/// <summary>Looks for straight stitched lines in every direction, without being told any pattern, and fits regular families to them.</summary>
/// <remarks>
/// Directions 4 degrees apart, each with the Hough transform of the tracing (window ±3 degrees) on coarse evidence. The strength of all lines found, laid
/// out over the half circle, shows the families as peaks; the lines near each peak give its angle, spacing and place by <see cref="GridFit"/>.
/// </remarks>
public static class GridSeeker
{
    private const double StepDeg = 4, PeakWidthDeg = 1.2, FamilyHalfWidthDeg = 2.5;

    /// <summary>Evidence resolution for the search, px/mm.</summary>
    private const double SeekPixelsPerMm = 4;

    /// <summary>Weakest line believed, in noise units of its accumulator, and against the strongest of its direction.</summary>
    private const double LeastStrength = 6, LeastShare = 0.35;

    /// <summary>A family's weight against the strongest family's.</summary>
    private const double LeastFamily = 0.22;

    private const double ShortestMm = 25;

    private const int MostFamilies = 4;

    /// <summary>The regular grid the block's lines fit best; families without three regular lines are left out.</summary>
    public static FittedGrid Seek(Photo photo, BlockPlane plane, CancellationToken cancel = default)
    {
        Seen[] lines = Lines(photo, plane, cancel);
        var families = new List<FittedFamily>();
        foreach (double angle in Peaks(lines))
        {
            Seen[] own = [.. lines.Where(l => Math.Abs(FittedFamily.Fold(l.Line.AngleDeg - angle)) <= FamilyHalfWidthDeg)];
            double top = own.Max(l => l.Strength);
            FoundLine[] strong = [.. own.Where(l => l.Strength >= LeastShare * top).Select(l => l.Line)];
            FittedFamily? best = GridFit.Fit(strong, plane.Size).Families.Where(f => f.SpacingMm is not null && f.Lines.Count >= 3).MaxBy(f => f.Lines.Sum(l => l.LengthMm));
            if (best is not null) families.Add(best);
        }
        return new FittedGrid([.. families.Take(MostFamilies)]);
    }

    private sealed record Seen(FoundLine Line, double Strength);

    private static Seen[] Lines(Photo photo, BlockPlane plane, CancellationToken cancel)
    {
        var reduced = new ReducedPhoto(photo, plane, SeekPixelsPerMm);
        var settings = new EvidenceSettings { PixelsPerMm = Math.Min(SeekPixelsPerMm, Math.Max(3, Math.Floor(plane.PixelsPerMm))) };
        var middle = new BlockPoint(plane.Size.WidthMm / 2, plane.Size.HeightMm / 2);
        int directions = (int)Math.Round(180 / StepDeg);
        var found = new Seen[directions][];
        for (int i = 0; i < directions; i++)
        {
            cancel.ThrowIfCancellationRequested();
            double angle = i * StepDeg;
            var family = new LineFamily(angle > 90 ? angle - 180 : angle, 25, middle);
            FamilyEvidence evidence = FamilyEvidence.OfAll(reduced, plane, [family], settings)[0];
            found[i] = [.. HoughLines.Find(ScoreMap.AnyColour(ScoreColumns.Of(evidence, settings.EdgeInsetMm), settings, evidence.Noise), LeastStrength).Where(l => l.LengthMm >= ShortestMm).Select(l =>
            {
                (double from, double to) = HoughLines.Extent(evidence, l);
                return new Seen(new FoundLine(family.At(from, l.AcrossAt(from)), family.At(to, l.AcrossAt(to))), l.Strength);
            })];
        }
        return WithoutTwins([.. found.SelectMany(f => f).OrderByDescending(l => l.Strength)]);
    }

    /// <summary>Neighbouring directions see the same line twice.</summary>
    private static Seen[] WithoutTwins(Seen[] sorted)
    {
        var kept = new List<Seen>();
        foreach (Seen line in sorted)
        {
            bool twin = kept.Any(k => Math.Abs(FittedFamily.Fold(k.Line.AngleDeg - line.Line.AngleDeg)) < 3 && Distance(k.Line, line.Line.Middle) < HoughLines.SameLineMm + 0.5);
            if (!twin) kept.Add(line);
        }
        return [.. kept];
    }

    private static double Distance(FoundLine line, BlockPoint p)
    {
        double dx = line.To.Xmm - line.From.Xmm, dy = line.To.Ymm - line.From.Ymm, length = Math.Sqrt(dx * dx + dy * dy);
        return Math.Abs((p.Xmm - line.From.Xmm) * dy - (p.Ymm - line.From.Ymm) * dx) / Math.Max(1e-9, length);
    }

    /// <summary>Directions in which much is stitched, strongest first.</summary>
    private static List<double> Peaks(Seen[] lines)
    {
        const int bins = 720;
        var weight = new double[bins];
        for (int b = 0; b < bins; b++)
            foreach (Seen line in lines)
            {
                double d = FittedFamily.Fold(line.Line.AngleDeg - b * 180.0 / bins) / PeakWidthDeg;
                if (Math.Abs(d) < 3) weight[b] += Math.Pow(line.Strength, 2) * Math.Exp(-0.5 * d * d);
            }
        double top = weight.Max();
        var peaks = new List<double>();
        foreach (int b in Enumerable.Range(0, bins).OrderByDescending(b => weight[b]))
        {
            if (!(weight[b] > LeastFamily * top)) break;
            double angle = b * 180.0 / bins;
            if (peaks.All(p => Math.Abs(FittedFamily.Fold(p - angle)) > GridFit.FamilyGapDeg)) peaks.Add(angle);
        }
        return peaks;
    }
}
