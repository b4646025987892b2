using System.Runtime.CompilerServices;

namespace Analyzer.Vision.Corners;

/// <summary>Local energy across a side: one peak at a step and at a line alike, because first and second derivative are added in squares.</summary>
internal static class SeamEnergy
{
    /// <summary>Scale of the derivatives, mm: about the width of a ditch.</summary>
    public const double ScaleMm = 0.35;

    /// <summary>Evidence above this many noise units counts no more: a print's hard edge must not outvote a long quiet seam.</summary>
    private const float Cap = 6;

    /// <summary>Energy, noise units, at every position and place across.</summary>
    public static float[] Of(SideStrip strip)
    {
        float[] energy = Raw(strip);
        for (int i = 0; i < energy.Length; i++) energy[i] = MathF.Min(Cap, energy[i]);
        return energy;
    }

    /// <summary>The same without a cap, but growing ever more slowly: the crest of a strong seam stays a crest.</summary>
    public static float[] Compressed(SideStrip strip)
    {
        float[] energy = Raw(strip);
        for (int i = 0; i < energy.Length; i++) energy[i] = Cap / 2 * MathF.Asinh(energy[i] * 2 / Cap);
        return energy;
    }

    private static float[] Raw(SideStrip strip)
    {
        (float[] first, float[] second) = Kernels(strip.AcrossStepMm);
        int n = strip.Count, m = strip.Across, half = first.Length / 2;
        var energy = new float[n * m];
        foreach (float[] values in strip.Values)
        {
            float[] d1 = Filter(values, n, m, first), d2 = Filter(values, n, m, second);
            float s1 = Noise(d1, n, m, half), s2 = Noise(d2, n, m, half);
            for (int i = 0; i < energy.Length; i++)
            {
                float a = d1[i] / s1, b = d2[i] / s2;
                energy[i] += a * a + b * b;
            }
        }
        for (int i = 0; i < energy.Length; i++) energy[i] = MathF.Sqrt(energy[i] / 2);
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
    private static float[] Filter(float[] values, int n, int m, float[] kernel)
    {
        var result = new float[n * m];
        int half = kernel.Length / 2;
        for (int i = 0; i < n; i++)
            for (int a = half; a < m - half; a++)
            {
                float sum = 0;
                int at = i * m + a - half;
                for (int k = 0; k < kernel.Length; k++) sum += kernel[k] * values[at + k];
                result[i * m + a] = sum;
            }
        return result;
    }

    private static float Noise(float[] response, int n, int m, int half)
    {
        var sizes = new List<float>();
        for (int i = 0; i < n; i += 3)
            for (int a = half; a < m - half; a += 2) sizes.Add(MathF.Abs(response[i * m + a]));
        if (sizes.Count == 0) return 1;
        sizes.Sort();
        return Math.Max(0.4f, 1.4826f * sizes[sizes.Count / 2]);
    }
}
