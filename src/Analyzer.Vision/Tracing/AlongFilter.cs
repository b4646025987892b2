namespace Analyzer.Vision.Tracing;

/// <summary>Gaussian averaging along a line, with weights: a step of weight 0 counts nothing and is bridged by its neighbours.</summary>
internal sealed class AlongFilter
{
    private readonly double[] _kernel;

    public AlongFilter(double scaleMm)
    {
        double scale = scaleMm / ThreadStrip.AlongStepMm;
        int radius = (int)Math.Ceiling(2.6 * scale);
        _kernel = [.. Enumerable.Range(0, radius + 1).Select(i => Math.Exp(-0.5 * i * i / (scale * scale)))];
    }

    /// <summary>Weighted mean at every step, and the summed weight relative to a fully seen neighbourhood (0 to 1).</summary>
    public void Apply(double[] value, double[] weight, double[] mean, double[] support)
    {
        int n = value.Length, radius = _kernel.Length - 1;
        double full = _kernel[0] + 2 * _kernel.Skip(1).Sum();
        for (int i = 0; i < n; i++)
        {
            double sum = _kernel[0] * weight[i] * value[i], total = _kernel[0] * weight[i];
            for (int d = 1; d <= radius; d++)
            {
                double k = _kernel[d];
                if (i - d >= 0)
                {
                    double w = k * weight[i - d];
                    sum += w * value[i - d];
                    total += w;
                }
                if (i + d < n)
                {
                    double w = k * weight[i + d];
                    sum += w * value[i + d];
                    total += w;
                }
            }
            mean[i] = total > 1e-9 ? sum / total : 0;
            support[i] = total / full;
        }
    }
}
