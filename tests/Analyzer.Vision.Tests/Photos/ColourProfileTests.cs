using Analyzer.Vision.Photos;
using ImageMagick;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Photos;

public class ColourProfileTests
{
    // Independent: the same file converted by lcms2 (through Magick.NET 15.1.0) to sRGB. Rounding and interpolation differ by a few levels.
    private const int LevelsAgainstLcms = 3;

    [Fact]
    public void DisplayP3_IsBroughtToSrgb_LikeLcmsDoes()
    {
        var colours = new[] { (200, 30, 40), (30, 160, 60), (40, 60, 190), (128, 128, 128), (230, 180, 120), (15, 15, 18) };
        foreach ((int r, int g, int b) in colours)
        {
            using var image = new MagickImage(new MagickColor((byte)r, (byte)g, (byte)b), 64, 64);
            image.SetProfile(new ColorProfile(DisplayP3()));
            byte[] png = image.ToByteArray(MagickFormat.Png);
            image.TransformColorSpace(ColorProfiles.SRGB);
            byte[] want = image.GetPixels().GetPixel(5, 5).ToArray();
            using Photo photo = PhotoReader.Read(png, "p3.png");
            Vec3b got = photo.Bgr.At<Vec3b>(5, 5);
            Assert.InRange(got.Item2, want[0] - LevelsAgainstLcms, want[0] + LevelsAgainstLcms);
            Assert.InRange(got.Item1, want[1] - LevelsAgainstLcms, want[1] + LevelsAgainstLcms);
            Assert.InRange(got.Item0, want[2] - LevelsAgainstLcms, want[2] + LevelsAgainstLcms);
        }
    }

    [Fact]
    public void SrgbProfile_ChangesNothing() => Assert.True(ColourProfile.Read(ColorProfiles.SRGB.ToByteArray())!.IsNearlySrgb);

    [Fact]
    public void NonsenseProfile_IsIgnored() => Assert.Null(ColourProfile.Read(new byte[500]));

    /// <summary>A minimal v4 profile of Display P3: primaries adapted to D50 as published with the colour space (from memory), sRGB curve.</summary>
    private static byte[] DisplayP3()
    {
        var tags = new List<(string Name, byte[] Data)>
        {
            ("desc", [.. "mluc"u8, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 12, .. "enUS"u8, 0, 0, 0, 4, 0, 0, 0, 28, 0, (byte)'P', 0, (byte)'3']),
            ("wtpt", Xyz(0.9642, 1.0, 0.8249)),
            ("rXYZ", Xyz(0.51512, 0.24120, -0.00105)),
            ("gXYZ", Xyz(0.29198, 0.69225, 0.04189)),
            ("bXYZ", Xyz(0.15710, 0.06657, 0.78407)),
        };
        byte[] curve = [.. "para"u8, 0, 0, 0, 0, 0, 3, 0, 0, .. Fixed(2.4), .. Fixed(1 / 1.055), .. Fixed(0.055 / 1.055), .. Fixed(1 / 12.92), .. Fixed(0.04045)];
        foreach (string name in new[] { "rTRC", "gTRC", "bTRC" }) tags.Add((name, curve));
        var table = new List<byte>();
        var data = new List<byte>();
        int start = 128 + 4 + 12 * tags.Count;
        foreach ((string name, byte[] body) in tags)
        {
            table.AddRange([.. System.Text.Encoding.ASCII.GetBytes(name), .. Big(start + data.Count), .. Big(body.Length)]);
            data.AddRange(body);
            while (data.Count % 4 != 0) data.Add(0);
        }
        byte[] head = new byte[128];
        Big(start + data.Count).CopyTo(head, 0);
        Big(0x04300000).CopyTo(head, 8);
        "mntrRGB XYZ "u8.CopyTo(head.AsSpan(12));
        "acsp"u8.CopyTo(head.AsSpan(36));
        byte[] white = Xyz(0.9642, 1.0, 0.8249);
        white[8..].CopyTo(head, 68);
        return [.. head, .. Big(tags.Count), .. table, .. data];
    }

    private static byte[] Xyz(double x, double y, double z) => [.. "XYZ "u8, 0, 0, 0, 0, .. Fixed(x), .. Fixed(y), .. Fixed(z)];

    private static byte[] Fixed(double value) => Big((int)Math.Round(value * 65536));

    private static byte[] Big(int v) => [(byte)(v >> 24), (byte)(v >> 16), (byte)(v >> 8), (byte)v];
}
