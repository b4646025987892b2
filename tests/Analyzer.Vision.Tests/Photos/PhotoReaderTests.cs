using Analyzer.Vision.Photos;
using ImageMagick;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Photos;

public class PhotoReaderTests
{
    /// <summary>JPEG and WebP at high quality keep flat patches within this, grey levels.</summary>
    private const int LossyLevels = 6;

    private static (int R, int G, int B) At(Photo photo, double x, double y)
    {
        Vec3b v = photo.Bgr.At<Vec3b>((int)(y * (photo.HeightPx - 1)), (int)(x * (photo.WidthPx - 1)));
        return (v.Item2, v.Item1, v.Item0);
    }

    private static void AssertNear((int R, int G, int B) want, (int R, int G, int B) got, int levels)
    {
        Assert.InRange(got.R, want.R - levels, want.R + levels);
        Assert.InRange(got.G, want.G - levels, want.G + levels);
        Assert.InRange(got.B, want.B - levels, want.B + levels);
    }

    private static void AssertPatches(Photo photo, int levels)
    {
        AssertNear((255, 255, 255), At(photo, 0.2, 0.2), levels);
        AssertNear((255, 0, 0), At(photo, 0.8, 0.2), levels);
        AssertNear((0, 255, 0), At(photo, 0.2, 0.8), levels);
        AssertNear((0, 0, 255), At(photo, 0.8, 0.8), levels);
    }

    [Theory]
    [InlineData(".jpg", LossyLevels)]
    [InlineData(".png", 0)]
    [InlineData(".bmp", 0)]
    [InlineData(".webp", LossyLevels)]
    public void EachCommonFormat_ReadsAsDrawn(string extension, int levels)
    {
        using Photo photo = PhotoReader.Read(PictureBytes.Encode(extension), "wrong-name.txt");
        Assert.Equal((PictureBytes.WidthPx, PictureBytes.HeightPx), (photo.WidthPx, photo.HeightPx));
        AssertPatches(photo, levels);
        Assert.Equal(64, photo.Sha256.Length);
    }

    // The eight cases of EXIF 2.3, tag 0x0112: where the stored top-left (white) and top-right (red) patches go.
    [Theory]
    [InlineData(1, 0.2, 0.2, 0.8, 0.2)]
    [InlineData(2, 0.8, 0.2, 0.2, 0.2)]
    [InlineData(3, 0.8, 0.8, 0.2, 0.8)]
    [InlineData(4, 0.2, 0.8, 0.8, 0.8)]
    [InlineData(5, 0.2, 0.2, 0.2, 0.8)]
    [InlineData(6, 0.8, 0.2, 0.8, 0.8)]
    [InlineData(7, 0.8, 0.8, 0.8, 0.2)]
    [InlineData(8, 0.2, 0.8, 0.2, 0.2)]
    public void ExifOrientation_TurnsThePhotoUpright(int orientation, double whiteX, double whiteY, double redX, double redY)
    {
        using Photo photo = PhotoReader.Read(PictureBytes.WithExif(PictureBytes.Encode(".jpg"), orientation), "a.jpg");
        Assert.Equal(orientation >= 5, photo.HeightPx > photo.WidthPx);
        AssertNear((255, 255, 255), At(photo, whiteX, whiteY), LossyLevels);
        AssertNear((255, 0, 0), At(photo, redX, redY), LossyLevels);
    }

    /// <summary>Analytic: each pixel of the half covers two by two of the whole, so a blob's centre goes from x to (x + 0.5) / 2 - 0.5, turned or not.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(3)]
    [InlineData(6)]
    [InlineData(8)]
    public void HalfSize_KeepsEveryPlace(int orientation)
    {
        const double cx = 61.3, cy = 40.8, sigma = 4, placePx = 0.02;
        const int rows = 96, cols = 160;
        using var blob = new Mat(rows, cols, MatType.CV_8UC3);
        for (int y = 0; y < rows; y++)
            for (int x = 0; x < cols; x++)
            {
                byte v = (byte)Math.Round(20 + 200 * Math.Exp(-((x - cx) * (x - cx) + (y - cy) * (y - cy)) / (2 * sigma * sigma)));
                blob.Set(y, x, new Vec3b(v, v, v));
            }
        Cv2.ImEncode(".jpg", blob, out byte[] plain, new ImageEncodingParam(ImwriteFlags.JpegQuality, 98));
        byte[] bytes = PictureBytes.WithExif(plain, orientation);
        using Photo whole = PhotoReader.Read(bytes, "a.jpg"), half = PhotoReader.Read(bytes, "a.jpg", 1);
        Assert.Equal((2, whole.WidthPx, whole.HeightPx), (half.ReducedBy, half.FileWidthPx, half.FileHeightPx));
        (double wx, double wy) = Centre(whole.Bgr);
        (double hx, double hy) = Centre(half.Bgr);
        Assert.InRange(2 * (hx + 0.5) - 0.5 - wx, -placePx, placePx);
        Assert.InRange(2 * (hy + 0.5) - 0.5 - wy, -placePx, placePx);
        using Photo again = half.Whole();
        Assert.Equal((1, whole.WidthPx), (again.ReducedBy, again.WidthPx));
    }

    [Fact]
    public void OddSide_IsNotHalved()
    {
        using var odd = new Mat(96, 161, MatType.CV_8UC3, Scalar.All(120));
        Cv2.ImEncode(".jpg", odd, out byte[] bytes);
        using Photo photo = PhotoReader.Read(bytes, "a.jpg", 1);
        Assert.Equal((1, 161), (photo.ReducedBy, photo.WidthPx));
    }

    /// <summary>Centre of mass of what is brighter than the ground, px.</summary>
    private static (double X, double Y) Centre(Mat bgr)
    {
        double sum = 0, x = 0, y = 0;
        int rows = bgr.Rows, cols = bgr.Cols;
        for (int j = 0; j < rows; j++)
            for (int i = 0; i < cols; i++)
            {
                double v = Math.Max(0, bgr.At<Vec3b>(j, i).Item1 - 30);
                (sum, x, y) = (sum + v, x + v * i, y + v * j);
            }
        return (x / sum, y / sum);
    }

    [Fact]
    public void CameraNotes_AreRead()
    {
        using Photo photo = PhotoReader.Read(PictureBytes.WithExif(PictureBytes.Encode(".jpg"), 1), "a.jpg");
        Assert.Equal(new PhotoMetadata("2026-05-14T10:11:12", "Model 1", 4.25, 27, 1), photo.Metadata);
    }

    [Fact]
    public void SixteenBits_Grey_AndAlpha_BecomePlainEightBitColour()
    {
        using var deep = new Mat(64, 64, MatType.CV_16UC3, new Scalar(0, 32896, 65535));
        Cv2.ImEncode(".png", deep, out byte[] deepBytes);
        using Photo sixteen = PhotoReader.Read(deepBytes, "a.png");
        AssertNear((255, 128, 0), At(sixteen, 0.5, 0.5), 1);

        using var grey = new Mat(64, 64, MatType.CV_8UC1, new Scalar(77));
        Cv2.ImEncode(".png", grey, out byte[] greyBytes);
        using Photo plain = PhotoReader.Read(greyBytes, "a.png");
        AssertNear((77, 77, 77), At(plain, 0.5, 0.5), 0);

        // A colour of weight a over white is a*colour + (1 - a)*white.
        using var clear = new Mat(64, 64, MatType.CV_8UC4, new Scalar(0, 0, 200, 51));
        Cv2.ImEncode(".png", clear, out byte[] clearBytes);
        using Photo onWhite = PhotoReader.Read(clearBytes, "a.png");
        AssertNear((244, 204, 204), At(onWhite, 0.5, 0.5), 1);
    }

    [Theory]
    [InlineData(MagickFormat.Tiff)]
    [InlineData(MagickFormat.Gif)]
    public void OddFormats_ReadAsDrawn(MagickFormat format)
    {
        using Photo photo = PhotoReader.Read(PictureBytes.WithMagick(format, _ => { }), "a");
        AssertPatches(photo, 2);
    }

    [Fact]
    public void FourInkJpeg_KeepsItsColours()
    {
        byte[] bytes = PictureBytes.WithMagick(MagickFormat.Jpeg, image =>
        {
            image.ColorSpace = ColorSpace.CMYK;
            image.Quality = 98;
        });
        using Photo photo = PhotoReader.Read(bytes, "a.jpg");
        AssertPatches(photo, 12);
    }

    [Fact]
    public void Heic_IsDecoded()
    {
        using Photo photo = PhotoReader.Read(HeicSample.Bytes(), "IMG.HEIC");
        Assert.Equal((64, 64), (photo.WidthPx, photo.HeightPx));
        (int R, int G, int B) left = At(photo, 0.05, 0.5), right = At(photo, 0.95, 0.5);
        Assert.True(left.B > 200 && left.R < 60, $"left {left}");
        Assert.True(right.R > 200 && right.B < 60, $"right {right}");
    }

    [Theory]
    [InlineData(".jpg", 0.6)]
    [InlineData(".png", 0.6)]
    [InlineData(".webp", 0.6)]
    [InlineData(".jpg", 0.98)]
    public void CutFile_IsRefused(string extension, double share)
    {
        byte[] whole = PictureBytes.Encode(extension);
        PhotoException refusal = Assert.Throws<PhotoException>(() => PhotoReader.Read(whole[..(int)(whole.Length * share)], "half.jpg"));
        Assert.Equal("truncated", refusal.Code);
        Assert.StartsWith("half.jpg is cut short", refusal.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void JpegWithTrailingData_IsAccepted()
    {
        byte[] bytes = [.. PictureBytes.Encode(".jpg"), .. new byte[1000]];
        using Photo photo = PhotoReader.Read(bytes, "a.jpg");
        AssertPatches(photo, LossyLevels);
    }

    [Fact]
    public void NotAPicture_TooSmall_AndTooLarge_AreRefusedInOneSentence()
    {
        Assert.Equal("not-an-image", Refusal("just some text, long enough to be looked at"u8.ToArray()).Code);
        Assert.Equal("not-an-image", Refusal([]).Code);
        Assert.Equal("not-an-image", Refusal("%PDF-1.7 something"u8.ToArray()).Code);
        using var dot = new Mat(1, 1, MatType.CV_8UC3, Scalar.All(9));
        Cv2.ImEncode(".png", dot, out byte[] one);
        Assert.Equal("too-small", Refusal(one).Code);
        byte[] huge = PictureBytes.Encode(".png");
        huge[16] = 0; huge[17] = 1; huge[18] = 0; huge[19] = 0;
        PhotoException large = Refusal(huge);
        Assert.Equal("too-large", large.Code);
        Assert.Contains("65536", large.Message, StringComparison.Ordinal);
        Assert.Equal("no-such-file", Assert.Throws<PhotoException>(() => PhotoReader.Read("does-not-exist.jpg")).Code);
    }

    [Fact]
    public void MovingPicture_IsRefused()
    {
        using var frames = new MagickImageCollection { new MagickImage(MagickColors.Red, 80, 80), new MagickImage(MagickColors.Blue, 80, 80) };
        Assert.Equal("moving", Refusal(frames.ToByteArray(MagickFormat.Gif)).Code);
        Assert.Equal("moving", Refusal(frames.ToByteArray(MagickFormat.WebP)).Code);
    }

    [Fact]
    public void EveryShortenedFile_IsReadOrRefused_NeverCrashes()
    {
        foreach (byte[] whole in new[] { PictureBytes.WithExif(PictureBytes.Encode(".jpg"), 6), PictureBytes.Encode(".png"), PictureBytes.Encode(".webp"), PictureBytes.WithMagick(MagickFormat.Tiff, _ => { }), HeicSample.Bytes() })
            for (int length = 0; length < Math.Min(whole.Length, 420); length += 3)
                Assert.Throws<PhotoException>(() => PhotoReader.Read(whole[..length], "part"));
    }

    private static PhotoException Refusal(byte[] bytes) => Assert.Throws<PhotoException>(() => PhotoReader.Read(bytes, "a.jpg"));
}
