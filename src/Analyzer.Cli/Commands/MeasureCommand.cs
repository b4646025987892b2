using System.Diagnostics;
using Analyzer.Cli.Shell;
using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Vision.Photos;

namespace Analyzer.Cli.Commands;

/// <summary>The main job: a photo of a practice block in, a deviation report out.</summary>
internal sealed class MeasureCommand : ICommand
{
    public string Name => "measure";

    public string Summary => "Measures a photo of a practice block and writes the report.";

    public string Help => $"""
        measure PHOTO --size SIZE --grid NAME:SPACE --out FOLDER
        Measures how far the stitched lines of a practice block lie from the lines you meant to stitch.
        Several photos may be named; each gets its own folder inside FOLDER. When they show the same block, FOLDER also
        gets repeats.html and report.json: the photos taken together, how well a photo repeats, and the smallest
        change that counts.

        What was meant to be stitched
        {GridOptions.Help.TrimEnd()}
          --grid unknown     not sure any more? The lines are measured against the regular pattern they fit
                             best, and the report says which one that is

        Where the block lies in the photo
          --corners auto     the program finds the corners itself (the default)
          --corners "x,y x,y x,y x,y"   the corners of the stitched ditch in pixels of the upright photo: top left,
                             top right, bottom right, bottom left
          --corners-exact    take the given corners exactly as they are; corners with decimals
                             always are, whole pixels are drawn to a clear seam nearby
          --turn DEGREES     0, 90, 180 or 270: how far the block's own top is turned clockwise in the photo

        What tells the true size
          --reference auto   looks for the printed corner rule (see reference-sheet) and for a template's corner marks
                             (see plan --corner-marks); the default
          --reference card   looks for a bank-card sized card (85.60 x 53.98 mm) lying flat beside the block as well
          --reference sheet  the corner rule must be there; the report says when it is not
          --reference none   looks for nothing

        What is written
          --out FOLDER       report.html, report.json, lines.csv, intersections.csv and overlay.png
          --no-pictures      only report.json, lines.csv and intersections.csv (quicker)
          --units mm|in      units of the texts (those of --size or of the plan); report.json and the tables are always in mm
          --stages FOLDER    one picture of each stage of the work

        Ends with 0 when the block was measured, 2 when something about the call is wrong, 3 when the photo
        cannot be measured (the report then says why and what to do).

        Examples
          measure block.jpg --size 8in --grid triangle:1in --out my-report
          measure block.jpg --size "8in x 6in" --grid diamond:1in --corners "412,318 3580,402 3522,2711 366,2650" --out my-report
          measure one.jpg two.jpg three.jpg --size 8in --grid square:1in --out three-photos
          measure block.jpg --plan my-plan/plan.json --out my-report
        """;

    public int Run(IReadOnlyList<string> words, Terminal terminal, CancellationToken cancel)
    {
        MeasureOptions options = MeasureOptions.Parse(words);
        OutputFolder output = OutputFolder.Prepare("--out", options.OutFolder);
        OutputFolder? stages = options.StagesFolder is { } folder ? OutputFolder.Prepare("--stages", folder) : null;
        try
        {
            return options.Photos.Count == 1
                ? Measure(options.Photos[0], output.Path, options, terminal, cancel)
                : MeasureEach(options, terminal, cancel);
        }
        finally
        {
            // Whatever was made and stayed empty goes again.
            output.Undo();
            stages?.Undo();
        }
    }

    /// <summary>One photo after the other; trouble with one is told and does not keep the others from being measured.</summary>
    private static int MeasureEach(MeasureOptions options, Terminal terminal, CancellationToken cancel)
    {
        int worst = ExitCodes.Done;
        var reports = new List<AccuracyReport>();
        var used = new HashSet<string>(StringComparer.OrdinalIgnoreCase);
        foreach (string photo in options.Photos)
        {
            string name = Path.GetFileNameWithoutExtension(photo), free = name;
            for (int n = 2; !used.Add(free); n++) free = $"{name}-{n}";
            string folder = Path.Combine(options.OutFolder, free);
            MeasureOptions own = options.StagesFolder is { } stages ? options with { StagesFolder = Path.Combine(stages, free) } : options;
            try
            {
                worst = Math.Max(worst, Measure(photo, folder, own, terminal, cancel, reports.Add));
            }
            catch (UserErrorException trouble)
            {
                terminal.Error.WriteLine(trouble.Message);
                worst = Math.Max(worst, trouble.ExitCode);
            }
            terminal.Out.WriteLine();
        }
        MeasureRepeats.Tell(reports, options.OutFolder, terminal, cancel);
        return worst;
    }

    private static int Measure(string path, string folder, MeasureOptions options, Terminal terminal, CancellationToken cancel, Action<AccuracyReport>? keep = null)
    {
        var clock = Stopwatch.StartNew();
        IProgress<string>? progress = terminal.IsInteractive ? new ProgressLines(terminal) : null;
        progress?.Report("Reading the photo");
        using Photo photo = Read(path);
        double readMs = clock.Elapsed.TotalMilliseconds;
        cancel.ThrowIfCancellationRequested();
        if (options.Corners is { } corners) MeasureCorners.CheckInside(corners, photo.FileWidthPx, photo.FileHeightPx);
        var settings = new AnalysisSettings
        {
            GivenCorners = options.Corners,
            CornersExact = options.CornersExact,
            TurnDeg = options.TurnDeg,
            Reference = options.Reference,
            CornerMarksExpected = options.CornerMarksExpected,
            WithStagePictures = options.StagesFolder is not null,
            WithPicture = options.WithPictures,
            StitchingOrder = options.StitchingOrder,
            GridUnknown = options.GridUnknown,
        };
        AnalysisOutcome outcome = new BlockAnalyzer().Analyze(photo, options.Grid, settings, progress, cancel);
        AccuracyReport report = outcome.Report with
        {
            StageTimes = [new StageTime("read photo", readMs), .. outcome.Report.StageTimes],
            Settings = new Dictionary<string, string>(outcome.Report.Settings) { ["command"] = $"measure {Path.GetFileName(path)} {options.Typed}" },
        };
        report = report with { Settings = Practice.Findings.FindingReader.WithSewing(report.Settings, options.StitchingOrder, options.Backward) };
        report = WithWholeCommand(report, path, options);
        cancel.ThrowIfCancellationRequested();
        if (options.StagesFolder is { } stages) MeasureFiles.Write(stages, outcome.StagePictures, cancel);
        progress?.Report("Writing the report");
        var writing = Stopwatch.StartNew();
        string page = MeasureFiles.Write(folder, report, outcome.Picture, options, cancel);
        report = report with { StageTimes = [.. report.StageTimes, new StageTime("write report", writing.Elapsed.TotalMilliseconds)] };
        keep?.Invoke(report);
        Tell(report, photo.FileName, page, clock.Elapsed.TotalMilliseconds, options, terminal);
        return report.Outcome == "not-measurable" ? ExitCodes.NotMeasurable : ExitCodes.Done;
    }

    /// <summary>Where another grid is suggested, the whole call that measures against it takes the place of the options alone.</summary>
    private static AccuracyReport WithWholeCommand(AccuracyReport report, string path, MeasureOptions options)
    {
        if (report.GridSuggestion is not { } suggestion) return report;
        string again = options.Again(path, suggestion.CommandOptions);
        return report with
        {
            GridSuggestion = suggestion with { Command = again },
            Reasons = [.. report.Reasons.Select(r => r.Code is "other-grid" or "grid-moved" ? r with { Advice = r.Advice.Replace(suggestion.CommandOptions, again, StringComparison.Ordinal) } : r)],
        };
    }

    private static Photo Read(string path)
    {
        try
        {
            return PhotoReader.Read(path, PhotoReader.HalveFromPixels);
        }
        catch (PhotoException refusal)
        {
            throw new UserErrorException(refusal.Message, inner: refusal);
        }
    }

    private static void Tell(AccuracyReport report, string name, string page, double totalMs, MeasureOptions options, Terminal terminal)
    {
        report = ReportSentences.In(report, options.Inches);
        if (report.Outcome == "not-measurable")
        {
            terminal.Error.WriteLine($"{name} cannot be measured:");
            foreach (string reason in MeasureText.Cautions(report)) terminal.Error.WriteLine(reason);
            terminal.Out.WriteLine($"Why and what to do: {page}");
            return;
        }
        terminal.Out.WriteLine(name);
        foreach (string line in MeasureText.Headline(report, options.Inches)) terminal.Out.WriteLine("  " + line);
        if (report.Block?.Scale is not null || report.Block?.Lens?.Source == "measured")
        {
            terminal.Out.WriteLine("Size and lens");
            foreach (string note in MeasureText.SizeNotes(report)) terminal.Out.WriteLine("  " + note);
        }
        if (report.Reasons.Count > 0)
        {
            terminal.Out.WriteLine("Cautions");
            foreach (string caution in MeasureText.Cautions(report)) terminal.Out.WriteLine(caution);
        }
        terminal.Out.WriteLine("Time");
        foreach (string row in MeasureText.Times(report, totalMs)) terminal.Out.WriteLine(row);
        terminal.Out.WriteLine($"Report: {page}");
    }

    /// <summary>Says each step once, at once and in order.</summary>
    private sealed class ProgressLines(Terminal terminal) : IProgress<string>
    {
        public void Report(string value) => terminal.Error.WriteLine(value.TrimEnd('.', ' ') + " ...");
    }
}
