using SixLabors.ImageSharp;
using SixLabors.ImageSharp.Formats.Jpeg;
using SixLabors.ImageSharp.PixelFormats;

namespace Analyzer.Testing;

/// <summary>A rendered photo with the truth about it.</summary>
/// <param name="Rgb">Interleaved red, green, blue bytes, row by row.</param>
public sealed record SyntheticPhoto(byte[] Rgb, int WidthPx, int HeightPx, SceneTruth Truth, SceneSettings Settings)
{
    /// <summary>The file as a camera would write it.</summary>
    public byte[] ToJpeg(int quality = 90)
    {
        using Image<Rgb24> image = Image.LoadPixelData<Rgb24>(Rgb, WidthPx, HeightPx);
        using var stream = new MemoryStream();
        image.SaveAsJpeg(stream, new JpegEncoder { Quality = quality, ColorType = JpegColorType.YCbCrRatio420 });
        return stream.ToArray();
    }

    public byte[] ToPng()
    {
        using Image<Rgb24> image = Image.LoadPixelData<Rgb24>(Rgb, WidthPx, HeightPx);
        using var stream = new MemoryStream();
        image.SaveAsPng(stream);
        return stream.ToArray();
    }

    public void SaveJpeg(string path, int quality = 90) => File.WriteAllBytes(path, ToJpeg(quality));

    public void SavePng(string path) => File.WriteAllBytes(path, ToPng());
}
