namespace Analyzer.Vision.Learnt;

/// <summary>What the net says about one intended line: log odds of thread in cells along and across a straight strip.</summary>
/// <param name="MiddleMm">Deviation of the strip's middle from the intended line, mm.</param>
/// <param name="Cells">Number of cells along the line.</param>
/// <param name="LogOdds">Row by row, <see cref="Rows"/> rows across.</param>
internal sealed record SightStrip(double MiddleMm, int Cells, float[] LogOdds)
{
    public const double CellMm = (double)ThreadNet.PixelsPerCell / ThreadNet.PixelsPerMm;

    public const int Rows = ThreadNet.Rows / ThreadNet.PixelsPerCell;

    /// <summary>Beyond this the net is sure, and surer is no better.</summary>
    public const float Sure = 6;

    /// <summary>Where along the line a cell's middle lies, mm.</summary>
    public static double AlongMm(int cell) => (cell + 0.5) * CellMm;

    /// <summary>Whether a place lies in the strip at all; elsewhere nobody looked.</summary>
    public bool Holds(double deviationMm) => Math.Abs(deviationMm - MiddleMm) < ThreadNet.HalfWidthMm;

    /// <summary>Log odds at a place, between cells by bilinear weights; what is beyond the strip's rim is surely no thread.</summary>
    public double At(double alongMm, double deviationMm)
    {
        double r = (deviationMm - MiddleMm + ThreadNet.HalfWidthMm) / CellMm - 0.5, c = Math.Clamp(alongMm / CellMm - 0.5, 0, Cells - 1);
        if (!(r > -1 && r < Rows)) return -Sure;
        int row = (int)Math.Floor(r), cell = Math.Min((int)c, Cells - 2);
        double fr = r - row, fc = c - cell;
        return (1 - fr) * ((1 - fc) * Cell(row, cell) + fc * Cell(row, cell + 1)) + fr * ((1 - fc) * Cell(row + 1, cell) + fc * Cell(row + 1, cell + 1));
    }

    private double Cell(int row, int cell) => row < 0 || row >= Rows || cell < 0 ? -Sure : Math.Clamp(LogOdds[row * Cells + cell], -Sure, Sure);

    /// <summary>The course along which the net sees most of thread, no farther from the middle than given.</summary>
    public SightPath Path(double reachMm)
    {
        const float oneOver = 0.7f, twoOver = 3;
        int reach = Math.Clamp((int)Math.Round(reachMm / CellMm), 1, Rows / 2), first = Rows / 2 - reach, rows = 2 * reach;
        float[] score = new float[rows], next = new float[rows];
        var from = new sbyte[Cells * rows];
        for (int r = 0; r < rows; r++) score[r] = (float)Cell(first + r, 0);
        for (int c = 1; c < Cells; c++)
        {
            for (int r = 0; r < rows; r++)
            {
                (float best, int choice) = (score[r], 0);
                for (int d = -2; d <= 2; d++)
                {
                    if (d == 0 || r + d < 0 || r + d >= rows) continue;
                    float value = score[r + d] - (Math.Abs(d) == 1 ? oneOver : twoOver);
                    if (value > best) (best, choice) = (value, d);
                }
                next[r] = best + (float)Cell(first + r, c);
                from[c * rows + r] = (sbyte)choice;
            }
            (score, next) = (next, score);
        }
        var deviation = new double[Cells];
        var odds = new double[Cells];
        int at = Array.IndexOf(score, score.Max());
        for (int c = Cells - 1; c >= 0; c--)
        {
            deviation[c] = MiddleMm - ThreadNet.HalfWidthMm + (first + at + 0.5) * CellMm;
            odds[c] = Cell(first + at, c);
            at += from[c * rows + at];
        }
        return new SightPath(this, deviation, odds);
    }
}

/// <summary>Where the net sees the thread run along one strip.</summary>
/// <param name="DeviationMm">At the middle of every cell, mm from the intended line.</param>
/// <param name="LogOdds">At the same places.</param>
internal sealed record SightPath(SightStrip Strip, double[] DeviationMm, double[] LogOdds)
{
    /// <summary>Cells over which a course and its log odds are averaged, to either side.</summary>
    private const int CourseCells = 2, OddsCells = 6;

    private readonly double[] _course = Averaged([.. DeviationMm.Select((d, c) => Between(Strip, c, d))], CourseCells), _odds = Averaged(LogOdds, OddsCells);

    public double MeanLogOdds => LogOdds.Average();

    /// <summary>Share of the line on which thread is likelier than not.</summary>
    public double SeenShare => LogOdds.Count(o => o > 0) / (double)LogOdds.Length;

    /// <summary>The thread's place between the cells, mm from the intended line.</summary>
    public double CourseAt(double alongMm) => At(_course, alongMm);

    /// <summary>Log odds of thread over the two millimetres to either side.</summary>
    public double OddsAt(double alongMm) => At(_odds, alongMm);

    /// <summary>Whether the thread is seen farther than this from where something was followed, and so much likelier than there, while it is likelier than not.</summary>
    public bool IsBeside(double alongMm, double deviationMm, double fartherMm, double likelier)
    {
        double odds = OddsAt(alongMm);
        return odds > 0 && Math.Abs(CourseAt(alongMm) - deviationMm) > fartherMm && Strip.At(alongMm, deviationMm) < odds - likelier;
    }

    private static double At(double[] cells, double alongMm)
    {
        double c = Math.Clamp(alongMm / SightStrip.CellMm - 0.5, 0, cells.Length - 1);
        int k = Math.Min((int)c, cells.Length - 2);
        return k < 0 ? cells[0] : cells[k] + (c - k) * (cells[k + 1] - cells[k]);
    }

    /// <summary>The net was taught a bell about the thread's middle: what it says of three cells across is a parabola in the logarithm, whose top is the middle.</summary>
    private static double Between(SightStrip strip, int cell, double deviationMm)
    {
        const double leastBend = 0.2;
        double along = SightStrip.AlongMm(cell), below = LogShare(deviationMm - SightStrip.CellMm), here = LogShare(deviationMm), above = LogShare(deviationMm + SightStrip.CellMm);
        double bend = 2 * here - below - above;
        return bend < leastBend ? deviationMm : deviationMm + Math.Clamp(0.5 * (above - below) / bend, -1, 1) * SightStrip.CellMm;

        double LogShare(double at) => -Math.Log(1 + Math.Exp(-strip.At(along, at)));
    }

    private static double[] Averaged(double[] values, int reach)
    {
        var result = new double[values.Length];
        for (int i = 0; i < result.Length; i++)
        {
            // The ends count for what lies beyond them.
            double sum = 0;
            for (int k = i - reach; k <= i + reach; k++) sum += values[Math.Clamp(k, 0, values.Length - 1)];
            result[i] = sum / (2 * reach + 1);
        }
        return result;
    }
}
