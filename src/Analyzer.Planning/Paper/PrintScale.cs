using System.Globalization;

namespace Analyzer.Planning.Paper;

/// <summary>What a measured check bar says about the printer's scale.</summary>
/// <param name="Scale">Measured over drawn length; 1 is true.</param>
/// <param name="IsTrue">Within half a percent.</param>
public sealed record PrintScaleFinding(double Scale, bool IsTrue, string Message);

/// <summary>Reads the print scale off the measured check bar.</summary>
public static class PrintScale
{
    public const double BarMm = 100;

    public const double InchBarMm = 4 * Core.Units.Length.MillimetresPerInch;

    /// <summary>ID-1 card, ISO/IEC 7810, mm; corner radius 2.88 to 3.48, drawn in the middle.</summary>
    public const double CardWidthMm = 85.60, CardHeightMm = 53.98, CardRadiusMm = 3.18;

    /// <summary>Largest deviation that still counts as true scale: half a millimetre on 100 mm.</summary>
    public const double Tolerance = 0.005;

    /// <param name="barMm">Drawn length of the bar: <see cref="BarMm"/> or <see cref="InchBarMm"/>.</param>
    /// <exception cref="ArgumentOutOfRangeException">The bar would be printed below half or above double size.</exception>
    public static PrintScaleFinding FromBar(double measuredMm, double barMm = BarMm)
    {
        double scale = measuredMm / barMm;
        if (!(scale is >= 0.5 and <= 2))
            throw new ArgumentOutOfRangeException(nameof(measuredMm), measuredMm, "A printed check bar measures between half and double its length.");
        string bar = barMm == InchBarMm ? "4 in bar (101.6 mm)" : "100 mm bar";
        string measured = $"Your {bar} measures {Number(measuredMm)} mm: printed at {Number(100 * scale)} %";
        bool isTrue = Math.Abs(scale - 1) < Tolerance - 1e-9;
        return isTrue
            ? new PrintScaleFinding(scale, true, $"{measured}, true to scale within half a percent. Go ahead.")
            : new PrintScaleFinding(scale, false, $"{measured}, reprint at 100 %{Cause(scale)}. As it is, a line spacing of 25.4 mm comes out as {Number(25.4 * scale)} mm.");
    }

    /// <summary>The usual traps: a sheet of one size shrunk onto another.</summary>
    private static string Cause(double scale)
    {
        double letterOnA4 = PaperSize.A4.WidthMm / PaperSize.Letter.WidthMm, a4OnLetter = PaperSize.Letter.HeightMm / PaperSize.A4.HeightMm;
        if (Math.Abs(scale - letterOnA4) < 0.003) return " (this is what a US Letter page shrunk onto A4 gives; choose \"actual size\", or make the template for A4)";
        if (Math.Abs(scale - a4OnLetter) < 0.003) return " (this is what an A4 page shrunk onto US Letter gives; choose \"actual size\", or make the template for Letter)";
        return " (choose \"actual size\" or \"100 %\" in the print window, not \"fit to page\")";
    }

    private static string Number(double value) => value.ToString("0.##", CultureInfo.InvariantCulture);
}
