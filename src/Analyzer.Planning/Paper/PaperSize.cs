namespace Analyzer.Planning.Paper;

/// <summary>A sheet, upright or across, mm.</summary>
public sealed record PaperSize(string Name, double WidthMm, double HeightMm)
{
    /// <summary>ISO 216.</summary>
    public static PaperSize A4 { get; } = new("A4", 210, 297);

    /// <summary>8.5 x 11 in.</summary>
    public static PaperSize Letter { get; } = new("US Letter", 215.9, 279.4);

    public bool IsLandscape => WidthMm > HeightMm;

    public PaperSize Landscape() => IsLandscape ? this : this with { WidthMm = HeightMm, HeightMm = WidthMm };
}

/// <summary>PDF user space: 1/72 inch (ISO 32000-1, 8.3.2.3).</summary>
public static class Points
{
    public const double PerMm = 72 / Core.Units.Length.MillimetresPerInch;

    public static double FromMm(double mm) => mm * PerMm;

    public static double ToMm(double points) => points / PerMm;
}
