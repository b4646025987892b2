namespace Analyzer.Planning.Amounts;

/// <summary>What the thread estimate assumes.</summary>
public sealed record ThreadAssumptions
{
    /// <summary>Stitch length, mm. Default 25.4/11: common practice is 10 to 12 stitches per inch.</summary>
    public double StitchMm { get; init; } = Core.Units.Length.MillimetresPerInch / 11;

    /// <summary>Thickness of the sandwich where the stitch draws it together, mm. The default is our assumption for thin cotton wadding.</summary>
    public double ThicknessMm { get; init; } = 1.5;

    /// <summary>Share of both threads for starts, tails and bobbin ends. Textile teaching sources say 10 to 15 %.</summary>
    public double WasteShare { get; init; } = 0.15;

    /// <summary>Half-width of the band round the geometric model; our judgement.</summary>
    public double BandShare { get; init; } = 0.15;
}

/// <summary>Thread for one seam length. Lengths in mm; each band is the geometric value ± 15 %, waste included.</summary>
public sealed record ThreadEstimate(double SeamMm, double Stitches, double ThreadPerSeam, double TopMm, double BobbinMm, double LowShare, double HighShare)
{
    public double BothMm => TopMm + BobbinMm;
}

/// <summary>Thread use of lockstitch, type 301, by its geometry.</summary>
/// <remarks>
/// C = 2 + 2·T·S per unit of seam for needle and bobbin thread together, T thickness in inches, S stitches per inch
/// (textile teaching sources; T 0.01, S 10 gives 2.2). Needle and bobbin take equal parts in a balanced stitch.
/// </remarks>
public static class ThreadModel
{
    /// <summary>Both threads per unit of seam.</summary>
    public static double PerSeam(double thicknessMm, double stitchMm) => 2 + 2 * thicknessMm / stitchMm;

    public static double StitchesPerInch(double stitchMm) => Core.Units.Length.MillimetresPerInch / stitchMm;

    public static ThreadEstimate Estimate(double seamMm, ThreadAssumptions assume)
    {
        double perSeam = PerSeam(assume.ThicknessMm, assume.StitchMm);
        double each = seamMm * perSeam / 2 * (1 + assume.WasteShare);
        return new ThreadEstimate(seamMm, seamMm / assume.StitchMm, perSeam, each, each, 1 - assume.BandShare, 1 + assume.BandShare);
    }
}
