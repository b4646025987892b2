using System.Runtime.CompilerServices;

namespace Analyzer.Vision.Corners;

/// <summary>The photo's colours sorted into a few kinds, so that one stretch of cloth can be compared with another by how much of each kind it shows.</summary>
/// <remarks>Kinds by k-means from seeds that lie far apart (Gonzalez, Clustering to minimize the maximum intercluster distance, 1985). Light and shade change brightness more than hue, so brightness counts for less; like kinds count as partly the same.</remarks>
internal sealed class ClothMap
{
    /// <summary>Kinds of colour.</summary>
    public const int Kinds = 16;

    private const int Every = 2, Samples = 3000, Rounds = 6;

    private const float BrightnessWeight = 0.6f, AlikeWithin = 14;

    private readonly int _width, _height;
    private readonly byte[] _kind;
    private readonly float[] _alike = new float[Kinds * Kinds];

    private ClothMap(int width, int height)
    {
        _width = width;
        _height = height;
        _kind = new byte[width * height];
    }

    /// <param name="pixels">Opponent colours, three to a pixel.</param>
    /// <param name="stride">Floats from one row to the next.</param>
    public static unsafe ClothMap Of(float* pixels, int stride, int width, int height)
    {
        var map = new ClothMap((width + Every - 1) / Every, (height + Every - 1) / Every);
        int step = Math.Max(1, (int)Math.Sqrt((double)width * height / Samples)), n = 0;
        var colours = new float[3 * ((width / step) + 1) * ((height / step) + 1)];
        for (int y = step / 2; y < height; y += step)
            for (int x = step / 2; x < width; x += step, n++) Take(pixels + (long)y * stride + 3 * x, colours.AsSpan(3 * n, 3));
        float[] centres = Centres(colours, n);
        Parallel.For(0, map._height, row => map.Sort(pixels + (long)row * Every * stride, centres, row));
        for (int i = 0; i < Kinds; i++)
        {
            float sum = 0;
            for (int j = 0; j < Kinds; j++) sum += map._alike[i * Kinds + j] = MathF.Exp(-Distance(centres.AsSpan(3 * i, 3), centres.AsSpan(3 * j, 3)) / (2 * AlikeWithin * AlikeWithin));
            for (int j = 0; j < Kinds; j++) map._alike[i * Kinds + j] /= sum;
        }
        return map;
    }

    /// <summary>The kind of colour at a place in pixels of the evidence map; -1 outside.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public int KindAt(double x, double y)
    {
        int ix = (int)((x + 0.5) / Every), iy = (int)((y + 0.5) / Every);
        return x >= -0.5 && y >= -0.5 && (uint)ix < (uint)_width && (uint)iy < (uint)_height ? _kind[iy * _width + ix] : -1;
    }

    /// <summary>Counts of kinds as shares, like kinds counted as partly the same.</summary>
    public float[] Shares(ReadOnlySpan<int> counts)
    {
        var shares = new float[Kinds];
        int all = 0;
        foreach (int c in counts) all += c;
        if (all == 0) return shares;
        for (int i = 0; i < Kinds; i++)
            if (counts[i] > 0)
                for (int j = 0; j < Kinds; j++) shares[j] += _alike[i * Kinds + j] * counts[i] / all;
        return shares;
    }

    /// <summary>How much two cloths have in common, 0 to 1.</summary>
    public static double Common(float[] a, float[] b)
    {
        double sum = 0;
        for (int k = 0; k < Kinds; k++) sum += Math.Min(a[k], b[k]);
        return sum;
    }

    private static unsafe void Take(float* pixel, Span<float> into) => (into[0], into[1], into[2]) = (BrightnessWeight * pixel[0], pixel[1], pixel[2]);

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private unsafe void Sort(float* row, float[] centres, int y)
    {
        Span<float> colour = stackalloc float[3];
        for (int x = 0; x < _width; x++)
        {
            Take(row + 3 * x * Every, colour);
            _kind[y * _width + x] = (byte)Nearest(colour, centres);
        }
    }

    private static float[] Centres(float[] colours, int n)
    {
        var centres = new float[3 * Kinds];
        var far = new float[n];
        Array.Fill(far, float.MaxValue);
        int next = n / 2;
        for (int k = 0; k < Kinds; k++)
        {
            colours.AsSpan(3 * next, 3).CopyTo(centres.AsSpan(3 * k, 3));
            for (int i = 0; i < n; i++) far[i] = Math.Min(far[i], Distance(colours.AsSpan(3 * i, 3), centres.AsSpan(3 * k, 3)));
            next = Array.IndexOf(far, far.Max());
        }
        for (int round = 0; round < Rounds; round++)
        {
            var sums = new float[3 * Kinds];
            var counts = new int[Kinds];
            for (int i = 0; i < n; i++)
            {
                int k = Nearest(colours.AsSpan(3 * i, 3), centres);
                counts[k]++;
                for (int c = 0; c < 3; c++) sums[3 * k + c] += colours[3 * i + c];
            }
            for (int k = 0; k < centres.Length; k++)
                if (counts[k / 3] > 0) centres[k] = sums[k] / counts[k / 3];
        }
        return centres;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static int Nearest(ReadOnlySpan<float> colour, ReadOnlySpan<float> centres)
    {
        int best = 0;
        float least = float.MaxValue;
        for (int k = 0; k < Kinds; k++)
        {
            float d = Distance(colour, centres.Slice(3 * k, 3));
            if (d < least) (least, best) = (d, k);
        }
        return best;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static float Distance(ReadOnlySpan<float> a, ReadOnlySpan<float> b)
    {
        float x = a[0] - b[0], y = a[1] - b[1], z = a[2] - b[2];
        return x * x + y * y + z * z;
    }
}
