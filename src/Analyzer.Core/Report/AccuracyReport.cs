using Analyzer.Core.Geometry;

namespace Analyzer.Core.Report;

/// <summary>A value with its standard uncertainty u (JCGM 100), both in the unit the property's name carries. Null where not known.</summary>
public sealed record MeasuredValue(double? Value, double? U)
{
    public static MeasuredValue Unknown { get; } = new(null, null);
}

/// <summary>report.json, schema "stitch-accuracy-report/1": everything one measurement has to say.</summary>
public sealed record AccuracyReport
{
    public const string SchemaName = "stitch-accuracy-report/1";

    public string Schema { get; init; } = SchemaName;

    /// <summary>"measured", "measured-with-cautions" or "not-measurable".</summary>
    public required string Outcome { get; init; }

    public IReadOnlyList<Reason> Reasons { get; init; } = [];

    public PhotoInfo? Photo { get; init; }

    public BlockInfo? Block { get; init; }

    public GridInfo? Grid { get; init; }

    public IReadOnlyList<LineReport> Lines { get; init; } = [];

    public IReadOnlyList<IntersectionReport> Intersections { get; init; } = [];

    public IReadOnlyList<ExtraLine> ExtraLines { get; init; } = [];

    /// <summary>Bounces at the ditch: places where one intended line comes in and another goes out. Empty where the pattern has none.</summary>
    public IReadOnlyList<TurnReport> Turns { get; init; } = [];

    /// <summary>Where the squared deviation comes from, and what limits the numbers. Null when nothing was measured.</summary>
    public ErrorBudget? ErrorBudget { get; init; }

    /// <summary>Everything needed to repeat the run, as name and value texts.</summary>
    public IReadOnlyDictionary<string, string> Settings { get; init; } = new Dictionary<string, string>();

    public SoftwareInfo Software { get; init; } = new("0.0.0");

    /// <summary>Photo quality, each with value, limit and advice.</summary>
    public IReadOnlyList<QualityCheck> Quality { get; init; } = [];

    /// <summary>Drawn marks traced as lines of their own, where visible.</summary>
    public IReadOnlyList<MarkReport> Marks { get; init; } = [];

    /// <summary>How much of the deviation was drawn already, and how closely the thread keeps to the marks; null where no marks show.</summary>
    public MarkingSplit? Marking { get; init; }

    /// <summary>The regular grid that the found lines fit best, when it differs from the intended one.</summary>
    public GridSuggestion? GridSuggestion { get; init; }

    /// <summary>Several photos of this block taken together, in the report that pools them; otherwise null.</summary>
    public RepeatReport? Repeats { get; init; }

    /// <summary>Wall time of each stage, milliseconds.</summary>
    public IReadOnlyList<StageTime> StageTimes { get; init; } = [];
}

/// <summary>Why a photo cannot be measured, or a caution: a stable code, one sentence, and what to do.</summary>
public sealed record Reason(string Code, string Message, string Advice);

public sealed record PhotoInfo(string File, int WidthPx, int HeightPx, string Sha256)
{
    public string? TakenOn { get; init; }

    public string? Camera { get; init; }

    public double? FocalLengthMm { get; init; }

    public double? FocalLength35Mm { get; init; }
}

/// <param name="CornersPx">Top-left, top-right, bottom-right, bottom-left, [x, y] each.</param>
/// <param name="CornerSource">"given" or "found".</param>
public sealed record BlockInfo(
    double WidthMm, double HeightMm, IReadOnlyList<double[]> CornersPx, string CornerSource, double CornerUncertaintyPx, double PixelsPerMm)
{
    /// <summary>"high", "medium" or "low", for found corners.</summary>
    public string? CornerConfidence { get; init; }

    /// <summary>Numbers of the template's corner marks that gave the corners; null where the corners came without them.</summary>
    public IReadOnlyList<int>? CornerMarks { get; init; }

    /// <summary>Findings on scale and squareness in plain words.</summary>
    public IReadOnlyList<string> Notes { get; init; } = [];

    /// <summary>The block's size by a reference lying beside it, where one was seen.</summary>
    public ScaleInfo? Scale { get; init; }

    /// <summary>What is known of the lens.</summary>
    public LensInfo? Lens { get; init; }
}

/// <summary>Size and diagonals by a reference of known size.</summary>
/// <param name="Reference">"corner rule" or "card".</param>
/// <param name="FallingMm">Diagonal from top left to bottom right, mm.</param>
/// <param name="RisingMm">Diagonal from bottom left to top right, mm.</param>
/// <param name="RelativeU">Standard uncertainty of the lengths, as a share.</param>
public sealed record ScaleInfo(string Reference, double WidthMm, double HeightMm, double FallingMm, double RisingMm, double RelativeU);

/// <summary>The lens's radial bend: seen = middle + (true - middle)(1 + k (r/R)²), R half the photo's diagonal.</summary>
/// <param name="Source">"measured" on a straight reference in the photo and taken out, or "assumed": its bound is in the uncertainty only.</param>
/// <param name="PlaceUMm">Standard uncertainty of place that is left in the block, r.m.s. mm.</param>
public sealed record LensInfo(double K, double U, string Source, double PlaceUMm);

public sealed record GridInfo(IReadOnlyList<FamilyInfo> Families);

public sealed record FamilyInfo(int Family, double AngleDeg, double SpacingMm, double[] ThroughMm);

public sealed record LineReport
{
    public required string Id { get; init; }

    public required int Family { get; init; }

    public required int Index { get; init; }

    public required double[] FromMm { get; init; }

    public required double[] ToMm { get; init; }

    /// <summary>"measured", "partial", "not-found" or "unreadable".</summary>
    public required string Status { get; init; }

    public double Coverage { get; init; }

    public MeasuredValue OffsetMm { get; init; } = MeasuredValue.Unknown;

    public MeasuredValue AngleDeg { get; init; } = MeasuredValue.Unknown;

    public MeasuredValue StraightnessTotalMm { get; init; } = MeasuredValue.Unknown;

    public MeasuredValue StraightnessRmsMm { get; init; } = MeasuredValue.Unknown;

    public IReadOnlyList<LineSample> Samples { get; init; } = [];

    /// <summary>u of offset and angle without the corners' share: what counts for shape.</summary>
    public double? OffsetShapeUMm { get; init; }

    public double? AngleShapeUDeg { get; init; }

    /// <summary>Mean stitch length and spread (one standard deviation), where it can be resolved.</summary>
    public MeasuredValue? StitchLengthMm { get; init; }

    public double? StitchLengthSpreadMm { get; init; }

    public double? StitchLengthSpreadUMm { get; init; }

    /// <summary>25.4 mm over the mean stitch length, with its u.</summary>
    public MeasuredValue? StitchesPerInch { get; init; }

    /// <summary>Thread's end beyond (+) or short of (-) the ditch at the line's start and end, mm.</summary>
    public MeasuredValue? StartOvershootMm { get; init; }

    public MeasuredValue? EndOvershootMm { get; init; }

    /// <summary>Wobble r.m.s. by band of wavelength, mm: long (20 to 60 mm), middle (8 to 20 mm), short (two stitches to 8 mm).</summary>
    public IReadOnlyList<double>? WobbleBandsMm { get; init; }

    /// <summary>Remarks in plain words.</summary>
    public IReadOnlyList<string> Notes { get; init; } = [];
}

public sealed record LineSample(double AlongMm, double DeviationMm, double U);

public sealed record IntersectionReport
{
    public required string Id { get; init; }

    public required IReadOnlyList<string> LineIds { get; init; }

    public required double[] IntendedMm { get; init; }

    /// <summary>Mean of the pairwise crossings, null when none was measured.</summary>
    public double[]? StitchedMm { get; init; }

    public MeasuredValue RadialMm { get; init; } = MeasuredValue.Unknown;

    public IReadOnlyList<Crossing> Crossings { get; init; } = [];

    /// <summary>Three families: largest distance between two of the pairwise crossings.</summary>
    public MeasuredValue? MissTriangleMm { get; init; }
}

public sealed record Crossing(IReadOnlyList<string> LineIds, double[] AtMm);

/// <summary>How far the corner of one bounce at the ditch was rounded.</summary>
/// <param name="LineIds">The line coming in and the line going out; which is which cannot be seen.</param>
/// <param name="IntendedMm">Where both meet the block's edge by the pattern.</param>
/// <param name="CutOffMm">Distance from where the two straight runs would meet to the thread, along their bisector; 0 for a sharp corner. Null where it was not seen.</param>
/// <param name="RadiusMm">Radius of the circle that touches both runs and is cut off by so much.</param>
public sealed record TurnReport(IReadOnlyList<string> LineIds, double[] IntendedMm, MeasuredValue CutOffMm, MeasuredValue RadiusMm)
{
    /// <summary>Where the two straight runs as sewn would meet, mm.</summary>
    public double[]? MeetingMm { get; init; }
}

public sealed record ExtraLine(double[] FromMm, double[] ToMm);

/// <summary>Shares of the squared deviation, each in percent with an interval, and the photo's own limits in mm.</summary>
public sealed record ErrorBudget
{
    /// <summary>Causes of the deviation; the percentages add up to 100.</summary>
    public IReadOnlyList<CauseShare> Causes { get; init; } = [];

    /// <summary>Root mean square deviation of all samples, mm.</summary>
    public double? TotalRmsMm { get; init; }

    /// <summary>Standard uncertainty of place from each photo effect, mm: corners, lens, loft, resolution, thread.</summary>
    public IReadOnlyDictionary<string, double> PlaceUMm { get; init; } = new Dictionary<string, double>();

    /// <summary>Standard uncertainty of shape (wobble) from the photo, mm.</summary>
    public double? ShapeUMm { get; init; }

    /// <summary>Root mean square of the part that is shared out among the causes, mm: without noise, corners and what is shorter than two stitches.</summary>
    public double? CountedRmsMm { get; init; }

    /// <summary>Measuring noise taken out, r.m.s. mm.</summary>
    public double? NoiseRmsMm { get; init; }

    /// <summary>Deviation put down to uncertain corners and not counted, r.m.s. mm; null when corners were taken as exact.</summary>
    public double? CornerRmsMm { get; init; }

    /// <summary>Remarks in plain words: the last family's aim at the crossings, and whether later lines are worse.</summary>
    public IReadOnlyList<string> Remarks { get; init; } = [];
}

/// <param name="Cause">Stable code: "distortion", "placement", "rotation", "bow", "wobble-long", "wobble-middle", "wobble-short", "aim".</param>
/// <param name="Percent">Share of the mean squared deviation.</param>
public sealed record CauseShare(string Cause, double Percent, double LowPercent, double HighPercent, double RmsMm, string PlainWords);

/// <param name="Level">"good", "fair" or "poor".</param>
public sealed record QualityCheck(string Name, double Value, double Limit, string Unit, string Level, string Advice);

/// <summary>A drawn mark traced like a line: error of marking is mark against grid, error of stitching is thread against mark.</summary>
/// <param name="MarkOffsetMm">Mark's own straight line against the intended line at mid-length.</param>
/// <param name="StitchAgainstMarkMm">Mean signed distance of the thread from the mark, positive toward the family's n.</param>
public sealed record MarkReport(string LineId, IReadOnlyList<LineSample> Samples, MeasuredValue MarkOffsetMm, MeasuredValue MarkAngleDeg, MeasuredValue StitchAgainstMarkMm)
{
    /// <summary>Root mean square distance of the mark from the intended line, and of the thread from the mark; noise taken out.</summary>
    public double? MarkRmsMm { get; init; }

    public double? StitchAgainstMarkRmsMm { get; init; }
}

/// <summary>Error of marking (mark against grid) and error of stitching (thread against mark), over all lines with a mark.</summary>
/// <param name="ThreadRmsMm">Root mean square distance of the thread from the intended lines, on the same places.</param>
/// <param name="PlainWords">One sentence for the quilter, in mm.</param>
public sealed record MarkingSplit(int Lines, MeasuredValue MarkRmsMm, MeasuredValue StitchAgainstMarkRmsMm, double ThreadRmsMm, string PlainWords)
{
    /// <summary>True where the marks were farther off than the stitching from them.</summary>
    public bool MarkingIsMain => MarkRmsMm.Value > StitchAgainstMarkRmsMm.Value;

    /// <summary>Width of the drawn line, mm, to about a quarter of a millimetre.</summary>
    public double? MarkWidthMm { get; init; }
}

/// <param name="CommandOptions">The options of measure that say this grid.</param>
public sealed record GridSuggestion(IReadOnlyList<FamilyInfo> Families, string Message, string CommandOptions)
{
    /// <summary>The whole call, ready to be copied, where it is known how the photo was named.</summary>
    public string? Command { get; init; }
}

public sealed record StageTime(string Stage, double Milliseconds);

public sealed record SoftwareInfo(string Version);
