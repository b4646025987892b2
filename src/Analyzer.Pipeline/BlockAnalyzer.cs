using System.Reflection;
using Analyzer.Core.Causes;
using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Diagnostics;
using Analyzer.Vision.Ends;
using Analyzer.Vision.Grids;
using Analyzer.Vision.Marks;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Quality;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Tracing;

namespace Analyzer.Pipeline;

/// <summary>The journey of a photo: corners, rectified plane, evidence, lines, traces, deviations, report.</summary>
public sealed class BlockAnalyzer
{
    /// <summary>So often the corners are looked for where the traced lines ask for them.</summary>
    private const int MostLooks = 3;

    private readonly StitchTracer _tracer;

    public BlockAnalyzer(StitchSettings? settings = null) => _tracer = new StitchTracer(settings);

    /// <summary>A grid to hand in where only the block's size is known; see <see cref="AnalysisSettings.GridUnknown"/>.</summary>
    public static IntendedGrid SizeOnly(BlockSize size) => UnknownGrid.Placeholder(size);

    /// <summary>Measures one photo against the intended grid. A photo that cannot be measured gives an outcome with reasons, not an exception.</summary>
    public AnalysisOutcome Analyze(Photo photo, IntendedGrid grid, AnalysisSettings settings, IProgress<string>? progress = null, CancellationToken cancel = default)
    {
        return photo.ReducedBy > 1 ? HalvedPhoto.Analyze(photo, grid, settings, AsRead) : AsRead(photo, settings);
        AnalysisOutcome AsRead(Photo seen, AnalysisSettings own) =>
            own.GridUnknown ? AnalyzeUnknown(seen, grid, own, progress, cancel) : AnalyzeKnown(seen, grid, own, progress, cancel);
    }

    /// <summary>Finds the regular grid first, measures against it, fits it again to the traced lines, and measures once more.</summary>
    private AnalysisOutcome AnalyzeUnknown(Photo photo, IntendedGrid grid, AnalysisSettings settings, IProgress<string>? progress, CancellationToken cancel)
    {
        AccuracyReport blank = Blank(photo, grid, settings) with { Lines = [], Intersections = [], Grid = new GridInfo([]) };
        using var reference = SeenReference.Of(photo, settings);
        Photo straight = reference.Photo;
        if (CornerChoice.Choose(straight, grid, reference.Straighten(settings), reference.Marks) is not { } corners)
            return new AnalysisOutcome(blank with { Outcome = Outcomes.NotMeasurable, Reasons = [Judgement.NoBlock] }, null);
        var plane = new BlockPlane(corners.Corners, grid.Size);
        blank = blank with { Block = reference.Describe(Describe(corners, plane), corners.Corners, grid.Size), Quality = PhotoQuality.Check(straight, corners.Corners, grid.Size) };
        // The stand-in pattern cannot vouch for the corners; the fitted one will, when they are looked for again with it.
        if (Judgement.BeforeMeasuring(plane, corners with { Confidence = "medium" }, straight) is { } refusal)
            return new AnalysisOutcome(blank with { Reasons = [refusal] }, Picture(straight, plane, settings));
        progress?.Report("pattern");
        if (GridSeeker.Seek(straight, plane, cancel).ToGrid(grid.Size) is not { } seen)
            return new AnalysisOutcome(blank with { Reasons = [UnknownGrid.NoGrid] }, Picture(straight, plane, settings));
        AnalysisSettings first = settings with { WithPicture = false, WithStagePictures = false };
        FittedGrid refit = UnknownGrid.Refit(AnalyzeKnown(photo, seen, first, progress, cancel).Report, seen);
        if (refit.ToGrid(grid.Size) is not { } fitted)
            return new AnalysisOutcome(blank with { Reasons = [UnknownGrid.NoGrid] }, Picture(straight, plane, settings));
        AnalysisOutcome outcome = AnalyzeKnown(photo, fitted, settings, progress, cancel);
        return outcome with
        {
            Report = outcome.Report with
            {
                GridSuggestion = outcome.Report.Outcome == Outcomes.NotMeasurable ? null : UnknownGrid.Words(refit, grid.Size),
                Settings = new Dictionary<string, string>(outcome.Report.Settings) { ["grid"] = "unknown, fitted to the lines" },
            },
        };
    }

    private AnalysisOutcome AnalyzeKnown(Photo photo, IntendedGrid grid, AnalysisSettings settings, IProgress<string>? progress, CancellationToken cancel)
    {
        var clock = new StageClock(progress);
        clock.Begin("reference");
        using var seen = SeenReference.Of(photo, settings);
        return Measure(seen, grid, seen.Straighten(settings), clock, cancel);
    }

    private AnalysisOutcome Measure(SeenReference seen, IntendedGrid grid, AnalysisSettings settings, StageClock clock, CancellationToken cancel)
    {
        Photo photo = seen.Photo;
        clock.Begin("corners");
        AccuracyReport report = Blank(photo, grid, settings);
        if (CornerChoice.Choose(photo, grid, settings, seen.Marks) is not { } corners)
            return new AnalysisOutcome(report with { Outcome = Outcomes.NotMeasurable, Reasons = [Judgement.NoBlock] }, null);
        cancel.ThrowIfCancellationRequested();

        clock.Begin("rectify");
        var plane = new BlockPlane(corners.Corners, grid.Size);
        using var beside = new WorkBeside();
        // How good the photo is, and its picture, are told beside the tracing: nothing of that waits for them.
        Task<IReadOnlyList<QualityCheck>> judged = Judged(corners);
        Task<BlockPicture?> drawn = Drawn(plane);
        report = report with { Block = seen.Describe(Describe(corners, plane), corners.Corners, grid.Size) };
        CornerChoice first = corners, settled = corners.LinesMaySettle ? corners.Settled : corners;
        if (Judgement.BeforeMeasuring(plane, settled, photo) is { } refusal)
            return new AnalysisOutcome(report with { Quality = judged.Result, Outcome = Outcomes.NotMeasurable, Reasons = [refusal] }, drawn.Result);

        var pictures = new Dictionary<string, byte[]>();
        BlockTraces traces = Traced(plane);
        bool fits = settled == corners || TracedOutline.Settles(traces, grid, corners.Found!.Sides);
        TracedCorners? elsewhere = corners is { Source: "found", Found: { } found } ? TracedCorners.Doubted(traces.Lines, grid, found.Sides) : null;
        if (elsewhere is not null && Again(elsewhere) is { } better && (fits || TracedOutline.Settles(better.Traces, grid, better.Corners.Found!.Sides)))
        {
            (corners, plane, traces) = better;
            (judged, drawn) = (Judged(corners), Drawn(plane));
        }
        else if (!fits)
        {
            return new AnalysisOutcome(report with { Quality = judged.Result, Outcome = Outcomes.NotMeasurable, Reasons = [Judgement.BeforeMeasuring(plane, corners, photo)!] }, drawn.Result);
        }
        else
        {
            corners = elsewhere is null ? settled : settled.DoubtedBy(elsewhere);
        }
        if (!ReferenceEquals(corners, first)) report = report with { Block = seen.Describe(Describe(corners, plane), corners.Corners, grid.Size) };
        if (settings.WithStagePictures) pictures["1-corners.png"] = StagePictures.Corners(photo, corners.Corners);
        clock.Begin("marks");
        // None of these needs another: each has stretches without parts, beside which the others go on. The marks make the lines less sure, and move none.
        IReadOnlyList<TracedLine?> lines = traces.Lines;
        Task<IReadOnlyList<FreeLine>> free = beside.Start(() => FreeLineFinder.Find(photo, plane, grid, traces));
        Task<IReadOnlyList<LineDetails?>> details = beside.Start(() => LineDetailReader.Read(photo, plane, grid, lines));
        Task<IReadOnlyList<TurnReport>> turns = beside.Start(() => EndsAndStitches.Turns(photo, plane, grid, lines));
        BlockMarks? marks = MarkTracer.Trace(photo, plane, grid, traces.Lines);
        BlockTraces widened = marks is null ? traces : traces with { Lines = MarkPull.Widened(traces.Lines, marks) };
        cancel.ThrowIfCancellationRequested();
        clock.Begin("deviations");
        ErrorBudget? causes = Causes(widened, grid, corners, settings);
        beside.Wait(cancel);
        IReadOnlyList<QualityCheck> quality = judged.Result;
        report = report with
        {
            Settings = new Dictionary<string, string>(report.Settings) { ["threadPlace"] = LineDeviations.PlacedBy(widened.Lines), ["threadMiddle"] = LineDeviations.MovedOntoTheMiddle(widened.Lines) },
            Quality = quality,
            Lines = [.. grid.Lines.AsParallel().AsOrdered().Select((line, i) => LineDeviations.Of(line, widened.Lines[i], grid, corners.Uncertainty, details.Result[i]))],
            ExtraLines = [.. free.Result.Select(s => new ExtraLine(LineDeviations.Round(s.From), LineDeviations.Round(s.To)))],
        };
        Dictionary<string, TraceProfile> profiles = widened.Lines.Where(LineDeviations.IsUsable).ToDictionary(t => t!.Line.Id, t => LineDeviations.Profile(t!, grid));
        report = report with { Intersections = [.. grid.Nodes.AsParallel().AsOrdered().Select(node => LineDeviations.Node(node, profiles, corners.Uncertainty))] };
        report = EndsAndStitches.AddTo(report, details.Result, grid, corners.Uncertainty);
        report = report with { Turns = turns.Result };
        if (marks is not null)
            report = MarkDeviations.AddTo(report, marks, widened.Lines, grid, corners.Uncertainty);
        report = report with { ErrorBudget = Budget(causes, widened, corners, report) };
        report = LensShare.Carry(report, report.Block?.Lens?.PlaceUMm ?? 0);
        report = Judgement.AfterMeasuring(report, widened, corners, quality);
        report = Judgement.WithGridCheck(report, widened, grid);
        report = Judgement.WithThread(report, widened, quality);
        if (!settings.GridUnknown) report = OtherGrid.AddTo(report, photo, plane, grid, cancel);
        BlockPicture? picture = drawn.Result;
        if (settings.WithStagePictures && picture is not null)
        {
            pictures["2-rectified.jpg"] = picture.Encoded;
            pictures["4-traces.png"] = StagePictures.Traces(picture, grid, report.Lines);
        }
        clock.End();
        return new AnalysisOutcome(report with { StageTimes = clock.Times }, picture) { StagePictures = pictures };

        Task<IReadOnlyList<QualityCheck>> Judged(CornerChoice at) => beside.Start(() => PhotoQuality.Check(photo, at.Corners, grid.Size));

        Task<BlockPicture?> Drawn(BlockPlane of) => beside.Start(() => Picture(photo, of, settings));

        BlockTraces Traced(BlockPlane of) => _tracer.Trace(photo, of, grid, clock.Begin, settings.WithStagePictures ? (name, bytes) => pictures[name] = bytes : null, cancel);

        // Seams where the lines ask for the corners are the block's if the lines, traced anew, ask for nothing more and are as many; a second wrong side may show only once the first is right.
        (CornerChoice Corners, BlockPlane Plane, BlockTraces Traces)? Again(TracedCorners asked)
        {
            (CornerChoice own, BlockPlane within, TracedCorners? next) = (corners, plane, asked);
            for (int look = 0; look < MostLooks && corners.Marks is null && next is not null; look++)
            {
                clock.Begin("corners");
                if (own.LookedForAgain(photo, within, grid, next, asked) is not { } other) return null;
                (own, within) = (other, new BlockPlane(other.Corners, grid.Size));
                if (Judgement.BeforeMeasuring(within, own, photo) is not null) return null;
                BlockTraces anew = Traced(within);
                next = TracedCorners.Doubted(anew.Lines, grid, own.Found!.Sides);
                if (next is null) return anew.Lines.Count(l => l is not null) >= traces.Lines.Count(l => l is not null) ? (own, within, anew) : null;
            }
            return null;
        }
    }

    /// <summary>Where the squared deviation comes from.</summary>
    private static ErrorBudget? Causes(BlockTraces traces, IntendedGrid grid, CornerChoice corners, AnalysisSettings settings)
    {
        TracedLine[] usable = Usable(traces);
        double[] stitches = [.. usable.Where(t => t.StitchLengthMm is not null).Select(t => t.StitchLengthMm!.Value).Order()];
        var wanted = new CauseSettings
        {
            CornerUMm = corners.Uncertainty.TypicalMm,
            StitchLengthMm = stitches.Length > 0 ? stitches[stitches.Length / 2] : 2.3,
            StitchedOrder = settings.StitchingOrder ?? [],
        };
        return CauseAnalysis.Split(grid, [.. usable.Select(t => LineDeviations.SampleProfile(t, grid))], wanted);
    }

    private static TracedLine[] Usable(BlockTraces traces) => [.. traces.Lines.Where(t => LineDeviations.IsUsable(t) && t!.AlongMm.Length >= 12).Select(t => t!)];

    /// <summary>The causes, and what the photo itself adds.</summary>
    private static ErrorBudget? Budget(ErrorBudget? budget, BlockTraces traces, CornerChoice corners, AccuracyReport report)
    {
        if (budget is null) return null;
        TracedLine[] usable = Usable(traces);
        double[] shape = [.. report.Lines.Where(l => l.OffsetShapeUMm is not null).Select(l => l.OffsetShapeUMm!.Value).Order()];
        return budget with
        {
            PlaceUMm = new Dictionary<string, double>
            {
                ["corners"] = LineDeviations.Round(corners.Uncertainty.TypicalMm),
                ["thread"] = LineDeviations.Round(usable.Select(t => t.CommonUMm).DefaultIfEmpty(0).Average()),
            },
            ShapeUMm = shape.Length == 0 ? null : shape[shape.Length / 2],
        };
    }

    private static BlockPicture? Picture(Photo photo, BlockPlane plane, AnalysisSettings settings) =>
        settings.WithPicture || settings.WithStagePictures ? RectifiedPicture.Of(photo, plane) : null;

    private static AccuracyReport Blank(Photo photo, IntendedGrid grid, AnalysisSettings settings) => new()
    {
        Outcome = Outcomes.NotMeasurable,
        Photo = new PhotoInfo(photo.FileName, photo.WidthPx, photo.HeightPx, photo.Sha256)
        {
            TakenOn = photo.Metadata.TakenOn,
            Camera = photo.Metadata.Camera,
            FocalLengthMm = photo.Metadata.FocalLengthMm,
            FocalLength35Mm = photo.Metadata.FocalLength35Mm,
        },
        Grid = new GridInfo([.. grid.Families.Select((f, i) => new FamilyInfo(i, f.AngleDeg, f.SpacingMm, [f.Through.Xmm, f.Through.Ymm]))]),
        Lines = [.. grid.Lines.Select(line => LineDeviations.Of(line, null, grid, CornerUncertainty.OfMillimetres(grid.Size, 0)))],
        Intersections = [.. grid.Nodes.Select(node => LineDeviations.Node(node, new Dictionary<string, TraceProfile>(), CornerUncertainty.OfMillimetres(grid.Size, 0)))],
        Software = new SoftwareInfo(typeof(BlockAnalyzer).Assembly.GetCustomAttribute<AssemblyInformationalVersionAttribute>()?.InformationalVersion.Split('+')[0] ?? "0"),
        Settings = new Dictionary<string, string>
        {
            ["corners"] = settings.GivenCorners is null ? "auto" : settings.CornersExact ? "given, exact" : "given",
            ["referenceLine"] = "least squares (ISO 12780-1 LSLI)",
        },
    };

    private static BlockInfo Describe(CornerChoice corners, BlockPlane plane) => new(
        plane.Size.WidthMm, plane.Size.HeightMm,
        [.. corners.Corners.ToArray().Select(p => new[] { Math.Round(p.X, 3), Math.Round(p.Y, 3) })],
        corners.Source, Math.Round(corners.Corners.UncertaintyPx, 3), Math.Round(plane.PixelsPerMm, 3))
    {
        CornerConfidence = corners.Confidence,
        CornerMarks = corners.Marks,
        Notes = [.. corners.Doubts.Select(d => $"About the corners: {d}.")],
    };
}

/// <summary>The three outcomes of report.json.</summary>
public static class Outcomes
{
    public const string Measured = "measured", WithCautions = "measured-with-cautions", NotMeasurable = "not-measurable";
}
