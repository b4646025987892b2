using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;
using Analyzer.Core.Geometry;
using OpenCvSharp;

namespace Analyzer.Vision.Rectification;

/// <summary>Where the pixels of a picture of blue, green and red lie; asked of it once, since every asking is a call into the image library. The picture must outlive it.</summary>
internal readonly unsafe struct BgrPixels(Mat bgr)
{
    public byte* Data { get; } = (byte*)bgr.Data;

    /// <summary>Bytes from one row to the next.</summary>
    public int Stride { get; } = (int)bgr.Step();

    public int Cols { get; } = bgr.Cols;

    public int Rows { get; } = bgr.Rows;
}

/// <summary>Places in the photo at even steps along a straight line of a plane, in homogeneous coordinates: (X, Y, W) at the first, so much more at each next.</summary>
internal readonly record struct PhotoRow(double X, double Y, double W, double StepX, double StepY, double StepW)
{
    /// <summary>Places between pixels are told to one part in so many, and the four pixels about one are weighed in whole numbers.</summary>
    private const int Parts = 32, Bits = 5;

    /// <summary>Places worked out before their pixels are read.</summary>
    private const int AtATime = 128;

    /// <param name="photoFromPlane">Plane to photo pixels.</param>
    public static PhotoRow Of(Homography photoFromPlane, double x, double y, double stepX, double stepY)
    {
        IReadOnlyList<double> m = photoFromPlane.Rows;
        return new PhotoRow(
            m[0] * x + m[1] * y + m[2], m[3] * x + m[4] * y + m[5], m[6] * x + m[7] * y + m[8],
            m[0] * stepX + m[1] * stepY, m[3] * stepX + m[4] * stepY, m[6] * stepX + m[7] * stepY);
    }

    public (double X, double Y) At(int step)
    {
        double w = 1 / (W + step * StepW);
        return ((X + step * StepX) * w, (Y + step * StepY) * w);
    }

    /// <summary>Blue, green, red at every place, between pixels by bilinear weights; beyond the photo's rim the rim's own pixel.</summary>
    /// <remarks>The numbers are those of OpenCV's remap, which takes several times as long over three channels.</remarks>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public unsafe void Read(in BgrPixels photo, Span<byte> into)
    {
        int* xs = stackalloc int[AtATime + 4], ys = stackalloc int[AtATime + 4];
        byte* pixels = photo.Data;
        int stride = photo.Stride, cols = photo.Cols, rows = photo.Rows, count = into.Length / 3;
        fixed (byte* first = into)
            for (int done = 0; done < count; done += AtATime)
            {
                int n = Math.Min(AtATime, count - done), last = n - 1;
                FillPlaces(done, n, xs, ys);
                // The places lie on a straight line: where both ends have all four pixels about them, so has every one between.
                bool inside = (W + done * StepW) * (W + (done + last) * StepW) > 0 && IsInside(xs[0], ys[0], cols, rows) && IsInside(xs[last], ys[last], cols, rows);
                byte* to = first + 3 * done;
                // Each pixel is written as four bytes; the last of all must not be.
                int quick = inside && Avx.IsSupported ? done + n == count ? last : n : 0;
                if (quick > 0) Quick(pixels, stride, xs, ys, quick, to);
                for (int k = quick; k < n; k++) Slowly(pixels, stride, cols, rows, xs[k], ys[k], to + 3 * k);
            }
    }

    /// <summary>Whether eight bytes can be read at a place and on the row below.</summary>
    private static bool IsInside(int atX, int atY, int cols, int rows) => atX >= 0 && atY >= 0 && (atX >> Bits) + 3 <= cols && (atY >> Bits) + 2 <= rows;

    /// <summary>Places as whole numbers of parts of a pixel.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private unsafe void FillPlaces(int from, int count, int* xs, int* ys)
    {
        int k = 0;
        if (Avx.IsSupported)
        {
            Vector256<double> steps = Vector256.Create(from, from + 1.0, from + 2.0, from + 3.0);
            for (; k < count; k += 4, steps += Vector256.Create(4.0))
            {
                Vector256<double> w = Vector256.Create((double)Parts) / (Vector256.Create(W) + steps * StepW);
                Sse2.Store(xs + k, Avx.ConvertToVector128Int32((Vector256.Create(X) + steps * StepX) * w));
                Sse2.Store(ys + k, Avx.ConvertToVector128Int32((Vector256.Create(Y) + steps * StepY) * w));
            }
            return;
        }
        for (; k < count; k++)
        {
            (double x, double y) = At(from + k);
            (xs[k], ys[k]) = ((int)Math.Clamp(Math.Round(x * Parts), -1e9, 1e9), (int)Math.Clamp(Math.Round(y * Parts), -1e9, 1e9));
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static unsafe void Quick(byte* pixels, int stride, int* xs, int* ys, int count, byte* to)
    {
        int* at = stackalloc int[AtATime + 4], across = stackalloc int[AtATime + 4], down = stackalloc int[AtATime + 4];
        Vector128<int> part = Vector128.Create(Parts - 1);
        for (int k = 0; k < count; k += 4)
        {
            Vector128<int> x = Vector128.Load(xs + k), y = Vector128.Load(ys + k), fx = x & part, fy = y & part, one = Vector128.Create(Parts) - fx | fx << 8;
            Sse2.Store(at + k, (y >> Bits) * stride + (x >> Bits) * 3);
            Sse2.Store(across + k, one | one << 16);
            Sse2.Store(down + k, Vector128.Create(Parts) - fy | fy << 16);
        }
        int four = Avx2.IsSupported ? ByFours(pixels, stride, at, across, down, count, to) : 0;
        to += 3 * four;
        Vector128<byte> besides = Vector128.Create((byte)0, 3, 1, 4, 2, 5, 255, 255, 8, 11, 9, 12, 10, 13, 255, 255), above = Vector128.Create((byte)0, 1, 8, 9, 2, 3, 10, 11, 4, 5, 12, 13, 255, 255, 255, 255);
        for (int k = four; k < count; k++, to += 3)
        {
            // Upper row in the lower half: b0 b1 g0 g1 r0 r1, each pair weighed and added; then upper and lower side by side, and the same again.
            byte* upper = pixels + at[k];
            Vector128<byte> both = Vector128.Create(*(ulong*)upper, *(ulong*)(upper + stride)).AsByte();
            Vector128<short> row = Ssse3.MultiplyAddAdjacent(Ssse3.Shuffle(both, besides), Vector128.Create(across[k]).AsSByte());
            Vector128<int> sum = Sse2.MultiplyAddAdjacent(Ssse3.Shuffle(row.AsByte(), above).AsInt16(), Vector128.Create(down[k]).AsInt16());
            Vector128<int> mean = (sum + Vector128.Create(Parts * Parts / 2)) >> (2 * Bits);
            Vector128<short> small = Sse2.PackSignedSaturate(mean, mean);
            *(int*)to = Sse2.PackUnsignedSaturate(small, small).AsInt32().ToScalar();
        }
    }

    /// <summary>The same for four pixels at a time, as many as can be written without reaching beyond the last; returns how many.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static unsafe int ByFours(byte* pixels, int stride, int* at, int* across, int* down, int count, byte* to)
    {
        Vector256<byte> besides = Vector256.Create((byte)0, 3, 1, 4, 2, 5, 255, 255, 8, 11, 9, 12, 10, 13, 255, 255, 0, 3, 1, 4, 2, 5, 255, 255, 8, 11, 9, 12, 10, 13, 255, 255);
        Vector256<byte> tight = Vector256.Create((byte)0, 1, 2, 4, 5, 6, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255, 0, 1, 2, 4, 5, 6, 255, 255, 255, 255, 255, 255, 255, 255, 255, 255);
        Vector256<int> twice = Vector256.Create(0, 0, 1, 1, 2, 2, 3, 3), even = Vector256.Create(0, 0, 0, 0, 2, 2, 2, 2), odd = Vector256.Create(1, 1, 1, 1, 3, 3, 3, 3), half = Vector256.Create(Parts * Parts / 2);
        int k = 0;
        for (; k + 5 <= count; k += 4, to += 12)
        {
            byte* a = pixels + at[k], b = pixels + at[k + 1], c = pixels + at[k + 2], d = pixels + at[k + 3];
            Vector256<byte> upper = Vector256.Create(*(ulong*)a, *(ulong*)b, *(ulong*)c, *(ulong*)d).AsByte();
            Vector256<byte> lower = Vector256.Create(*(ulong*)(a + stride), *(ulong*)(b + stride), *(ulong*)(c + stride), *(ulong*)(d + stride)).AsByte();
            Vector256<sbyte> sideways = Avx2.PermuteVar8x32(Vector128.Load(across + k).ToVector256Unsafe(), twice).AsSByte();
            Vector256<int> downward = Vector128.Load(down + k).ToVector256Unsafe();
            Vector256<short> above = Avx2.MultiplyAddAdjacent(Avx2.Shuffle(upper, besides), sideways), below = Avx2.MultiplyAddAdjacent(Avx2.Shuffle(lower, besides), sideways);
            // First and third, second and fourth pixel: upper and lower side by side, weighed and added.
            Vector256<int> first = Avx2.MultiplyAddAdjacent(Avx2.UnpackLow(above, below), Avx2.PermuteVar8x32(downward, even).AsInt16());
            Vector256<int> second = Avx2.MultiplyAddAdjacent(Avx2.UnpackHigh(above, below), Avx2.PermuteVar8x32(downward, odd).AsInt16());
            Vector256<short> small = Avx2.PackSignedSaturate((first + half) >> (2 * Bits), (second + half) >> (2 * Bits));
            Vector256<ulong> two = Avx2.Shuffle(Avx2.PackUnsignedSaturate(small, small), tight).AsUInt64();
            *(ulong*)to = two.GetElement(0);
            *(ulong*)(to + 6) = two.GetElement(2);
        }
        return k;
    }

    private static unsafe void Slowly(byte* pixels, int stride, int cols, int rows, int atX, int atY, byte* to)
    {
        int x = atX >> Bits, y = atY >> Bits, fx = atX & (Parts - 1), fy = atY & (Parts - 1);
        byte* upper = pixels + (long)Math.Clamp(y, 0, rows - 1) * stride, lower = pixels + (long)Math.Clamp(y + 1, 0, rows - 1) * stride;
        int left = 3 * Math.Clamp(x, 0, cols - 1), right = 3 * Math.Clamp(x + 1, 0, cols - 1);
        for (int c = 0; c < 3; c++)
        {
            int sum = (Parts - fy) * ((Parts - fx) * upper[left + c] + fx * upper[right + c]) + fy * ((Parts - fx) * lower[left + c] + fx * lower[right + c]);
            to[c] = (byte)((sum + Parts * Parts / 2) >> (2 * Bits));
        }
    }
}
