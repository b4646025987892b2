using System.Globalization;

namespace Analyzer.Practice.Comparing;

/// <summary>One thing that is compared, averaged over whole lines or over crossings.</summary>
/// <param name="Code">Stable short name for files.</param>
/// <param name="Name">What the maker reads.</param>
/// <param name="Explanation">One plain sentence.</param>
/// <param name="Unit">"mm", "deg" or "%".</param>
public sealed record Measure(string Code, string Name, string Explanation, string Unit, bool HigherIsBetter, bool ByFamily)
{
    public static Measure Offset { get; } = new("offset", "Ruler placement", "Mean distance of a line's middle from where it should be.", "mm", false, true);

    public static Measure Angle { get; } = new("angle", "Angle", "Mean turn of a line against its direction, sign left out; a longer line counts more, since a short one turns by its wobble alone.", "deg", false, true);

    public static Measure Wobble { get; } = new("wobble", "Wobble (r.m.s.)", "Mean over lines of the r.m.s. distance from the line's own straight line, photo noise taken off.", "mm", false, true);

    public static Measure Total { get; } = new("total", "Wobble (peak to valley)", "Mean over lines of the full swing about the line's own straight line, photo noise taken off.", "mm", false, true);

    public static Measure Crossing { get; } = new("crossing", "Crossing error", "Mean distance of a stitched crossing from its intended point; for one family, across its lines.", "mm", false, true);

    public static Measure Triangle { get; } = new("triangle", "Miss triangle", "Where three lines should meet: mean of the largest gap between their crossings.", "mm", false, false);

    public static Measure Within { get; } = new("within", "Stitched within tolerance", "Share of stitched length within the tolerance of the intended line.", "%", true, true);

    public static Measure Overshoot { get; } = new("overshoot", "Overshoot at line ends", "Mean distance of a line's end from the ditch, too long or too short.", "mm", false, false);

    /// <summary>Wobble is about a line's own straight line: moving the block does not touch it, photo noise does.</summary>
    internal bool IsShape => this == Wobble || this == Total || this == Triangle;

    public static IReadOnlyList<Measure> All { get; } = [Offset, Angle, Wobble, Total, Crossing, Triangle, Within, Overshoot];

    /// <summary>The unit the maker reads: "in" in place of "mm" when inches are wanted.</summary>
    public string UnitName(bool inches) => inches && Unit == "mm" ? "in" : Unit;

    /// <summary>What a value is multiplied with to be in <see cref="UnitName"/>.</summary>
    public double Scale(bool inches) => inches && Unit == "mm" ? 1 / Core.Units.Length.MillimetresPerInch : 1;

    /// <summary>The number with this measure's digits, and its unit when asked.</summary>
    /// <param name="inches">Lengths, held in mm, are written in inches.</param>
    public string Text(double value, bool unit = false, bool sign = false, bool inches = false)
    {
        if (double.IsNaN(value)) return "–";
        bool asInches = inches && Unit == "mm";
        value *= Scale(inches);
        string format = Unit == "%" ? "0.0" : asInches ? "0.000" : "0.00";
        string text = value.ToString(sign ? $"+{format};−{format};{format}" : format, CultureInfo.InvariantCulture);
        return unit ? text + (Unit == "deg" ? "°" : Unit == "%" ? " %" : asInches ? " in" : " mm") : text;
    }

    /// <summary>U = 2u to read beside a value: at least one of the last digit shown, never none.</summary>
    public string Unsure(double standardU, bool unit = false, bool inches = false) => Text(Math.Max(2 * standardU, (Unit == "%" ? 0.1 : inches && Unit == "mm" ? 0.001 : 0.01) / Scale(inches)), unit, inches: inches);
}
