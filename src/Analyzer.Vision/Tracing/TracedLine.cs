using Analyzer.Core.Deviation;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>One intended line as it was stitched: where the thread was seen, and how sure that is.</summary>
public sealed record TracedLine
{
    public required GridLine Line { get; init; }

    /// <summary>Positions along the intended line, mm, 1 mm apart where the thread was seen.</summary>
    public required double[] AlongMm { get; init; }

    /// <summary>Thread's centre less intended line, mm, positive toward n.</summary>
    public required double[] DeviationMm { get; init; }

    /// <summary>Standard uncertainty of each deviation from noise, thread and resolution (corners not included), mm.</summary>
    public required double[] SigmaMm { get; init; }

    /// <summary>The part of each standard uncertainty that shows as scatter of the samples, mm: what straightness is freed of. Doubt about where the thread lies is not in it.</summary>
    public double[] ScatterMm
    {
        get => field.Length == SigmaMm.Length ? field : SigmaMm;
        init;
    } = [];

    /// <summary>The same trace at quarter millimetres, for crossings.</summary>
    public double[] FineAlongMm { get; init; } = [];

    public double[] FineDeviationMm { get; init; } = [];

    public double[] FineSigmaMm { get; init; } = [];

    /// <summary>How the noise of neighbouring samples hangs together.</summary>
    public required NoiseCorrelation Noise { get; init; }

    /// <summary>Standard uncertainty common to the whole line: the thread's centre under side light, mm.</summary>
    public double CommonUMm { get; init; }

    /// <summary>The part of it that comes of light from the side and of what changes beside the line: however the line is looked at, it is there, mm.</summary>
    internal double AsideUMm { get; init; }

    /// <summary>The part of it that the thread's own profile gives for its shadow and its width, mm.</summary>
    internal double LightUMm { get; init; }

    /// <summary>How far the line was moved from what stands out of its thread onto the thread's middle, the same for all lines of a family, mm toward n.</summary>
    public double MiddleMovedMm { get; init; }

    /// <summary>The taught net's mean weight in the line's places, 0 to 1; null where it has no part in them.</summary>
    public double? NetShare { get; init; }

    /// <summary>Standard uncertainty of the line's r.m.s. wobble from how far the two ways of following it differ in that, mm; 0 where it was followed in one way only.</summary>
    public double WobbleUMm { get; init; }

    /// <summary>Share of the line's length where the thread was seen.</summary>
    public double Coverage { get; init; }

    /// <summary>Whole millimetres of the line where a sample could have been, seen or not.</summary>
    public double[] PossibleMm { get; init; } = [];

    /// <summary>Those of them where something lies on the block and hides the thread.</summary>
    internal double[] HiddenMm { get; init; } = [];

    /// <summary>Whole millimetres of the line where what was followed lay beside the stitches, and the stitches surely told the place instead (<see cref="StrayStretches"/>).</summary>
    internal double[] ByStitchesMm { get; init; } = [];

    /// <summary>Whole millimetres of the line where the taught net runs along another thread, or along what is none (<see cref="OtherThread"/>).</summary>
    internal double[] BesideOtherThreadMm { get; init; } = [];

    /// <summary>Share of what is not hidden where the thread was seen.</summary>
    internal double OpenCoverage => PossibleMm.Length > HiddenMm.Length ? Coverage * PossibleMm.Length / (PossibleMm.Length - HiddenMm.Length) : Coverage;

    /// <summary>Thread against noise of the ground, per 1/8 mm of line; not a number where other lines leave no ground free.</summary>
    public double Contrast { get; init; }

    /// <summary>Height of the autocorrelation's peak at stitch distance, 0 to 1: dashes tell thread from drawn marks and shadow.</summary>
    public double DashCorrelation { get; init; }

    internal double[] DashRho { get; init; } = [];

    /// <summary>What the ground beside the line has of the same, in shares of the line's unevenness.</summary>
    internal double[] GroundRho { get; init; } = [];

    /// <summary>Change along the line against distance from it (<see cref="StitchTexture"/>), or null where too little is seen.</summary>
    internal double[]? Texture { get; init; }

    /// <summary>Median over the line of its colour against the ground beside it, in units of the cloth's own noise.</summary>
    internal Colour3 Colour { get; init; }

    /// <summary>Width of the family's thread in its profile, mm.</summary>
    public double WidthMm { get; init; }

    /// <summary>Height of the line's own mean profile, in its middle over what is just beside the thread, in the units of the strip's projection: of a mark broader than thread there is hardly any.</summary>
    internal double PeakHeight { get; init; } = double.NaN;

    /// <summary>The same over the height above the ground farther out: how much of the line is as narrow as thread.</summary>
    internal double PeakShare { get; init; } = double.NaN;

    /// <summary>Unevenness along the line in the range of stitch lengths, over the same beside it.</summary>
    public double DashRatio { get; init; }

    /// <summary>Stitch length from the dashes, mm, or null where they do not show.</summary>
    public double? StitchLengthMm { get; init; }

    /// <summary>One-sided shadow beside the family's thread over the thread's own height.</summary>
    public double ShadowShare { get; init; }

    /// <summary>Where the thread lies in the furrow that was followed, mm from the furrow's centre as first seen; 0 where the thread itself was followed.</summary>
    internal double InFurrowMm { get; init; }

    /// <summary>Whether the furrow was followed as a whole: contrast and dashes are then those of the furrow, not to be compared with another family's thread.</summary>
    internal bool IsFurrow { get; init; }

    /// <summary>Misfit of the thread's profile over its height.</summary>
    public double MisfitShare { get; init; }

    /// <summary>Share of the line that is clipped white or black.</summary>
    public double ClippedShare { get; init; }

    /// <summary>Deviation at any place along the line, straight between the samples and level beyond them, mm.</summary>
    internal double At(double alongMm)
    {
        int k = Array.BinarySearch(AlongMm, alongMm);
        if (k >= 0) return DeviationMm[k];
        k = ~k;
        if (k == 0 || k == AlongMm.Length) return DeviationMm[Math.Min(k, AlongMm.Length - 1)];
        return DeviationMm[k - 1] + (alongMm - AlongMm[k - 1]) / (AlongMm[k] - AlongMm[k - 1]) * (DeviationMm[k] - DeviationMm[k - 1]);
    }

    /// <summary>The same line, less sure: by so much as a whole, and by so much at each place, standard uncertainties, mm.</summary>
    public TracedLine LessSure(double commonMm, double placeMm = 0) => this with
    {
        CommonUMm = Joined(CommonUMm, commonMm),
        SigmaMm = [.. SigmaMm.Select(u => Joined(u, placeMm))],
        FineSigmaMm = [.. FineSigmaMm.Select(u => Joined(u, placeMm))],
    };

    /// <summary>
    /// The fit's scatter from place to place as a share of what its noise and unevenness were taken for while it was weighed against other readings, where it is better thought too wide than too narrow.
    /// From 1,600 lines of our maker and 180 of an unrelated one: 0.5 to 0.7 in the clear photos of both.
    /// </summary>
    private const double TrueScatter = 0.65;

    /// <summary>The same line with its scatter as it is; what the net says of it stays.</summary>
    internal TracedLine WithTrueScatter()
    {
        double share = 1 - (1 - TrueScatter) * (1 - (NetShare ?? 0)), square = share * share;
        if (IsFurrow || AlongMm.Length == 0) return this;
        return this with
        {
            SigmaMm = [.. SigmaMm.Select((u, i) => Less(u, i))],
            ScatterMm = [.. ScatterMm.Select(s => share * s)],
            FineSigmaMm = [.. FineSigmaMm.Select((u, k) => Less(u, Nearest(FineAlongMm[k])))],
        };

        double Less(double u, int i) => Math.Sqrt(Math.Max(square * u * u, u * u - (1 - square) * ScatterMm[i] * ScatterMm[i]));

        int Nearest(double alongMm)
        {
            int k = Array.BinarySearch(AlongMm, alongMm);
            if (k >= 0) return k;
            k = ~k;
            return k == AlongMm.Length || (k > 0 && alongMm - AlongMm[k - 1] < AlongMm[k] - alongMm) ? k - 1 : k;
        }
    }

    /// <summary>The same line, all of it moved aside, mm toward n.</summary>
    internal TracedLine Moved(double mm) => mm == 0 ? this : this with
    {
        DeviationMm = [.. DeviationMm.Select(d => d + mm)],
        FineDeviationMm = [.. FineDeviationMm.Select(d => d + mm)],
    };

    /// <summary>The same line with some of its samples only, and the fine ones near those.</summary>
    internal TracedLine Only(bool[] keep)
    {
        int[] own = [.. Enumerable.Range(0, AlongMm.Length).Where(i => keep[i])];
        if (own.Length == AlongMm.Length) return this;
        double[] kept = [.. own.Select(i => AlongMm[i])];
        int[] fine = [.. Enumerable.Range(0, FineAlongMm.Length).Where(i => IsNear(FineAlongMm[i]))];
        return this with
        {
            AlongMm = kept,
            DeviationMm = [.. own.Select(i => DeviationMm[i])],
            SigmaMm = [.. own.Select(i => SigmaMm[i])],
            ScatterMm = [.. own.Select(i => ScatterMm[i])],
            FineAlongMm = [.. fine.Select(i => FineAlongMm[i])],
            FineDeviationMm = [.. fine.Select(i => FineDeviationMm[i])],
            FineSigmaMm = [.. fine.Select(i => FineSigmaMm[i])],
            Coverage = Coverage * own.Length / AlongMm.Length,
        };

        bool IsNear(double s)
        {
            int at = Array.BinarySearch(kept, s);
            if (at >= 0) return true;
            at = ~at;
            return (at < kept.Length && kept[at] - s < 1) || (at > 0 && s - kept[at - 1] < 1);
        }
    }

    internal static double Joined(double a, double b) => Math.Sqrt(a * a + b * b);
}
