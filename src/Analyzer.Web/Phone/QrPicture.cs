using System.Globalization;
using System.Text;
using QRCoder;

namespace Analyzer.Web.Phone;

/// <summary>A QR code (ISO/IEC 18004) as the path of an SVG, one unit a module, with the quiet zone of four modules.</summary>
internal static class QrPicture
{
    public static (string Path, int Side) Of(string text)
    {
        using var generator = new QRCodeGenerator();
        using QRCodeData code = generator.CreateQrCode(text, QRCodeGenerator.ECCLevel.M);
        // The module matrix already holds the quiet zone.
        int side = code.ModuleMatrix.Count;
        var path = new StringBuilder();
        for (int y = 0; y < side; y++)
            for (int x = 0; x < side; x++)
                if (code.ModuleMatrix[y][x]) path.Append(CultureInfo.InvariantCulture, $"M{x} {y}h1v1h-1z");
        return (path.ToString(), side);
    }
}
