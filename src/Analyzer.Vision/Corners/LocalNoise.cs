using System.Runtime.CompilerServices;

namespace Analyzer.Vision.Corners;

/// <summary>Noise of step and ridge responses, told for every part of the picture: a print beside a calm cloth must not drown the cloth's thread.</summary>
/// <remarks>1.4826 times the median absolute difference of neighbours, over tiles, and between the tiles' middles linearly.</remarks>
internal sealed class LocalNoise
{
    private const int TilePx = 60, EveryRow = 4, EveryColumn = 3;

    /// <summary>Smallest believable noise of a response, grey levels: pictures without noise are not infinitely sharp evidence.</summary>
    private const float SmallestNoise = 0.25f;

    /// <summary>A part may be calmer or louder than the picture as a whole by no more than these factors.</summary>
    private const float Calmest = 0.4f, Loudest = 2.5f;

    private readonly int _columns, _rows;
    private readonly double _stepX, _stepY;
    private readonly float[] _noise;

    public unsafe LocalNoise(float* pixels, int stride, int width, int height)
    {
        _columns = Math.Max(1, (int)Math.Round(width / (double)TilePx));
        _rows = Math.Max(1, (int)Math.Round(height / (double)TilePx));
        (_stepX, _stepY) = (width / (double)_columns, height / (double)_rows);
        _noise = new float[_columns * _rows * 6];
        Parallel.For(0, _columns * _rows, tile =>
        {
            int left = Math.Max(1, (int)(tile % _columns * _stepX)), right = Math.Min(width - 1, (int)((tile % _columns + 1) * _stepX));
            int top = Math.Max(1, (int)(tile / _columns * _stepY)), bottom = Math.Min(height - 1, (int)((tile / _columns + 1) * _stepY));
            Measure(pixels, stride, (left, right, top, bottom), _noise.AsSpan(6 * tile, 6));
        });
        for (int k = 0; k < 6; k++) Bound(k);
    }

    /// <summary>What a step's two-pixel difference (0 to 2) and a ridge's curvature (3 to 5) are multiplied by, for the three colours.</summary>
    public void ScalesAt(int x, int y, float[] into)
    {
        double fx = Math.Clamp(x / _stepX - 0.5, 0, _columns - 1), fy = Math.Clamp(y / _stepY - 0.5, 0, _rows - 1);
        int cx = Math.Min((int)fx, Math.Max(0, _columns - 2)), cy = Math.Min((int)fy, Math.Max(0, _rows - 2));
        int right = _columns > 1 ? 6 : 0, down = _rows > 1 ? 6 * _columns : 0, at = 6 * (cy * _columns + cx);
        float sx = (float)(fx - cx), sy = (float)(fy - cy);
        for (int k = 0; k < 6; k++, at++)
        {
            float upper = _noise[at] + sx * (_noise[at + right] - _noise[at]), lower = _noise[at + down] + sx * (_noise[at + down + right] - _noise[at + down]);
            into[k] = (k < 3 ? 0.5f : 1) / (upper + sy * (lower - upper));
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static unsafe void Measure(float* pixels, int stride, (int Left, int Right, int Top, int Bottom) tile, Span<float> into)
    {
        var sizes = new float[2 * (((tile.Right - tile.Left) / EveryColumn) + 1) * (((tile.Bottom - tile.Top) / EveryRow) + 1)];
        for (int k = 0; k < 6; k++)
        {
            int n = 0;
            for (int y = tile.Top; y < tile.Bottom; y += EveryRow)
                for (int x = tile.Left; x < tile.Right; x += EveryColumn)
                {
                    float* p = pixels + y * stride + 3 * x + k % 3;
                    sizes[n++] = MathF.Abs(k < 3 ? 0.5f * (p[3] - p[-3]) : p[3] - 2 * p[0] + p[-3]);
                    sizes[n++] = MathF.Abs(k < 3 ? 0.5f * (p[stride] - p[-stride]) : p[stride] - 2 * p[0] + p[-stride]);
                }
            into[k] = n == 0 ? SmallestNoise : 1.4826f * Ranks.At(sizes.AsSpan(0, n), n / 2);
        }
    }

    private void Bound(int k)
    {
        float[] all = [.. Enumerable.Range(0, _columns * _rows).Select(i => _noise[6 * i + k]).Order()];
        float typical = all[all.Length / 2];
        for (int i = k; i < _noise.Length; i += 6) _noise[i] = Math.Max(SmallestNoise, Math.Clamp(_noise[i], Calmest * typical, Loudest * typical));
    }
}
