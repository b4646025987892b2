using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing.Scene;

/// <summary>From light on the sensor to the file's bytes: fall-off, blur, noise, white balance, tone curve, sharpening.</summary>
internal sealed class PhotoFinisher
{
    private static readonly float[] NormalTable = MakeNormalTable();
    private readonly FinishSettings _finish;
    private readonly int _width, _height;
    private readonly uint _seed, _noiseSeed;

    /// <param name="shot">Number of the exposure: another one has other sensor noise and nothing else.</param>
    public PhotoFinisher(FinishSettings finish, int width, int height, int seed, int shot = 0)
    {
        (_finish, _width, _height) = (finish, width, height);
        _seed = new SeededRandom(seed, "sensor").NextSeed();
        _noiseSeed = shot == 0 ? _seed : new SeededRandom(seed, $"sensor, exposure {shot}").NextSeed();
    }

    /// <summary>Takes three planes of linear light (changed on the way) and returns interleaved bytes.</summary>
    public byte[] Develop(float[][] planes)
    {
        Parallel.For(0, _height, row => ShadeRow(planes, row));
        var buffer = new float[_width * _height];
        if (_finish.FringePx > 0.02)
        {
            Scale(planes[0], buffer, _finish.FringePx);
            Scale(planes[2], buffer, -_finish.FringePx);
        }
        foreach (float[] plane in planes)
        {
            if (_finish.MotionPx > 0.05) Motion(plane, buffer);
            if (_finish.BlurPx > 0.05) Blur(plane, buffer, _finish.BlurPx);
        }
        for (int c = 0; c < 3; c++) ToneAndNoise(planes[c], buffer, c);
        if (_finish.Sharpening > 0.01) Sharpen(planes);
        var bytes = new byte[3 * _width * _height];
        Parallel.For(0, _height, row =>
        {
            for (int i = row * _width; i < (row + 1) * _width; i++)
                for (int c = 0; c < 3; c++) bytes[3 * i + c] = (byte)Math.Clamp(planes[c][i] * 255 + 0.5f, 0, 255);
        });
        return bytes;
    }

    private void ShadeRow(float[][] planes, int row)
    {
        FinishSettings f = _finish;
        (double sin, double cos) = Math.SinCos(f.UnevenTowardDeg * Math.PI / 180);
        double half = Math.Sqrt((double)_width * _width + (double)_height * _height) / 2, glareR = Math.Max(1, f.GlareRadius * _height);
        for (int col = 0; col < _width; col++)
        {
            double x = (col - _width / 2.0) / half, y = (row - _height / 2.0) / half, r2 = x * x + y * y;
            double light = f.Exposure * (1 - f.Vignetting * r2) * (1 + f.Unevenness * (cos * x + sin * y));
            if (f.SoftShadow > 0)
            {
                double edge = cos * x + sin * y + 0.25 * Math.Sin(3 * (cos * y - sin * x) + _seed % 7) + 0.06 * SmoothNoise.Value(x * 5, y * 5, _seed);
                light *= 1 - f.SoftShadow / (1 + Math.Exp((edge + 0.35) / 0.05));
            }
            int i = row * _width + col;
            double glare = 0;
            if (f.Glare > 0)
            {
                // A lamp's reflection on cloth: a soft, uneven, stretched patch.
                double gx = (col - f.GlareX * _width) / glareR, gy = (row - f.GlareY * _height) / glareR;
                double ga = (cos * gx + sin * gy) * 0.8, gb = (cos * gy - sin * gx) * 1.25;
                double g = ga * ga + gb * gb + 0.35 * SmoothNoise.Octaves(gx * 1.7 + 20, gy * 1.7, _seed, 3);
                glare = f.Glare / (1 + Math.Exp((g - 0.9) * 3));
            }
            planes[0][i] = (float)((planes[0][i] * light + glare) * f.RedGain);
            planes[1][i] = (float)(planes[1][i] * light + glare);
            planes[2][i] = (float)((planes[2][i] * light + glare) * f.BlueGain);
        }
    }

    private void Blur(float[] plane, float[] buffer, double sigma)
    {
        int radius = Math.Max(1, (int)Math.Ceiling(3 * sigma));
        var kernel = new float[2 * radius + 1];
        for (int i = -radius; i <= radius; i++) kernel[i + radius] = (float)Math.Exp(-i * i / (2 * sigma * sigma));
        float sum = kernel.Sum();
        for (int i = 0; i < kernel.Length; i++) kernel[i] /= sum;
        Parallel.For(0, _height, row =>
        {
            ReadOnlySpan<float> source = plane.AsSpan(row * _width, _width);
            Span<float> target = buffer.AsSpan(row * _width, _width);
            for (int col = 0; col < _width; col++)
            {
                float v = 0;
                if (col >= radius && col < _width - radius)
                    for (int k = 0; k < kernel.Length; k++) v += kernel[k] * source[col - radius + k];
                else
                    for (int k = 0; k < kernel.Length; k++) v += kernel[k] * source[Math.Clamp(col - radius + k, 0, _width - 1)];
                target[col] = v;
            }
        });
        Parallel.For(0, _height, row =>
        {
            Span<float> target = plane.AsSpan(row * _width, _width);
            target.Clear();
            for (int k = -radius; k <= radius; k++)
            {
                ReadOnlySpan<float> source = buffer.AsSpan(Math.Clamp(row + k, 0, _height - 1) * _width, _width);
                float w = kernel[k + radius];
                for (int col = 0; col < _width; col++) target[col] += w * source[col];
            }
        });
    }

    /// <summary>Stretches a plane about the picture's centre so that its corners move outward by the given distance.</summary>
    private void Scale(float[] plane, float[] buffer, double cornerPx)
    {
        double half = Math.Sqrt((double)_width * _width + (double)_height * _height) / 2, k = 1 / (1 + cornerPx / half), cx = (_width - 1) / 2.0, cy = (_height - 1) / 2.0;
        Array.Copy(plane, buffer, plane.Length);
        Parallel.For(0, _height, row =>
        {
            double y = Math.Clamp(cy + (row - cy) * k, 0, _height - 1.001);
            int iy = (int)y;
            float fy = (float)(y - iy);
            for (int col = 0; col < _width; col++)
            {
                double x = Math.Clamp(cx + (col - cx) * k, 0, _width - 1.001);
                int i = iy * _width + (int)x;
                float fx = (float)(x - (int)x), top = buffer[i] + (buffer[i + 1] - buffer[i]) * fx, bottom = buffer[i + _width] + (buffer[i + _width + 1] - buffer[i + _width]) * fx;
                plane[row * _width + col] = top + (bottom - top) * fy;
            }
        });
    }

    private void Motion(float[] plane, float[] buffer)
    {
        (double sin, double cos) = Math.SinCos(_finish.MotionDeg * Math.PI / 180);
        int steps = Math.Max(3, (int)Math.Ceiling(_finish.MotionPx) * 2 + 1);
        Array.Copy(plane, buffer, plane.Length);
        Parallel.For(0, _height, row =>
        {
            for (int col = 0; col < _width; col++)
            {
                double sum = 0;
                for (int k = 0; k < steps; k++)
                {
                    double t = _finish.MotionPx * (k / (steps - 1.0) - 0.5), x = Math.Clamp(col + t * cos, 0, _width - 1.001), y = Math.Clamp(row - t * sin, 0, _height - 1.001);
                    int ix = (int)x, iy = (int)y, i = iy * _width + ix;
                    double fx = x - ix, fy = y - iy;
                    sum += (buffer[i] * (1 - fx) + buffer[i + 1] * fx) * (1 - fy) + (buffer[i + _width] * (1 - fx) + buffer[i + _width + 1] * fx) * fy;
                }
                plane[row * _width + col] = (float)(sum / steps);
            }
        });
    }

    /// <summary>Shot and read noise, correlated between neighbours as interpolated sensor cells are, then the tone curve.</summary>
    private void ToneAndNoise(float[] plane, float[] noise, int channel)
    {
        float level = (float)_finish.NoiseLevels / 255f * (channel == 1 ? 0.85f : 1.15f), contrast = (float)_finish.Contrast;
        if (level > 0) Parallel.For(0, _height, row => FillNoise(noise, row, channel));
        float[] curve = ToneTable(contrast);
        Parallel.For(0, _height, row =>
        {
            for (int col = 0; col < _width; col++)
            {
                int i = row * _width + col;
                float v = Math.Max(0, plane[i]);
                if (level > 0)
                {
                    float n = Correlated(noise, row, col);
                    // In linear light: read noise plus shot noise, scaled so that mid grey (0.214) shows the wanted spread after encoding.
                    v += n * level * 1.05f * MathF.Sqrt(0.06f + 0.94f * v / 0.214f) * 0.55f;
                }
                // Square-root table: fine steps where the curve is steep.
                float at = MathF.Sqrt(Math.Clamp(v, 0, 1)) * (curve.Length - 2);
                int k = (int)at;
                plane[i] = curve[k] + (curve[k + 1] - curve[k]) * (at - k);
            }
        });
    }

    private static float[] ToneTable(float contrast)
    {
        var table = new float[4098];
        for (int k = 0; k < table.Length; k++)
        {
            float root = k / (float)(table.Length - 2), e = LinearRgb.Encode(Math.Min(1, root * root));
            float s = e * e * (3 - 2 * e);
            table[k] = e + contrast * (s - e);
        }
        return table;
    }

    private void FillNoise(float[] noise, int row, int channel)
    {
        ulong state = ((ulong)_noiseSeed << 32) ^ (ulong)(row * 3 + channel) * 0x9E3779B97F4A7C15UL ^ 0xD1B54A32D192ED03UL;
        for (int col = 0; col < _width; col++)
        {
            unchecked
            {
                state ^= state << 13;
                state ^= state >> 7;
                state ^= state << 17;
            }
            noise[row * _width + col] = NormalTable[(int)(state >> 40 & 65535)];
        }
    }

    private float Correlated(float[] n, int row, int col)
    {
        int i = row * _width + col, l = col > 0 ? i - 1 : i, r = col < _width - 1 ? i + 1 : i, u = row > 0 ? i - _width : i, d = row < _height - 1 ? i + _width : i;
        return (n[i] + 0.45f * (n[l] + n[r] + n[u] + n[d])) * 0.743f;
    }

    private void Sharpen(float[][] planes)
    {
        // The halo follows brightness only, as cameras do it: no coloured fringes.
        var luma = new float[_width * _height];
        var soft = new float[_width * _height];
        Parallel.For(0, _height, row =>
        {
            for (int i = row * _width; i < (row + 1) * _width; i++)
                soft[i] = luma[i] = 0.3f * planes[0][i] + 0.59f * planes[1][i] + 0.11f * planes[2][i];
        });
        Blur(soft, new float[_width * _height], 1.1);
        float k = (float)_finish.Sharpening * 1.5f;
        Parallel.For(0, _height, row =>
        {
            for (int i = row * _width; i < (row + 1) * _width; i++)
            {
                float add = k * Math.Clamp(luma[i] - soft[i], -0.15f, 0.15f);
                planes[0][i] += add;
                planes[1][i] += add;
                planes[2][i] += add;
            }
        });
    }

    private static float[] MakeNormalTable()
    {
        var random = new SeededRandom(20, "normal table");
        var table = new float[65536];
        for (int i = 0; i < table.Length; i++) table[i] = (float)random.Gaussian();
        return table;
    }
}
