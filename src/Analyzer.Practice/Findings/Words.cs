using System.Globalization;
using Analyzer.Core.Pattern;

namespace Analyzer.Practice.Findings;

/// <summary>Directions and numbers in plain words.</summary>
internal static class Words
{
    public static string Mm(double value) => Math.Abs(value).ToString(Math.Abs(value) < 0.095 ? "0.00" : "0.0", CultureInfo.InvariantCulture) + " mm";

    public static string Degrees(double value) => Math.Abs(value).ToString("0.0#", CultureInfo.InvariantCulture) + "°";

    public static string Percent(double value) => Math.Abs(value).ToString("0", CultureInfo.InvariantCulture) + " %";

    /// <summary>"lines across (family A)".</summary>
    public static string Lines(LineFamily family, int number)
    {
        double angle = ((family.AngleDeg % 180) + 180) % 180;
        string way = angle is < 1 or > 179 ? "lines across" : Math.Abs(angle - 90) < 1 ? "lines down" : angle < 90 ? "rising lines" : "falling lines";
        return $"{way} (family {IntendedGrid.FamilyLetter(number)})";
    }

    /// <summary>Which side of the mark a deviation lies on: "below", "to the right of".</summary>
    public static string Side(LineFamily family, double deviation)
    {
        double x = family.AcrossX * Math.Sign(deviation), y = family.AcrossY * Math.Sign(deviation);
        string vertical = y > 0 ? "below" : "above", horizontal = x > 0 ? "to the right of" : "to the left of";
        return Math.Abs(y) > 0.6 ? vertical : horizontal;
    }

    public static string ShortSide(LineFamily family, double deviation) => Side(family, deviation) switch
    {
        "below" => "low",
        "above" => "high",
        "to the right of" => "to the right",
        _ => "to the left",
    };

    /// <summary>Toward which end of a family's lines: "right", "top".</summary>
    public static string FarEnd(LineFamily family) => family.AlongX > 0.3 ? "right" : family.AlongX < -0.3 ? "left" : family.AlongY < 0 ? "upper" : "lower";

    public static string NearEnd(LineFamily family) => FarEnd(family) switch
    {
        "right" => "left",
        "left" => "right",
        "upper" => "lower",
        _ => "upper",
    };

    /// <summary>The same ends to travel to: "right", "top".</summary>
    public static string FarEndNoun(LineFamily family) => Noun(FarEnd(family));

    public static string NearEndNoun(LineFamily family) => Noun(NearEnd(family));

    private static string Noun(string end) => end switch { "upper" => "top", "lower" => "bottom", _ => end };

    public static string OnLines(IEnumerable<double> values, double mean)
    {
        double[] all = [.. values];
        return $"{all.Count(v => Math.Sign(v) == Math.Sign(mean))} of {all.Length} lines";
    }
}
