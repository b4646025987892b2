using SixLabors.ImageSharp;
using SixLabors.ImageSharp.Formats.Jpeg;
using SixLabors.ImageSharp.Metadata.Profiles.Exif;
using SixLabors.ImageSharp.PixelFormats;
using SixLabors.ImageSharp.Processing;

namespace Analyzer.Testing;

/// <summary>A rendered photo with the truth about it.</summary>
/// <param name="Rgb">Interleaved red, green, blue bytes, row by row.</param>
public sealed record SyntheticPhoto(byte[] Rgb, int WidthPx, int HeightPx, SceneTruth Truth, SceneSettings Settings)
{
    /// <summary>The file as a camera would write it.</summary>
    /// <param name="exifOrientation">1 to 8: pixels are stored turned so that a reader who honours the tag sees the photo upright.</param>
    /// <param name="takenOn">Date in the file as "yyyy:MM:dd HH:mm:ss"; null writes no camera data at all.</param>
    public byte[] ToJpeg(int quality = 90, int exifOrientation = 1, string? takenOn = null)
    {
        using Image<Rgb24> image = Image.LoadPixelData<Rgb24>(Rgb, WidthPx, HeightPx);
        if (exifOrientation != 1) image.Mutate(x => Stored(x, exifOrientation));
        if (exifOrientation != 1 || takenOn is not null) image.Metadata.ExifProfile = CameraData(exifOrientation, takenOn);
        using var stream = new MemoryStream();
        image.SaveAsJpeg(stream, new JpegEncoder { Quality = quality, ColorType = JpegColorType.YCbCrRatio420 });
        return stream.ToArray();
    }

    /// <summary>The same photo as a program sees it that opens the file, to be saved once more.</summary>
    public SyntheticPhoto OfFile(byte[] file)
    {
        using Image<Rgb24> image = Image.Load<Rgb24>(file);
        var rgb = new byte[3 * image.Width * image.Height];
        image.CopyPixelDataTo(rgb);
        return this with { Rgb = rgb, WidthPx = image.Width, HeightPx = image.Height };
    }

    private static void Stored(IImageProcessingContext x, int orientation)
    {
        (RotateMode turn, FlipMode flip) = orientation switch
        {
            2 => (RotateMode.None, FlipMode.Horizontal),
            3 => (RotateMode.Rotate180, FlipMode.None),
            4 => (RotateMode.None, FlipMode.Vertical),
            5 => (RotateMode.Rotate90, FlipMode.Horizontal),
            6 => (RotateMode.Rotate270, FlipMode.None),
            7 => (RotateMode.Rotate90, FlipMode.Vertical),
            8 => (RotateMode.Rotate90, FlipMode.None),
            _ => throw new ArgumentOutOfRangeException(nameof(orientation), orientation, "An orientation is 1 to 8."),
        };
        x.RotateFlip(turn, flip);
    }

    private ExifProfile CameraData(int orientation, string? takenOn)
    {
        var exif = new ExifProfile();
        exif.SetValue(ExifTag.Orientation, (ushort)orientation);
        if (takenOn is null) return exif;
        exif.SetValue(ExifTag.Make, "Invented");
        exif.SetValue(ExifTag.Model, "Example phone");
        exif.SetValue(ExifTag.DateTimeOriginal, takenOn);
        // Equivalent focal length over the diagonal of 24 mm x 36 mm film (43.27 mm).
        double diagonal = Math.Sqrt((double)WidthPx * WidthPx + (double)HeightPx * HeightPx);
        exif.SetValue(ExifTag.FocalLengthIn35mmFilm, (ushort)Math.Round(Settings.Camera.FocalFactor * Math.Max(WidthPx, HeightPx) / diagonal * 43.27));
        return exif;
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
