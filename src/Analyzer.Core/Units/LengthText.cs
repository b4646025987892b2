using System.Globalization;

namespace Analyzer.Core.Units;

/// <summary>Lengths as people write them: the nearest sixteenth of an inch where it fits, else millimetres.</summary>
public static class LengthText
{
    /// <summary>How near a length has to be to a sixteenth of an inch to be called one, as a share of the length.</summary>
    public const double FractionTolerance = 0.006;

    /// <summary>"3/4in", "1 1/2in", "19.1mm": readable by <see cref="Length.TryParse"/>.</summary>
    public static string Written(Length length) => NearestSixteenth(length) is { } sixteenths
        ? InchText(sixteenths) + "in"
        : length.Millimetres.ToString("0.0#", CultureInfo.InvariantCulture) + "mm";

    /// <summary>"3/4 inch", "1 inch", "19.1 mm", for sentences.</summary>
    public static string Spoken(Length length) => NearestSixteenth(length) is { } sixteenths
        ? InchText(sixteenths) + (sixteenths > 16 ? " inches" : " inch")
        : length.Millimetres.ToString("0.0", CultureInfo.InvariantCulture) + " mm";

    /// <summary>The length in whole sixteenths of an inch, or null where none is near. Finer than an eighth is believed only below two inches.</summary>
    public static int? NearestSixteenth(Length length)
    {
        int step = length.Inches < 2 ? 1 : 2, sixteenths = step * (int)Math.Round(length.Inches * 16 / step);
        if (sixteenths < 1) return null;
        double error = Math.Abs(sixteenths / 16.0 - length.Inches);
        return error <= FractionTolerance * length.Inches ? sixteenths : null;
    }

    private static string InchText(int sixteenths)
    {
        int whole = sixteenths / 16, top = sixteenths % 16, bottom = 16;
        while (top > 0 && top % 2 == 0) (top, bottom) = (top / 2, bottom / 2);
        string fraction = top == 0 ? "" : string.Create(CultureInfo.InvariantCulture, $"{top}/{bottom}");
        string wholes = whole.ToString(CultureInfo.InvariantCulture);
        return whole == 0 ? fraction : top == 0 ? wholes : wholes + " " + fraction;
    }
}
