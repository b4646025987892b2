using System.Globalization;
using Analyzer.Core.Report;
using Analyzer.Core.Units;

namespace Analyzer.Reporting;

/// <summary>Writes lengths held in millimetres in the chosen unit: mm with two decimals, inches with three.</summary>
internal sealed class UnitFormat(ReportUnits units)
{
    public const string Unknown = "–";

    public string Name => units == ReportUnits.Inches ? "in" : "mm";

    public string LongName => units == ReportUnits.Inches ? "inches" : "millimetres";

    public double MmPerUnit => units == ReportUnits.Inches ? Length.MillimetresPerInch : 1;

    /// <summary>A scale bar's round length, mm: 1 inch or 20 mm.</summary>
    public double ScaleBarMm => units == ReportUnits.Inches ? Length.MillimetresPerInch : 20;

    /// <summary>A small length without its unit: "0.25" mm or "0.010" in.</summary>
    public string Small(double? mm) => mm is { } v && double.IsFinite(v) ? Text(v / MmPerUnit, units == ReportUnits.Inches ? "0.000" : "0.00") : Unknown;

    public string SmallWithUnit(double? mm) => Small(mm) is var text && text == Unknown ? Unknown : text + "\u00a0" + Name;

    /// <summary>An uncertainty without its unit: never none at all, at least one of the last digit shown (JCGM 100:2008, 7.2.6: rather up than down to nothing).</summary>
    public string Unsure(double mm) => Small(Math.Max(Math.Abs(mm), LastDigitMm));

    public string UnsureWithUnit(double mm) => Unsure(mm) + "\u00a0" + Name;

    /// <summary>A part of something: "under 0.001 in" where it is less than the last digit shows.</summary>
    public string PartWithUnit(double mm) => mm > 0 && mm < LastDigitMm / 2 ? "under " + SmallWithUnit(LastDigitMm) : SmallWithUnit(mm);

    /// <summary>One of the last digit shown, mm.</summary>
    private double LastDigitMm => (units == ReportUnits.Inches ? 0.001 : 0.01) * MmPerUnit;

    /// <summary>A long length with its unit, no idle zeros: "203.2 mm", "8 in".</summary>
    public string Long(double mm) => Text(mm / MmPerUnit, units == ReportUnits.Inches ? "0.###" : "0.#") + "\u00a0" + Name;

    /// <summary>value ± 2u (k = 2), without unit.</summary>
    public string PlusMinus(MeasuredValue? measured, bool signed = false)
    {
        if (measured?.Value is not { } value || !double.IsFinite(value)) return Unknown;
        string text = (signed && value > 0 && Small(value).Any(c => c is >= '1' and <= '9') ? "+" : "") + Small(value);
        return measured.U is { } u && double.IsFinite(u) ? $"{text} ±\u00a0{Unsure(2 * u)}" : text;
    }

    public static string Degrees(MeasuredValue? measured)
    {
        if (measured?.Value is not { } value || !double.IsFinite(value)) return Unknown;
        string number = Text(value, "0.00"), text = (value > 0 && number != "0.00" ? "+" : "") + number;
        return measured.U is { } u && double.IsFinite(u) ? $"{text} ±\u00a0{Text(Math.Max(0.01, 2 * u), "0.00")}" : text;
    }

    /// <summary>A number for reading: invariant, with a true minus sign and no negative zero.</summary>
    public static string Text(double value, string format)
    {
        string text = value.ToString(format, CultureInfo.InvariantCulture);
        if (!text.Any(c => c is >= '1' and <= '9')) return text.TrimStart('-');
        return text.Replace('-', '−');
    }
}
