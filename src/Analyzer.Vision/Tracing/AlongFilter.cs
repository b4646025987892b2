using System.Numerics;

namespace Analyzer.Vision.Tracing;

/// <summary>Gaussian averaging along a line, with weights: a step of weight 0 counts nothing and is bridged by its neighbours.</summary>
internal sealed class AlongFilter
{
    private readonly double[] _kernel;
    private readonly double _full;

    public AlongFilter(double scaleMm)
    {
        double scale = scaleMm / ThreadStrip.AlongStepMm;
        int radius = (int)Math.Ceiling(2.6 * scale);
        _kernel = [.. Enumerable.Range(0, radius + 1).Select(i => Math.Exp(-0.5 * i * i / (scale * scale)))];
        _full = _kernel[0] + 2 * _kernel.Skip(1).Sum();
    }

    /// <summary>Weighted mean at every step, and the summed weight relative to a fully seen neighbourhood (0 to 1).</summary>
    public void Apply(double[] value, double[] weight, double[] mean, double[] support)
    {
        int n = value.Length, radius = _kernel.Length - 1;
        // Both with a margin of nothing on either side, so that every step has all its neighbours.
        var weighted = new double[n + 2 * radius];
        var weights = new double[n + 2 * radius];
        for (int i = 0; i < n; i++)
        {
            weights[i + radius] = weight[i];
            weighted[i + radius] = weight[i] * value[i];
        }
        Array.Clear(mean, 0, n);
        Array.Clear(support, 0, n);
        for (int d = -radius; d <= radius; d++)
        {
            AddScaled(weighted.AsSpan(radius + d, n), _kernel[Math.Abs(d)], mean);
            AddScaled(weights.AsSpan(radius + d, n), _kernel[Math.Abs(d)], support);
        }
        for (int i = 0; i < n; i++)
        {
            mean[i] = support[i] > 1e-9 ? mean[i] / support[i] : 0;
            support[i] /= _full;
        }
    }

    private static void AddScaled(ReadOnlySpan<double> x, double factor, Span<double> sum)
    {
        int wide = Vector<double>.Count, i = 0;
        var k = new Vector<double>(factor);
        for (; i + wide <= x.Length; i += wide)
            (new Vector<double>(sum[i..]) + k * new Vector<double>(x[i..])).CopyTo(sum[i..]);
        for (; i < x.Length; i++) sum[i] += factor * x[i];
    }
}
