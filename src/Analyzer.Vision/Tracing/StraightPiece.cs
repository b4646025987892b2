using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>The straight piece near an expected place along which the evidence is strongest: a small Hough transform of its own.</summary>
internal static class StraightPiece
{
    private const double StepMm = 0.5, SteepestSlope = 0.06, SlopeStep = 0.02;

    /// <param name="start">u·p of the line's beginning.</param>
    /// <param name="centre">n·p where the line is expected.</param>
    /// <param name="reach">How far from there it is sought, mm.</param>
    /// <returns>Mean evidence (each place between -0.3 and 1), n·p at the line's middle, and slope.</returns>
    public static (double Mean, double Across, double Slope) Best(
        FamilyEvidence e, in StrengthMeasure measure, double less, double start, double lengthMm, double centre, double reach, double insetMm)
    {
        double mid = start + lengthMm / 2, widest = reach + SteepestSlope * lengthMm / 2;
        int first = (int)Math.Floor((centre - widest - e.AcrossStartMm) * e.PixelsPerMm), rows = 2 * (int)Math.Ceiling(widest * e.PixelsPerMm) + 2;
        int steps = (int)Math.Floor(lengthMm / StepMm) + 1, reachRows = (int)Math.Round(reach * e.PixelsPerMm), centreRow = (int)Math.Round((centre - e.AcrossStartMm) * e.PixelsPerMm) - first;
        // Every column's strengths once; a place outside the block is marked by NaN.
        var strength = new float[steps * rows];
        for (int i = 0; i < steps; i++)
        {
            double s = start + i * StepMm;
            Span<float> column = strength.AsSpan(i * rows, rows);
            e.Column(s, first, column, measure);
            for (int k = 0; k < rows; k++)
                column[k] = e.Inside(s, e.AcrossStartMm + (first + k) / e.PixelsPerMm, insetMm) ? Math.Clamp(column[k] - (float)less, -0.3f, 1f) : float.NaN;
        }
        (double Mean, double Across, double Slope) best = (double.NegativeInfinity, centre, 0);
        for (double slope = -SteepestSlope; slope <= SteepestSlope + 1e-9; slope += SlopeStep)
            for (int r = -reachRows; r <= reachRows; r++)
            {
                double sum = 0;
                int count = 0;
                for (int i = 0; i < steps; i++)
                {
                    int row = centreRow + r + (int)Math.Round(slope * (start + i * StepMm - mid) * e.PixelsPerMm);
                    if (row < 0 || row >= rows) continue;
                    float v = strength[i * rows + row];
                    if (float.IsNaN(v)) continue;
                    sum += v;
                    count++;
                }
                if (count >= 5 && sum / count > best.Mean) best = (sum / count, e.AcrossStartMm + (first + centreRow + r) / e.PixelsPerMm, slope);
            }
        return best;
    }
}
