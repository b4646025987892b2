using System.Globalization;
using System.Text.RegularExpressions;

namespace Analyzer.Core.Units;

/// <summary>Turns the lengths inside a plain sentence from millimetres into inches: "0.34 mm" to "0.013 in", "8 to 20 mm" to "0.3 to 0.8 in".</summary>
/// <remarks>
/// Sentences are written once, in millimetres; a page in inches shows them through here. A number stuck to its unit ("25.4mm", as in a
/// command) is left alone, and a bracket that gives the millimetres of a length in inches goes.
/// </remarks>
public static partial class LengthSentence
{
    /// <param name="text">A sentence with its lengths in millimetres.</param>
    /// <param name="inches">False leaves it as it is.</param>
    public static string In(string text, bool inches)
    {
        if (!inches || !text.Contains("mm", StringComparison.Ordinal)) return text;
        return Many().Replace(SaidTwice().Replace(text, ""), match =>
            Number().Replace(match.Value[..^2].TrimEnd(' ', '\u00a0'), n => Inches(n.Value)) + match.Value[^3..^2] + "in");
    }

    private static string Inches(string mm)
    {
        double value = double.Parse(mm, NumberStyles.Float, CultureInfo.InvariantCulture) / Length.MillimetresPerInch;
        // Hundredths of a millimetre become thousandths of an inch; round millimetres, two digits that matter.
        string format = mm.Contains('.', StringComparison.Ordinal) ? value < 1 ? "0.000" : "0.00" : value < 0.1 ? "0.00" : value < 3 ? "0.0" : "0";
        return value.ToString(format, CultureInfo.InvariantCulture);
    }

    /// <summary>One number, or several joined by words, before a unit set apart: "0.3 to 0.5 mm", "0.40 → 0.31 mm", "8, 10 and 20 mm".</summary>
    [GeneratedRegex(@"(?<![\d.])\d+(\.\d+)?(( to | and | or | → |, | ± |–)[+−-]?\d+(\.\d+)?)*[ \u00a0]mm\b(?!²)")]
    private static partial Regex Many();

    [GeneratedRegex(@"(?<=\bin) \(\d+(\.\d+)? mm\)")]
    private static partial Regex SaidTwice();

    [GeneratedRegex(@"\d+(\.\d+)?")]
    private static partial Regex Number();
}
