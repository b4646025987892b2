namespace Analyzer.Vision.Tracing;

/// <summary>
/// Fit of the thread's template at every step along one strip. At each place the profile is taken as height·[T(u - shift)] on a ground of level, slope, one-sided
/// shadow and dip; to first order the shift is the ratio of the coefficients of -T' and T.
/// </summary>
internal sealed class ThreadFit(float[] projected, ThreadStrip strip, TemplateRows rows, IReadOnlyList<OtherLine> others, double crossingHalfWidthMm)
{
    private readonly int _along = strip.Along, _across = strip.Across, _middle = strip.Middle;

    /// <summary>The others in order along the line, and how far the farthest-reaching of them reaches.</summary>
    private readonly OtherLine[] _others = [.. others.OrderBy(o => o.AtMm)];

    private readonly double _farthestMm = others.Select(o => Reach(o, crossingHalfWidthMm)).DefaultIfEmpty(0).Max();

    /// <summary>Stretches of the strip that other lines reach into: everywhere else nothing is left out.</summary>
    private readonly bool[] _crossed = Crossed(strip.Along, others, crossingHalfWidthMm);

    /// <summary>Height and shift coefficient at every step, about the given centre line (mm beside the strip's middle), and the weight of each (0 = not seen).</summary>
    public void At(double[] centreMm, double besideMm, double[] height, double[] shift, double[] weight)
    {
        const int half = TemplateRows.Half, n = TemplateRows.Length;
        for (int i = 0; i < _along; i++)
        {
            weight[i] = 0;
            double centre = centreMm[i] + besideMm, top = _middle + centre / ThreadStrip.AcrossStepMm - half;
            int first = (int)Math.Floor(top);
            if (first < 0 || first + n >= _across) continue;
            FitRows? use = _crossed[i] ? rows.Without(Hidden(i, centre)) : rows.Whole;
            if (use is null) continue;
            (height[i], shift[i]) = use.Apply(projected.AsSpan(i * _across + first, TemplateRows.Padded + 1), (float)(top - first));
            weight[i] = use.Weight;
        }
    }

    /// <summary>Mean square of what the fit leaves of the profile at every step about the centre line; not a number where other lines cross or at the strip's rim.</summary>
    public double[] Left(double[] centreMm)
    {
        const int half = TemplateRows.Half, n = TemplateRows.Length;
        Span<float> profile = stackalloc float[TemplateRows.Padded];
        profile.Clear();
        var left = new double[_along];
        for (int i = 0; i < _along; i++)
        {
            left[i] = double.NaN;
            double top = _middle + centreMm[i] / ThreadStrip.AcrossStepMm - half;
            int first = (int)Math.Floor(top);
            if (_crossed[i] || first < 0 || first + n >= _across) continue;
            float f = (float)(top - first), g = 1 - f;
            ReadOnlySpan<float> p = projected.AsSpan(i * _across + first, n + 1);
            float level = p[n / 2];
            for (int j = 0; j < n; j++) profile[j] = g * p[j] + f * p[j + 1] - level;
            left[i] = rows.Left(profile);
        }
        return left;
    }

    /// <summary>Which places of the profile other lines hide, a bit each.</summary>
    private ulong Hidden(int i, double centreMm)
    {
        ulong hidden = 0;
        double s = i * ThreadStrip.AlongStepMm;
        for (int k = FirstFrom(s - _farthestMm); k < _others.Length && _others[k].AtMm <= s + _farthestMm; k++)
        {
            OtherLine other = _others[k];
            // Hidden is what lies nearer than the half width: |a - b u| < h, a stretch of u or all of it.
            double a = (s - other.AtMm) * other.AcrossPart, b = other.AlongPart;
            double from, to;
            if (Math.Abs(b) < 1e-9)
            {
                if (Math.Abs(a) >= crossingHalfWidthMm) continue;
                (from, to) = (double.NegativeInfinity, double.PositiveInfinity);
            }
            else
            {
                double middle = a / b, reach = crossingHalfWidthMm / Math.Abs(b);
                (from, to) = (middle - reach, middle + reach);
            }
            int first = (int)Math.Max(0, Math.Floor((from - centreMm) / ThreadStrip.AcrossStepMm + TemplateRows.Half) + 1);
            int last = (int)Math.Min(TemplateRows.Length - 1, Math.Ceiling((to - centreMm) / ThreadStrip.AcrossStepMm + TemplateRows.Half) - 1);
            for (int j = first; j <= last; j++) hidden |= 1UL << j;
        }
        return hidden;
    }

    /// <summary>Number of the first other line that lies at a place or after it.</summary>
    private int FirstFrom(double alongMm)
    {
        int low = 0, high = _others.Length;
        while (low < high)
        {
            int middle = (low + high) / 2;
            if (_others[middle].AtMm < alongMm) low = middle + 1;
            else high = middle;
        }
        return low;
    }

    private static bool[] Crossed(int along, IReadOnlyList<OtherLine> others, double halfWidthMm)
    {
        var crossed = new bool[along];
        foreach (OtherLine other in others)
        {
            double reach = Reach(other, halfWidthMm);
            int from = Math.Max(0, (int)Math.Floor((other.AtMm - reach) / ThreadStrip.AlongStepMm)), to = Math.Min(along - 1, (int)Math.Ceiling((other.AtMm + reach) / ThreadStrip.AlongStepMm));
            for (int i = from; i <= to; i++) crossed[i] = true;
        }
        return crossed;
    }

    /// <summary>How far along this line another one hides anything of a profile that lies up to 3 mm beside the strip's middle.</summary>
    private static double Reach(OtherLine other, double halfWidthMm) =>
        (halfWidthMm + (ThreadTemplate.WindowMm + 3) * Math.Abs(other.AlongPart)) / Math.Max(0.05, Math.Abs(other.AcrossPart));
}
