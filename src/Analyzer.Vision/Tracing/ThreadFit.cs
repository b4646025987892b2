namespace Analyzer.Vision.Tracing;

/// <summary>
/// Fit of the thread's template at every step along one strip. At each place the profile is taken as height·[T(u - shift)] on a ground of level, slope, one-sided
/// shadow and dip; to first order the shift is the ratio of the coefficients of -T' and T.
/// </summary>
internal sealed class ThreadFit
{
    private readonly float[] _p;
    private readonly int _along, _across, _middle, _half;
    private readonly double[][] _columns;
    private readonly double[] _heightRow, _shiftRow;
    private readonly double _nominal;
    private readonly IReadOnlyList<OtherLine> _others;
    private readonly double _crossingHalfWidthMm;

    public ThreadFit(float[] projected, ThreadStrip strip, ThreadTemplate template, IReadOnlyList<OtherLine> others, double crossingHalfWidthMm)
    {
        _p = projected;
        _along = strip.Along;
        _across = strip.Across;
        _middle = strip.Middle;
        _half = (int)Math.Round(ThreadTemplate.WindowMm / ThreadStrip.AcrossStepMm);
        _others = others;
        _crossingHalfWidthMm = crossingHalfWidthMm;
        int n = 2 * _half + 1;
        _columns = new double[6][];
        for (int k = 0; k < 6; k++) _columns[k] = new double[n];
        for (int i = 0; i < n; i++)
        {
            double u = (i - _half) * ThreadStrip.AcrossStepMm;
            double[] ground = ThreadTemplate.Ground(u);
            _columns[0][i] = template.At(u);
            _columns[1][i] = -template.SlopeAt(u);
            for (int k = 0; k < 4; k++) _columns[2 + k][i] = ground[k];
        }
        var ones = new double[n];
        Array.Fill(ones, 1);
        double[,] inverse = SmallFit.InverseNormal(_columns, ones) ?? throw new InvalidOperationException("The template's columns are not independent.");
        _heightRow = Row(inverse, 0);
        _shiftRow = Row(inverse, 1);
        _nominal = inverse[1, 1];
    }

    private double[] Row(double[,] inverse, int row)
    {
        int n = _columns[0].Length;
        var result = new double[n];
        for (int i = 0; i < n; i++)
            for (int k = 0; k < _columns.Length; k++) result[i] += inverse[row, k] * _columns[k][i];
        return result;
    }

    /// <summary>Height and shift coefficient at every step, about the given centre line (mm beside the strip's middle), and the weight of each (0 = not seen).</summary>
    public void At(double[] centreMm, double[] height, double[] shift, double[] weight)
    {
        int n = 2 * _half + 1;
        var profile = new double[n];
        var mask = new double[n];
        for (int i = 0; i < _along; i++)
        {
            weight[i] = 0;
            double top = _middle + centreMm[i] / ThreadStrip.AcrossStepMm - _half;
            int first = (int)Math.Floor(top);
            if (first < 0 || first + n >= _across) continue;
            double f = top - first;
            int at = i * _across + first;
            for (int j = 0; j < n; j++) profile[j] = (1 - f) * _p[at + j] + f * _p[at + j + 1];
            if (!Masked(i, centreMm[i], mask))
            {
                double a = 0, b = 0;
                for (int j = 0; j < n; j++)
                {
                    a += _heightRow[j] * profile[j];
                    b += _shiftRow[j] * profile[j];
                }
                (height[i], shift[i], weight[i]) = (a, b, 1);
                continue;
            }
            Masked(profile, mask, i, height, shift, weight);
        }
    }

    /// <summary>Fit with the places of other lines left out.</summary>
    private void Masked(double[] profile, double[] mask, int i, double[] height, double[] shift, double[] weight)
    {
        int n = profile.Length, core = 0, seen = 0;
        for (int j = 0; j < n; j++)
        {
            if (Math.Abs(j - _half) > 4) continue;
            core++;
            if (mask[j] > 0) seen++;
        }
        if (seen < core * 0.55 || SmallFit.InverseNormal(_columns, mask) is not { } inverse) return;
        if (inverse[1, 1] > 6 * _nominal) return;
        double a = 0, b = 0;
        for (int k = 0; k < 6; k++)
        {
            double right = 0;
            for (int j = 0; j < n; j++) right += mask[j] * _columns[k][j] * profile[j];
            a += inverse[0, k] * right;
            b += inverse[1, k] * right;
        }
        (height[i], shift[i], weight[i]) = (a, b, _nominal / inverse[1, 1]);
    }

    private bool Masked(int i, double centreMm, double[] mask)
    {
        bool any = false;
        double s = i * ThreadStrip.AlongStepMm;
        foreach (OtherLine other in _others)
        {
            double reach = (_crossingHalfWidthMm + (ThreadTemplate.WindowMm + 0.2) * Math.Abs(other.AlongPart)) / Math.Max(0.05, Math.Abs(other.AcrossPart));
            if (Math.Abs(s - other.AtMm) > reach + 3) continue;
            for (int j = 0; j < mask.Length; j++)
            {
                double u = centreMm + (j - _half) * ThreadStrip.AcrossStepMm;
                if (other.Distance(s, u) >= _crossingHalfWidthMm) continue;
                if (!any)
                {
                    Array.Fill(mask, 1);
                    any = true;
                }
                mask[j] = 0;
            }
        }
        return any;
    }
}
