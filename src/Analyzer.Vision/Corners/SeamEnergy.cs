using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Analyzer.Vision.Corners;

/// <summary>Local energy across a side: one peak at a step and at a line alike, because first and second derivative are added in squares.</summary>
internal static class SeamEnergy
{
    /// <summary>Scale of the derivatives, mm: about the width of a ditch.</summary>
    public const double ScaleMm = 0.35;

    /// <summary>Evidence above this many noise units counts no more: a print's hard edge must not outvote a long quiet seam.</summary>
    private const float Cap = 6;

    /// <summary>Energy, noise units, at every so many positions (0 at the others) and every place across; growing ever more slowly, so that the crest of a strong seam stays a crest.</summary>
    public static float[] Compressed(SideStrip strip, int every)
    {
        float[] energy = Raw(strip, every);
        for (int i = 0; i < energy.Length; i++)
            if (energy[i] > 0) energy[i] = Cap / 2 * MathF.Asinh(energy[i] * 2 / Cap);
        return energy;
    }

    private static float[] Raw(SideStrip strip, int every)
    {
        (float[] first, float[] second) = Kernels(strip.AcrossStepMm);
        int n = strip.Count, m = strip.Across, half = first.Length / 2;
        var energy = new float[n * m];
        foreach (float[] values in strip.Values)
        {
            float[] d1 = Filter(values, n, m, every, first), d2 = Filter(values, n, m, every, second);
            float s1 = 1 / Noise(d1, n, m, every, half), s2 = 1 / Noise(d2, n, m, every, half);
            for (int i = 0; i < n; i += every)
                for (int k = i * m; k < (i + 1) * m; k++)
                {
                    float a = d1[k] * s1, b = d2[k] * s2;
                    energy[k] += a * a + b * b;
                }
        }
        for (int i = 0; i < n; i += every)
            for (int k = i * m; k < (i + 1) * m; k++) energy[k] = MathF.Sqrt(energy[k] / 2);
        return energy;
    }

    private static (float[] First, float[] Second) Kernels(double stepMm)
    {
        double sigma = Math.Max(ScaleMm / stepMm, 0.9);
        int half = (int)Math.Ceiling(3 * sigma);
        var first = new float[2 * half + 1];
        var second = new float[2 * half + 1];
        double mean = 0, norm1 = 0, norm2 = 0;
        for (int i = -half; i <= half; i++)
        {
            double u = i / sigma, g = Math.Exp(-u * u / 2);
            first[i + half] = (float)(-u * g);
            second[i + half] = (float)((1 - u * u) * g);
            mean += second[i + half];
        }
        for (int i = 0; i < second.Length; i++)
        {
            second[i] -= (float)(mean / second.Length);
            norm1 += first[i] * first[i];
            norm2 += second[i] * second[i];
        }
        for (int i = 0; i < second.Length; i++)
        {
            first[i] /= (float)Math.Sqrt(norm1);
            second[i] /= (float)Math.Sqrt(norm2);
        }
        return (first, second);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static float[] Filter(float[] values, int n, int m, int every, float[] kernel)
    {
        var result = new float[n * m];
        int half = kernel.Length / 2;
        // A band of a few pixels, of a block as small in the picture, shows no seam.
        if (m <= 2 * half) return result;
        for (int i = 0; i < n; i += every)
        {
            Span<float> into = result.AsSpan(i * m + half, m - 2 * half);
            for (int k = 0; k < kernel.Length; k++) AddTimes(into, values.AsSpan(i * m + k, into.Length), kernel[k]);
        }
        return result;
    }

    /// <summary>Adds values times a factor.</summary>
    public static void AddTimes(Span<float> into, ReadOnlySpan<float> values, float factor)
    {
        Span<Vector<float>> many = MemoryMarshal.Cast<float, Vector<float>>(into);
        ReadOnlySpan<Vector<float>> all = MemoryMarshal.Cast<float, Vector<float>>(values);
        for (int k = 0; k < many.Length; k++) many[k] += all[k] * factor;
        for (int k = many.Length * Vector<float>.Count; k < into.Length; k++) into[k] += values[k] * factor;
    }

    private static float Noise(float[] response, int n, int m, int every, int half)
    {
        int perRow = (m - 2 * half + 1) / 2, count = 0;
        if (perRow <= 0) return 1;
        var sizes = new float[(n + every - 1) / every * perRow];
        for (int i = 0; i < n; i += every)
            for (int a = half; a < m - half; a += 2) sizes[count++] = MathF.Abs(response[i * m + a]);
        return count == 0 ? 1 : Math.Max(0.4f, 1.4826f * Ranks.At(sizes.AsSpan(0, count), count / 2));
    }
}
