using System.Runtime.CompilerServices;

namespace Analyzer.Testing.Noise;

/// <summary>Hash and value noise over the plane, the same on every machine.</summary>
public static class SmoothNoise
{
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static uint Hash(int x, int y, uint seed)
    {
        unchecked
        {
            uint h = (uint)x * 0x8DA6B343u ^ (uint)y * 0xD8163841u ^ seed * 0xCB1AB31Fu;
            h = (h ^ (h >> 15)) * 0x2C1B3C6Du;
            h = (h ^ (h >> 12)) * 0x297A2D39u;
            return h ^ (h >> 15);
        }
    }

    /// <summary>Hash as a number in [0, 1).</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static float Unit(int x, int y, uint seed) => (Hash(x, y, seed) >> 8) * (1f / (1 << 24));

    /// <summary>Smooth noise in [-1, 1] with one feature per unit of x and y.</summary>
    public static float Value(double x, double y, uint seed)
    {
        double flooredX = Math.Floor(x), flooredY = Math.Floor(y);
        int ix = (int)flooredX, iy = (int)flooredY;
        float fx = (float)(x - flooredX), fy = (float)(y - flooredY);
        fx = fx * fx * (3 - 2 * fx);
        fy = fy * fy * (3 - 2 * fy);
        float a = Unit(ix, iy, seed), b = Unit(ix + 1, iy, seed), c = Unit(ix, iy + 1, seed), d = Unit(ix + 1, iy + 1, seed);
        float top = a + (b - a) * fx, bottom = c + (d - c) * fx;
        return 2 * (top + (bottom - top) * fy) - 1;
    }

    /// <summary>Several octaves of <see cref="Value"/>, each twice as fine and half as strong; about [-1, 1].</summary>
    public static float Octaves(double x, double y, uint seed, int count)
    {
        float sum = 0, weight = 0.5f;
        for (int i = 0; i < count; i++)
        {
            sum += weight * Value(x, y, seed + (uint)i * 101);
            x = x * 2 + 17.3;
            y = y * 2 + 5.1;
            weight *= 0.5f;
        }
        return sum;
    }
}
