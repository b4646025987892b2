using OpenCvSharp;

namespace Analyzer.Vision.Photos;

/// <summary>Brings 8-bit pixels of another RGB space to sRGB, in place.</summary>
internal static class ColourConversion
{
    private const int Steps = 4096;
    private static readonly byte[] Encoded = [.. Enumerable.Range(0, Steps + 1).Select(i => (byte)Math.Round(255 * ColourProfile.SrgbEncode(i / (double)Steps)))];

    public static unsafe void ToSrgb(Mat bgr, ColourProfile profile)
    {
        float[] m = [.. profile.LinearSrgbFromLinear.Select(v => (float)(v * Steps))];
        float[] red = profile.Curves[0], green = profile.Curves[1], blue = profile.Curves[2];
        int width = bgr.Cols;
        Parallel.For(0, bgr.Rows, y =>
        {
            byte* p = (byte*)bgr.Ptr(y);
            for (int x = 0; x < width; x++, p += 3)
            {
                float b = blue[p[0]], g = green[p[1]], r = red[p[2]];
                p[2] = Encoded[Math.Clamp((int)(m[0] * r + m[1] * g + m[2] * b + 0.5f), 0, Steps)];
                p[1] = Encoded[Math.Clamp((int)(m[3] * r + m[4] * g + m[5] * b + 0.5f), 0, Steps)];
                p[0] = Encoded[Math.Clamp((int)(m[6] * r + m[7] * g + m[8] * b + 0.5f), 0, Steps)];
            }
        });
    }
}
