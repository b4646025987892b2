using System.Globalization;
using Analyzer.Core.Pattern;

namespace Analyzer.Core.Causes;

/// <summary>Words for families of lines and for the side that a deviation lies on.</summary>
public static class LineWords
{
    /// <summary>"the horizontal lines (C)" and the like.</summary>
    public static string FamilyName(IntendedGrid grid, int family)
    {
        double angle = grid.Families[family].AngleDeg;
        double folded = angle - 180 * Math.Round(angle / 180);
        string letter = IntendedGrid.FamilyLetter(family);
        if (Math.Abs(folded) < 3) return $"the horizontal lines ({letter})";
        if (Math.Abs(folded) > 87) return $"the vertical lines ({letter})";
        return string.Create(CultureInfo.InvariantCulture, $"the {folded:0} degree lines ({letter})");
    }

    /// <summary>Word for the side a deviation lies on: n = (sin t, cos t), y down.</summary>
    public static string Side(LineFamily family, double deviation)
    {
        bool sideways = Math.Abs(family.AcrossX) > Math.Abs(family.AcrossY);
        double toward = Math.Sign(deviation) * (sideways ? family.AcrossX : family.AcrossY);
        return sideways ? (toward > 0 ? "to the right" : "to the left") : toward > 0 ? "below" : "above";
    }
}
