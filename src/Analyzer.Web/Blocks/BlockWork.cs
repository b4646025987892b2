using Analyzer.Core.Geometry;
using Analyzer.Core.Report;
using Analyzer.Pipeline;
using Analyzer.Practice.Findings;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;

namespace Analyzer.Web.Blocks;

/// <summary>Marks drawn to the seam, or left where they were when it is not to be seen.</summary>
internal sealed record SnappedCorners(PhotoPoint[] Points, bool IsSeen, string Words);

/// <summary>The two pieces of work: opening a photo (read it, find the corners) and measuring it.</summary>
internal static class BlockWork
{
    /// <summary>Longer side of the picture that is shown, px.</summary>
    private const int PreviewPx = 4200;

    /// <summary>Standard uncertainty of a corner set under the magnifier, px of the photo. Common practice, no source: half a pixel by eye.</summary>
    private const double MarkedUPx = 0.5;

    public static void Open(BlockJob job, BlockRun run, LastPhoto last) => Guarded(job, run, () =>
    {
        Begin(run, "reading");
        int width, height;
        FoundBlock? found;
        Photo photo = last.Take(job.Id) ?? Read(job);
        try
        {
            run.Token.ThrowIfCancellationRequested();
            if (!File.Exists(job.PreviewPath)) WritePreview(job, photo);
            run.Token.ThrowIfCancellationRequested();
            run.Stage = "corners";
            found = CornerPreview.Find(photo, job.Choice.Grid);
            (width, height) = (photo.WidthPx, photo.HeightPx);
        }
        finally
        {
            last.Keep(job, photo);
        }
        job.Opened(run, width, height, found is null
            ? new FoundCorners(null, 0, null, ["No block with four corners was found; put the four marks on its corners yourself."])
            : new FoundCorners(found.Corners.ToArray(), found.Corners.UncertaintyPx, found.Confidence.ToString().ToLowerInvariant(), found.Doubts)
            {
                Whole = (found, job.Choice.SizeText, job.Choice.GridText),
            });
    });

    /// <param name="exact">Take marked corners as they are; otherwise they are drawn to the seam nearby.</param>
    public static void Measure(BlockJob job, BlockRun run, bool exact, LastPhoto last) => Guarded(job, run, () =>
    {
        Begin(run, "reading");
        using Photo photo = last.Take(job.Id) ?? Read(job);
        run.Token.ThrowIfCancellationRequested();
        if (!File.Exists(job.PreviewPath)) WritePreview(job, photo);
        var settings = new AnalysisSettings
        {
            GivenCorners = job.Marked is { } marked ? BlockCorners.FromArray(marked, MarkedUPx) : null,
            CornersExact = exact,
            AlreadyFound = job.Marked is null ? job.Found?.For(job.Choice) : null,
            CornerMarksExpected = job.Choice.Plan?.Plan.CornerMarks.Count > 0,
            StitchingOrder = job.Choice.Order,
        };
        AnalysisOutcome outcome = new BlockAnalyzer().Analyze(photo, job.Choice.Grid, settings, new StageNote(run), run.Token);
        if (job.Choice.Plan?.Plan is { } plan)
            outcome = outcome with { Report = outcome.Report with { Settings = FindingReader.WithSewing(outcome.Report.Settings, plan.LineOrder, plan.Backward) } };
        FoundCorners? found = outcome.Report.Block is { } block
            ? job.Found is null || (job.Marked is null && !AreShown(job.Found, block)) ? new FoundCorners([.. block.CornersPx.Select(p => new PhotoPoint(p[0], p[1]))], block.CornerUncertaintyPx, block.CornerConfidence, []) : null
            : job.Found is null ? new FoundCorners(null, 0, null, [.. outcome.Report.Reasons.Take(1).Select(r => r.Message)]) : null;
        job.Measured(run, photo.WidthPx, photo.HeightPx, outcome, found);
    });

    /// <summary>Whether the corners that were measured by are those shown: where the stitched lines asked for another one, they are not.</summary>
    internal static bool AreShown(FoundCorners shown, BlockInfo measured)
    {
        const double samePx = 1;
        return shown.Points is { } points && points.Zip(measured.CornersPx).All(x => x.First.DistanceTo(new PhotoPoint(x.Second[0], x.Second[1])) < samePx);
    }

    /// <summary>Draws marks to the seam nearby. Nothing of the block changes.</summary>
    public static SnappedCorners Snap(BlockJob job, PhotoPoint[] marked, BlockChoice choice, LastPhoto last)
    {
        FoundBlock fit;
        Photo photo = last.Take(job.Id) ?? Read(job);
        try
        {
            fit = CornerRefiner.Refine(photo, BlockCorners.FromArray(marked, MarkedUPx), choice.Grid);
        }
        finally
        {
            last.Keep(job, photo);
        }
        bool seen = fit.Confidence != CornerConfidence.Low;
        string words = seen ? "The marks were drawn to the seam nearby. Undo takes it back." : "The seam is not clear enough near these marks, so they were left where they are.";
        return new SnappedCorners(seen ? fit.Corners.ToArray() : marked, seen, words);
    }

    private static void Begin(BlockRun run, string stage)
    {
        run.HasBegun = true;
        run.Stage = stage;
    }

    private static Photo Read(BlockJob job) => PhotoReader.Read(File.ReadAllBytes(job.PhotoPath), job.FileName);

    private static void WritePreview(BlockJob job, Photo photo)
    {
        string aside = job.PreviewPath + ".part";
        // A plain photo is shown as it came in: encoding it anew would cost a quarter of a second and some of its sharpness.
        if (photo.IsUprightJpeg && Math.Max(photo.WidthPx, photo.HeightPx) <= PreviewPx) File.Copy(job.PhotoPath, aside, overwrite: true);
        else File.WriteAllBytes(aside, PhotoPreview.Jpeg(photo, PreviewPx));
        File.Move(aside, job.PreviewPath, overwrite: true);
    }

    private static void Guarded(BlockJob job, BlockRun run, Action work)
    {
        try
        {
            work();
        }
        catch (OperationCanceledException)
        {
            job.Failed(run, "Stopped.");
        }
        catch (PhotoException refusal)
        {
            job.Failed(run, refusal.Message);
        }
        catch (Exception trouble) when (trouble is OutOfMemoryException or InsufficientExecutionStackException)
        {
            job.Failed(run, "There is not enough memory for this photo; close other programs or give a smaller photo.");
        }
        catch (Exception)
        {
            job.Failed(run, "The program met trouble it was not prepared for with this photo; try again or take another photo, and please report it.");
        }
    }

    private sealed class StageNote(BlockRun run) : IProgress<string>
    {
        public void Report(string value) => run.Stage = value;
    }
}
