using System.Globalization;

namespace Analyzer.Core.Units;

/// <summary>A length. Held in millimetres; inches and centimetres exist only at the edges.</summary>
/// <remarks>1 inch = 25.4 mm exactly (international yard and pound agreement, 1959).</remarks>
public readonly record struct Length(double Millimetres) : IComparable<Length>
{
    /// <summary>Millimetres in one inch, exact.</summary>
    public const double MillimetresPerInch = 25.4;

    public double Inches => Millimetres / MillimetresPerInch;

    public static Length FromInches(double inches) => new(inches * MillimetresPerInch);

    public static Length FromMillimetres(double millimetres) => new(millimetres);

    public int CompareTo(Length other) => Millimetres.CompareTo(other.Millimetres);

    public static bool operator <(Length a, Length b) => a.Millimetres < b.Millimetres;

    public static bool operator >(Length a, Length b) => a.Millimetres > b.Millimetres;

    public static bool operator <=(Length a, Length b) => a.Millimetres <= b.Millimetres;

    public static bool operator >=(Length a, Length b) => a.Millimetres >= b.Millimetres;

    /// <summary>Reads "8in", "203.2mm", "20.3 cm", "3/4in", "1 1/2in". The unit is required.</summary>
    public static bool TryParse(string? text, out Length length)
    {
        length = default;
        string trimmed = (text ?? "").Trim();
        double scale;
        if (trimmed.EndsWith("mm", StringComparison.OrdinalIgnoreCase)) scale = 1;
        else if (trimmed.EndsWith("cm", StringComparison.OrdinalIgnoreCase)) scale = 10;
        else if (trimmed.EndsWith("in", StringComparison.OrdinalIgnoreCase)) scale = MillimetresPerInch;
        else return false;
        if (!TryParseNumber(trimmed[..^2].Trim(), out double number)) return false;
        length = new Length(number * scale);
        return double.IsFinite(length.Millimetres);
    }

    private static bool TryParseNumber(string text, out double number)
    {
        number = 0;
        string[] parts = text.Split(' ', StringSplitOptions.RemoveEmptyEntries);
        if (parts.Length is 0 or > 2) return false;
        foreach (string part in parts)
        {
            if (!TryParseFraction(part, out double value)) return false;
            if (parts.Length == 2 && part == parts[1] && !part.Contains('/')) return false;
            number += value;
        }
        return true;
    }

    private static bool TryParseFraction(string text, out double value)
    {
        int slash = text.IndexOf('/', StringComparison.Ordinal);
        if (slash < 0)
            return double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out value);
        value = 0;
        if (!double.TryParse(text[..slash], NumberStyles.None, CultureInfo.InvariantCulture, out double top)) return false;
        if (!double.TryParse(text[(slash + 1)..], NumberStyles.None, CultureInfo.InvariantCulture, out double bottom)) return false;
        if (bottom == 0) return false;
        value = top / bottom;
        return true;
    }

    public override string ToString() => Millimetres.ToString("0.###", CultureInfo.InvariantCulture) + " mm";
}
