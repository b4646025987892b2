using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Stitches;

/// <summary>Where straight lines of a family run inside the block.</summary>
internal static class BlockSpan
{
    /// <summary>Least and greatest u·p of the block between two values of n·p; an empty span where nothing of the block lies there.</summary>
    public static (double From, double To) Along(LineFamily family, BlockSize size, double acrossFrom, double acrossTo)
    {
        (double from, double to) = (double.PositiveInfinity, double.NegativeInfinity);
        Core.Geometry.BlockPoint[] corners = size.Corners();
        for (int i = 0; i < 4; i++)
        {
            Core.Geometry.BlockPoint p = corners[i], q = corners[(i + 1) % 4];
            double a = family.Across(p), b = family.Across(q);
            // The part of this edge between the two values, as shares of the edge.
            double t0 = 0, t1 = 1;
            if (Math.Abs(b - a) < 1e-9)
            {
                if (a < acrossFrom || a > acrossTo) continue;
            }
            else
            {
                double u = (acrossFrom - a) / (b - a), v = (acrossTo - a) / (b - a);
                t0 = Math.Max(0, Math.Min(u, v));
                t1 = Math.Min(1, Math.Max(u, v));
                if (t1 < t0) continue;
            }
            foreach (double t in new[] { t0, t1 })
            {
                double s = family.Along(p) + t * (family.Along(q) - family.Along(p));
                from = Math.Min(from, s);
                to = Math.Max(to, s);
            }
        }
        return (from, to);
    }

    /// <summary>u·p where the line n·p = across + slope·(u·p - mid) enters and leaves the block; (0, 0) where it misses it.</summary>
    public static (double From, double To) OfLine(LineFamily family, BlockSize size, double acrossMm, double midMm, double slope)
    {
        // x = AlongX s + AcrossX (across + slope (s - mid)), and the same for y: clip s by 0 <= x <= width, 0 <= y <= height.
        (double from, double to) = (double.NegativeInfinity, double.PositiveInfinity);
        double rest = acrossMm - slope * midMm;
        Clip(family.AcrossX * rest, family.AlongX + family.AcrossX * slope, size.WidthMm);
        Clip(family.AcrossY * rest, family.AlongY + family.AcrossY * slope, size.HeightMm);
        return to > from ? (from, to) : (0, 0);

        void Clip(double start, double growth, double end)
        {
            if (Math.Abs(growth) < 1e-12)
            {
                if (start < 0 || start > end) (from, to) = (1, 0);
                return;
            }
            double a = -start / growth, b = (end - start) / growth;
            from = Math.Max(from, Math.Min(a, b));
            to = Math.Min(to, Math.Max(a, b));
        }
    }
}
