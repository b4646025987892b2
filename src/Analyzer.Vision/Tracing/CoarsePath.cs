using Analyzer.Core.Pattern;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>A line followed through the evidence to about a tenth of a millimetre.</summary>
/// <param name="StepMm">Distance between entries along the intended line, mm; entry 0 is at the line's start.</param>
/// <param name="DeviationMm">n·p less the intended line, mm.</param>
/// <param name="Reward">Evidence at each entry, 1 = a usual thread of this block.</param>
internal sealed record CoarsePath(GridLine Line, double StepMm, double[] DeviationMm, double[] Reward)
{
    /// <summary>Share of the line where the evidence is at least a third of the usual.</summary>
    public double Coverage => Reward.Length == 0 ? 0 : Reward.Count(r => r > 0.33) / (double)Reward.Length;

    public double At(double alongMm)
    {
        double x = Math.Clamp(alongMm / StepMm, 0, DeviationMm.Length - 1);
        int i = Math.Min((int)x, DeviationMm.Length - 2);
        return DeviationMm[i] + (x - i) * (DeviationMm[i + 1] - DeviationMm[i]);
    }
}

/// <summary>Follows a straight line's wobble by dynamic programming in its straightened corridor.</summary>
internal static class PathFinder
{
    public const double StepMm = 0.5, CellMm = 0.1;

    /// <summary>Farthest a line may wander from its straight Hough line, mm.</summary>
    public const double HalfWidthMm = 2.2;

    /// <summary>Steepest wobble that is followed, cells a step.</summary>
    private const int SteepestCells = 4;

    /// <param name="measure">Evidence of one place, in units of a usual thread.</param>
    /// <param name="less">What is taken off it, so that plain ground earns nothing.</param>
    public static CoarsePath Follow(FamilyEvidence evidence, GridLine line, HoughLine hough, double spacingMm, in StrengthMeasure measure, double less, Learnt.SightStrip? sight = null)
    {
        LineFamily family = evidence.Family;
        double start = family.Along(line.From), across = family.AcrossOfLine(line.Index);
        int steps = Math.Max(2, (int)Math.Floor(line.LengthMm / StepMm) + 1);
        double half = Math.Min(HalfWidthMm, 0.42 * spacingMm);
        int cells = (2 * (int)Math.Round(half / CellMm)) + 1, middle = cells / 2;
        var reward = new float[steps * cells];
        var column = new float[(int)Math.Ceiling(2 * middle * CellMm * evidence.PixelsPerMm) + 3];
        float cellRows = (float)(CellMm * evidence.PixelsPerMm), off = (float)less;
        for (int i = 0; i < steps; i++)
        {
            double s = start + i * StepMm, from = (hough.AcrossAt(s) - middle * CellMm - evidence.AcrossStartMm) * evidence.PixelsPerMm;
            int first = (int)Math.Floor(from);
            evidence.Column(s, first, column, measure);
            float at = (float)(from - first);
            for (int c = 0; c < cells; c++, at += cellRows)
            {
                int r = (int)at;
                float f = at - r;
                reward[i * cells + c] = Math.Clamp((1 - f) * column[r] + f * column[r + 1] - off, -0.3f, 1.2f);
            }
            KeepOutOfDitch(evidence, s, hough.AcrossAt(s), reward.AsSpan(i * cells, cells));
        }
        float[] seen = sight is null ? reward : WithSight(reward, sight, steps, cells, i => hough.AcrossAt(start + i * StepMm) - across);
        int[] best = Viterbi(seen, steps, cells, middle);
        var deviation = new double[steps];
        var along = new double[steps];
        for (int i = 0; i < steps; i++)
        {
            deviation[i] = hough.AcrossAt(start + i * StepMm) + (best[i] - middle) * CellMm - across;
            along[i] = reward[i * cells + best[i]];
        }
        return new CoarsePath(line, StepMm, deviation, along);
    }

    /// <summary>Half the evidence, and what the net sees at the same places, which counts up to four times as much: the net tells which line it is, the evidence where within its cells.</summary>
    private static float[] WithSight(float[] reward, Learnt.SightStrip sight, int steps, int cells, Func<int, double> middleMm)
    {
        const float most = 4, weight = 2, evidence = 0.5f;
        var result = new float[reward.Length];
        for (int i = 0; i < steps; i++)
        {
            double first = middleMm(i) - cells / 2 * CellMm;
            for (int c = 0; c < cells; c++)
                result[i * cells + c] = evidence * reward[i * cells + c] + weight * Math.Clamp((float)sight.At(i * StepMm, first + c * CellMm), -most, most) / most;
        }
        return result;
    }

    /// <summary>
    /// Other straight lines a path may really run along: level where most of its well-seen places lie, and tilted as those run, those far off left out.
    /// Only those that differ from the one it was sought about.
    /// </summary>
    public static IEnumerable<HoughLine> Straightened(CoarsePath path, LineFamily family, HoughLine about)
    {
        const double reachMm = 2, leastMm = 0.5;
        double half = path.Line.LengthMm / 2, start = family.Along(path.Line.From), across = family.AcrossOfLine(path.Line.Index);
        int[] seen = [.. Enumerable.Range(0, path.DeviationMm.Length).Where(i => path.Reward[i] > 0.5)];
        if (seen.Length < 20) yield break;
        double level = BiweightLine.Densest([.. seen.Select(i => path.DeviationMm[i])], reachMm), slope = 0;
        HoughLine Line() => new(across + level, start + half, slope, about.Strength, about.LengthMm);
        bool IsOther(HoughLine line) => new[] { start, start + 2 * half }.Max(s => Math.Abs(line.AcrossAt(s) - about.AcrossAt(s))) > leastMm;
        if (IsOther(Line())) yield return Line();
        (double X, double Y)[] places = [.. seen.Select(i => (i * path.StepMm - half, path.DeviationMm[i]))];
        for (int round = 0; round < 6; round++)
        {
            // A few places close together do not tell how a line is tilted.
            if (BiweightLine.Next(places, level, slope, reachMm) is not { Weight: >= 10 } next || next.SpreadMm2 <= 1e-6 * half * half) yield break;
            (level, slope) = (next.Level, next.Slope);
        }
        if (IsOther(Line())) yield return Line();
    }

    /// <summary>A line close to an edge that runs nearly the same way must not be drawn into the stitched ditch there: those places earn nothing.</summary>
    private static void KeepOutOfDitch(FamilyEvidence e, double alongMm, double centreMm, Span<float> reward)
    {
        const double ditchMm = 0.9, sameWay = 0.35;
        bool level = Math.Abs(e.Family.AlongY) < sameWay, upright = Math.Abs(e.Family.AlongX) < sameWay;
        if (!level && !upright) return;
        int middle = reward.Length / 2;
        for (int c = 0; c < reward.Length; c++)
        {
            Core.Geometry.BlockPoint p = e.Family.At(alongMm, centreMm + (c - middle) * CellMm);
            if ((level && (p.Ymm < ditchMm || p.Ymm > e.Size.HeightMm - ditchMm)) || (upright && (p.Xmm < ditchMm || p.Xmm > e.Size.WidthMm - ditchMm))) reward[c] = -0.3f;
        }
    }

    private static int[] Viterbi(float[] reward, int steps, int cells, int middle)
    {
        const double slopePrice = 0.04, straying = 0.004;
        const int moves = 2 * SteepestCells + 1;
        var price = new float[moves];
        for (int d = 0; d < moves; d++)
        {
            double slope = (d - SteepestCells) * CellMm / StepMm;
            price[d] = (float)(slopePrice * slope * slope / 0.04);
        }
        var stray = new float[cells];
        for (int c = 0; c < cells; c++) stray[c] = (float)(straying * (c - middle) * CellMm * (c - middle) * CellMm);
        // Cells beyond the corridor are there, but can never be come from.
        var score = new float[cells + 2 * SteepestCells];
        var next = new float[score.Length];
        Array.Fill(score, -1e9f);
        Array.Fill(next, -1e9f);
        var from = new sbyte[steps * cells];
        for (int c = 0; c < cells; c++) score[c + SteepestCells] = reward[c];
        for (int i = 1; i < steps; i++)
        {
            for (int c = 0; c < cells; c++)
            {
                float top = score[c] - price[0];
                int choice = 0;
                for (int d = 1; d < moves; d++)
                {
                    float value = score[c + d] - price[d];
                    if (value > top) (top, choice) = (value, d);
                }
                next[c + SteepestCells] = top + reward[i * cells + c] - stray[c];
                from[i * cells + c] = (sbyte)(choice - SteepestCells);
            }
            (score, next) = (next, score);
        }
        var path = new int[steps];
        path[^1] = Array.IndexOf(score, score.Max()) - SteepestCells;
        for (int i = steps - 1; i > 0; i--) path[i - 1] = path[i] + from[i * cells + path[i]];
        return path;
    }
}
