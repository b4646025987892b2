using System.Globalization;

namespace Analyzer.Vision.Photos;

/// <summary>The few EXIF entries the program uses (EXIF 2.3, tags 0x0112, 0x010F, 0x0110, 0x9003, 0x920A, 0xA405).</summary>
internal static class ExifReader
{
    public static PhotoMetadata Read(ReadOnlyMemory<byte> exif)
    {
        if (TiffDirectory.First(exif) is not { } main) return PhotoMetadata.None;
        TiffDirectory? camera = main.Sub(0x8769);
        string? maker = main.Text(0x010F), model = main.Text(0x0110);
        string? name = maker is null || model?.StartsWith(maker, StringComparison.OrdinalIgnoreCase) == true ? model : $"{maker} {model}".Trim();
        return new PhotoMetadata(
            Date(camera?.Text(0x9003) ?? main.Text(0x0132)),
            name,
            Positive(camera?.Number(0x920A)),
            Positive(camera?.Number(0xA405)),
            main.Number(0x0112) is { } turn and >= 1 and <= 8 ? (int)turn : 1);
    }

    private static double? Positive(double? value) => value > 0 ? value : null;

    private static string? Date(string? text) =>
        DateTime.TryParseExact(text, "yyyy:MM:dd HH:mm:ss", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateTime date)
            ? date.ToString("yyyy-MM-ddTHH:mm:ss", CultureInfo.InvariantCulture)
            : null;
}
