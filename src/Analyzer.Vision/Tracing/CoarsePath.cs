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

    /// <param name="strength">Evidence of one place, in units of a usual thread.</param>
    public static CoarsePath Follow(FamilyEvidence evidence, GridLine line, HoughLine hough, double spacingMm, Func<Colour3, double> strength)
    {
        LineFamily family = evidence.Family;
        double start = family.Along(line.From), across = family.AcrossOfLine(line.Index);
        int steps = Math.Max(2, (int)Math.Floor(line.LengthMm / StepMm) + 1);
        double half = Math.Min(HalfWidthMm, 0.42 * spacingMm);
        int cells = (2 * (int)Math.Round(half / CellMm)) + 1, middle = cells / 2;
        var reward = new float[steps * cells];
        for (int i = 0; i < steps; i++)
        {
            double s = start + i * StepMm, centre = hough.AcrossAt(s);
            for (int c = 0; c < cells; c++)
            {
                double u = centre + (c - middle) * CellMm;
                reward[i * cells + c] = InDitch(evidence, s, u) ? -0.3f : (float)Math.Clamp(strength(evidence.AtMm(s, u)), -0.3, 1.2);
            }
        }
        int[] best = Viterbi(reward, steps, cells, middle);
        var deviation = new double[steps];
        var along = new double[steps];
        for (int i = 0; i < steps; i++)
        {
            deviation[i] = hough.AcrossAt(start + i * StepMm) + (best[i] - middle) * CellMm - across;
            along[i] = reward[i * cells + best[i]];
        }
        return new CoarsePath(line, StepMm, deviation, along);
    }

    /// <summary>Whether a place lies in the stitched ditch along an edge that runs nearly the same way: a line close to the edge must not be drawn into it.</summary>
    private static bool InDitch(FamilyEvidence e, double alongMm, double acrossMm)
    {
        const double ditchMm = 0.9, sameWay = 0.35;
        Core.Geometry.BlockPoint p = e.Family.At(alongMm, acrossMm);
        bool level = Math.Abs(e.Family.AlongY) < sameWay && (p.Ymm < ditchMm || p.Ymm > e.Size.HeightMm - ditchMm);
        return level || (Math.Abs(e.Family.AlongX) < sameWay && (p.Xmm < ditchMm || p.Xmm > e.Size.WidthMm - ditchMm));
    }

    private static int[] Viterbi(float[] reward, int steps, int cells, int middle)
    {
        const double slopePrice = 0.04, straying = 0.004;
        var price = new double[2 * SteepestCells + 1];
        for (int d = -SteepestCells; d <= SteepestCells; d++)
        {
            double slope = d * CellMm / StepMm;
            price[d + SteepestCells] = slopePrice * slope * slope / 0.04;
        }
        var score = new double[cells];
        var next = new double[cells];
        var from = new sbyte[steps * cells];
        for (int c = 0; c < cells; c++) score[c] = reward[c];
        for (int i = 1; i < steps; i++)
        {
            for (int c = 0; c < cells; c++)
            {
                double top = double.NegativeInfinity;
                int choice = 0;
                for (int d = -SteepestCells; d <= SteepestCells; d++)
                {
                    int p = c + d;
                    if (p < 0 || p >= cells) continue;
                    double value = score[p] - price[d + SteepestCells];
                    if (value > top) (top, choice) = (value, d);
                }
                double stray = (c - middle) * CellMm;
                next[c] = top + reward[i * cells + c] - straying * stray * stray;
                from[i * cells + c] = (sbyte)choice;
            }
            (score, next) = (next, score);
        }
        var path = new int[steps];
        path[^1] = Array.IndexOf(score, score.Max());
        for (int i = steps - 1; i > 0; i--) path[i - 1] = path[i] + from[i * cells + path[i]];
        return path;
    }
}
