using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Tracing;

/// <summary>Where other stitched lines run through one line's strip.</summary>
/// <param name="AtMm">Along this line, mm.</param>
/// <param name="AlongPart">The other line's direction along this line.</param>
/// <param name="AcrossPart">The other line's direction across this line.</param>
internal readonly record struct OtherLine(double AtMm, double AlongPart, double AcrossPart)
{
    /// <summary>Distance of a place of the strip from the other line, mm.</summary>
    public double Distance(double alongMm, double besideMm) => Math.Abs((alongMm - AtMm) * AcrossPart - besideMm * AlongPart);

    /// <summary>Which steps along a line lie nearer than the given reach (mm along it) to a place where another line crosses.</summary>
    public static bool[] Near(IReadOnlyList<OtherLine> others, int steps, double stepMm, Func<OtherLine, double> reachMm)
    {
        var near = new bool[steps];
        foreach (OtherLine other in others)
        {
            double reach = reachMm(other);
            int from = (int)Math.Max(0, Math.Floor((other.AtMm - reach) / stepMm)), to = (int)Math.Min(steps - 1, Math.Ceiling((other.AtMm + reach) / stepMm));
            for (int i = from; i <= to; i++) near[i] |= Math.Abs(i * stepMm - other.AtMm) < reach;
        }
        return near;
    }

    /// <summary>Meeting points of one traced line with all traced lines of other families.</summary>
    public static List<OtherLine> Of(CoarsePath path, IntendedGrid grid, IEnumerable<CoarsePath> all)
    {
        var result = new List<OtherLine>();
        LineFamily family = grid.Families[path.Line.Family];
        foreach (CoarsePath other in all)
        {
            if (other.Line.Family == path.Line.Family) continue;
            LineFamily second = grid.Families[other.Line.Family];
            double across = second.AcrossX * family.AlongX + second.AcrossY * family.AlongY;
            double target = second.AcrossOfLine(other.Line.Index), otherStart = second.Along(other.Line.From);
            double at = path.Line.LengthMm / 2;
            for (int round = 0; round < 3; round++)
            {
                double deviation = path.At(at);
                BlockPoint foot = new(path.Line.From.Xmm + family.AcrossX * deviation, path.Line.From.Ymm + family.AcrossY * deviation);
                BlockPoint here = new(foot.Xmm + family.AlongX * at, foot.Ymm + family.AlongY * at);
                double wanted = target + other.At(second.Along(here) - otherStart);
                at = (wanted - second.Across(foot)) / across;
            }
            if (at < -3 || at > path.Line.LengthMm + 3) continue;
            result.Add(new OtherLine(at, family.AlongX * second.AlongX + family.AlongY * second.AlongY, family.AcrossX * second.AlongX + family.AcrossY * second.AlongY));
        }
        return result;
    }
}
