using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Grids;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// A grey thread is dark on the pale squares of a check and light on the dark ones. The thread itself has one colour everywhere; where the ground is such that it would stand out
/// the other way round, what was followed there in the usual colour is a shadow or an edge, and those places are left out.
/// </summary>
internal static class OverPrint
{
    /// <summary>Flanks on which the ground is read, mm from the line.</summary>
    private static readonly double[] FlanksMm = [-1.5, -1.2, -0.9, 0.9, 1.2, 1.5];

    /// <summary>Least usual difference of thread and ground, levels of the 8-bit photo: with less, light and shade over the block could turn it round as well.</summary>
    private const double LeastLevels = 20;

    /// <summary>A place goes where the thread would stand out the other way by this share of the usual.</summary>
    private const double Inverted = -0.3;

    public static TracedLine?[] Without(IReadOnlyList<TracedLine?> lines, Photo photo, BlockPlane plane, IntendedGrid grid, Colour3 direction)
    {
        TracedLine?[] result = [.. lines];
        Colour3 unit = 1 / Math.Max(1e-9, direction.Norm) * direction;
        var seen = new (double Thread, double Ground)[lines.Count][];
        Parallel.For(0, lines.Count, i => seen[i] = lines[i] is { } line ? [.. Levels(line, photo, plane, grid.Families[line.Line.Family], unit)] : []);
        double[] threads = [.. seen.SelectMany(s => s).Select(s => s.Thread).Where(double.IsFinite)];
        if (threads.Length < 50) return result;
        double thread = UpperMedian.Of(threads), usual = UpperMedian.Of(seen.SelectMany(s => s).Select(s => thread - s.Ground).Where(double.IsFinite));
        if (usual < LeastLevels) return result;
        for (int i = 0; i < result.Length; i++)
        {
            if (lines[i] is not { } line) continue;
            (double Thread, double Ground)[] own = seen[i];
            result[i] = line.Only([.. own.Select(s => !(thread - s.Ground < Inverted * usual))]);
        }
        return result;
    }

    /// <summary>Thread and ground at each sample along the thread's usual difference, levels.</summary>
    private static IEnumerable<(double Thread, double Ground)> Levels(TracedLine line, Photo photo, BlockPlane plane, LineFamily family, Colour3 unit)
    {
        for (int i = 0; i < line.AlongMm.Length; i++)
        {
            double Beside(double mm)
            {
                double across = line.DeviationMm[i] + mm;
                var place = new BlockPoint(line.Line.From.Xmm + family.AlongX * line.AlongMm[i] + family.AcrossX * across, line.Line.From.Ymm + family.AlongY * line.AlongMm[i] + family.AcrossY * across);
                return ThreadLook.At(photo, plane, place) is { } v ? unit.Dot(Colour3.OfBgr(v.Item0, v.Item1, v.Item2)) : double.NaN;
            }

            yield return (Beside(0), UpperMedian.Of(FlanksMm.Select(Beside)));
        }
    }
}
