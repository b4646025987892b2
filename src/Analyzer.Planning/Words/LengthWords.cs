using System.Globalization;
using Analyzer.Core.Units;

namespace Analyzer.Planning.Words;

/// <summary>Lengths in the unit the maker thinks in.</summary>
public sealed record LengthWords(bool Inches)
{
    private const double SixteenthSlackMm = 0.02;

    /// <summary>"4 1/2 in" where it is a whole number of sixteenths, else "4.29 in"; or "109.0 mm".</summary>
    public string Say(double mm)
    {
        if (Math.Abs(mm) < 0.005) return Inches ? "0 in" : "0 mm";
        if (!Inches) return mm.ToString(Math.Abs(mm) < 10 ? "0.0#" : "0.#", CultureInfo.InvariantCulture) + " mm";
        double inches = mm / Length.MillimetresPerInch;
        double sixteenths = Math.Round(inches * 16);
        if (Math.Abs(sixteenths / 16 * Length.MillimetresPerInch - mm) > SixteenthSlackMm || inches < 0)
            return inches.ToString("0.##", CultureInfo.InvariantCulture) + " in";
        int whole = (int)sixteenths / 16, part = (int)sixteenths % 16, of = 16;
        while (part > 0 && part % 2 == 0) (part, of) = (part / 2, of / 2);
        if (part == 0) return $"{whole} in";
        return whole == 0 ? $"{part}/{of} in" : $"{whole} {part}/{of} in";
    }

    /// <summary>A long way: yards or metres.</summary>
    public string SayLong(double mm) => Inches
        ? $"{mm / (36 * Length.MillimetresPerInch):0.0} yd ({mm / 1000:0.0} m)"
        : $"{mm / 1000:0.0} m";

    /// <summary>Both units, for labels: "12 in (304.8 mm)" or "300 mm".</summary>
    public string SayBoth(double mm) => Inches ? $"{Say(mm)} ({mm.ToString("0.#", CultureInfo.InvariantCulture)} mm)" : Say(mm);

    public static string Number(double value, string format = "0.##") => value.ToString(format, CultureInfo.InvariantCulture);
}
