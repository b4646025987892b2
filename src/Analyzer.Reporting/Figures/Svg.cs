using System.Globalization;
using System.Text;

namespace Analyzer.Reporting.Figures;

/// <summary>Small parts of SVG drawings.</summary>
internal static class Svg
{
    public static string N(double value)
    {
        string text = value.ToString("0.##", CultureInfo.InvariantCulture);
        return text == "-0" ? "0" : text;
    }

    /// <summary>Path data through points; relative steps keep it short.</summary>
    public static string Path(IEnumerable<(double X, double Y)> points, bool close = false)
    {
        var text = new StringBuilder();
        foreach ((double x, double y) in points)
            text.Append(text.Length == 0 ? 'M' : 'L').Append(N(x)).Append(' ').Append(N(y));
        return text.Append(close ? "Z" : "").ToString();
    }

    /// <summary>Smallest of 1, 1.5, 2, 3, 5, 7.5 times a power of ten that is not below the value.</summary>
    public static double NiceAbove(double value)
    {
        if (!(value > 0)) return 1;
        double power = Math.Pow(10, Math.Floor(Math.Log10(value)));
        foreach (double step in new[] { 1, 1.5, 2, 3, 5, 7.5 })
            if (step * power >= value * (1 - 1e-9)) return step * power;
        return 10 * power;
    }
}
