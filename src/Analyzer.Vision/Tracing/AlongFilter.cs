using System.Buffers;
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
        Weigh(weight, support);
        Average(value, weight, support, mean);
    }

    /// <summary>The summed weight at every step relative to a fully seen neighbourhood: the same for all series of these weights.</summary>
    public void Weigh(double[] weight, double[] support)
    {
        int n = weight.Length, radius = _kernel.Length - 1;
        // A margin of nothing on either side, so that every step has all its neighbours.
        double[] padded = ArrayPool<double>.Shared.Rent(n + 2 * radius);
        Margins(padded, n, radius);
        weight.CopyTo(padded, radius);
        Convolve(padded, support);
        ArrayPool<double>.Shared.Return(padded);
        for (int i = 0; i < n; i++) support[i] /= _full;
    }

    /// <summary>Weighted mean at every step; the support is that of the weights (<see cref="Weigh"/>).</summary>
    public void Average(double[] value, double[] weight, double[] support, double[] mean)
    {
        int n = value.Length, radius = _kernel.Length - 1;
        double[] padded = ArrayPool<double>.Shared.Rent(n + 2 * radius);
        Margins(padded, n, radius);
        for (int i = 0; i < n; i++) padded[i + radius] = weight[i] * value[i];
        Convolve(padded, mean);
        ArrayPool<double>.Shared.Return(padded);
        for (int i = 0; i < n; i++) mean[i] = support[i] * _full > 1e-9 ? mean[i] / (support[i] * _full) : 0;
    }

    private static void Margins(double[] padded, int n, int radius)
    {
        Array.Clear(padded, 0, radius);
        Array.Clear(padded, n + radius, radius);
    }

    /// <summary>Kernel times series; the series has a margin of the kernel's radius at both ends. Some steps at a time, so that their sums stay in registers.</summary>
    private void Convolve(ReadOnlySpan<double> padded, Span<double> result)
    {
        int wide = Vector<double>.Count, n = result.Length, radius = _kernel.Length - 1, i = 0;
        for (; i + 4 * wide <= n; i += 4 * wide)
        {
            Vector<double> a = Vector<double>.Zero, b = a, c = a, d = a;
            for (int k = 0; k <= 2 * radius; k++)
            {
                var weight = new Vector<double>(_kernel[Math.Abs(k - radius)]);
                ReadOnlySpan<double> x = padded.Slice(i + k, 4 * wide);
                a += weight * new Vector<double>(x);
                b += weight * new Vector<double>(x[wide..]);
                c += weight * new Vector<double>(x[(2 * wide)..]);
                d += weight * new Vector<double>(x[(3 * wide)..]);
            }
            a.CopyTo(result[i..]);
            b.CopyTo(result[(i + wide)..]);
            c.CopyTo(result[(i + 2 * wide)..]);
            d.CopyTo(result[(i + 3 * wide)..]);
        }
        for (; i < n; i++)
        {
            double sum = 0;
            for (int k = 0; k <= 2 * radius; k++) sum += _kernel[Math.Abs(k - radius)] * padded[i + k];
            result[i] = sum;
        }
    }
}
