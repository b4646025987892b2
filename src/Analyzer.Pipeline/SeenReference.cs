using System.Globalization;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Reference;

namespace Analyzer.Pipeline;

/// <summary>What of known shape and size lies in the photo, and the photo with its lens's bend taken out where that could be measured.</summary>
/// <remarks>The stitched lines are never asked: what is to be measured must not straighten itself.</remarks>
internal sealed class SeenReference : IDisposable
{
    private readonly LensReading _lens;
    private readonly Photo _original;
    private readonly ReferenceChoice _wanted;

    private SeenReference(Photo original, Photo photo, LensReading lens, IReadOnlyDictionary<int, PhotoPoint[]> marks, ReferenceChoice wanted) =>
        (_original, Photo, _lens, Marks, _wanted) = (original, photo, lens, marks, wanted);

    /// <summary>The photo to measure in.</summary>
    public Photo Photo { get; }

    /// <summary>Printed marks by number, in that photo.</summary>
    public IReadOnlyDictionary<int, PhotoPoint[]> Marks { get; }

    private bool IsStraightened => !ReferenceEquals(_original, Photo);

    public static SeenReference Of(Photo photo, AnalysisSettings settings)
    {
        // What comes next needs nothing of this: it is begun beside it.
        if (CornerChoice.AsksForSeams(settings)) EvidenceMap.Begin(photo);
        IReadOnlyDictionary<int, PhotoPoint[]> marks = settings.Reference == ReferenceChoice.None ? new Dictionary<int, PhotoPoint[]>() : ReferenceMarks.FindAll(photo);
        LensReading lens = LensReading.Of(photo, marks);
        if (!lens.IsWorthRemoving) return new SeenReference(photo, photo, lens, marks, settings.Reference);
        Dictionary<int, PhotoPoint[]> straight = marks.ToDictionary(m => m.Key, m => m.Value.Select(lens.Lens.Straighten).ToArray());
        return new SeenReference(photo, LensReading.Straighten(photo, lens.Lens), lens, straight, settings.Reference);
    }

    public void Dispose()
    {
        if (IsStraightened) Photo.Dispose();
    }

    /// <summary>The settings for the photo to measure in: corners given in the original lie elsewhere in it, and a block found there is to be found again.</summary>
    public AnalysisSettings Straighten(AnalysisSettings settings) =>
        !IsStraightened ? settings : settings with { GivenCorners = Straighten(settings.GivenCorners), AlreadyFound = null };

    /// <summary>Corners given in the original photo, in the photo to measure in.</summary>
    private BlockCorners? Straighten(BlockCorners? given) =>
        given is null || !IsStraightened ? given : BlockCorners.FromArray([.. given.ToArray().Select(_lens.Lens.Straighten)], given.UncertaintyPx);

    /// <summary>Adds scale and lens to what is said of the block; corners are told in the original photo.</summary>
    public BlockInfo Describe(BlockInfo block, BlockCorners corners, BlockSize size)
    {
        var notes = new List<string>(block.Notes);
        ScaleCheck? scale = _wanted == ReferenceChoice.None ? null : ReferenceFinder.Check(Photo, Marks, corners, size, _wanted == ReferenceChoice.Card);
        if (scale is not null)
        {
            IReadOnlyList<string> said = scale.Notes(size);
            notes.AddRange(said);
            notes.Add(string.Create(CultureInfo.InvariantCulture,
                $"By the {scale.Reference} the block measures {scale.WidthMm:0.0} x {scale.HeightMm:0.0} mm, give or take {100 * 2 * scale.RelativeU:0.0} %; its diagonals measure {scale.FallingMm:0.0} mm and {scale.RisingMm:0.0} mm."));
            if (said.Count == 0) notes.Add("Size and squareness agree with what you gave.");
        }
        else if (_wanted is ReferenceChoice.Card or ReferenceChoice.Sheet)
        {
            notes.Add(_wanted == ReferenceChoice.Card ? "No card of 85.60 x 53.98 mm was seen beside the block; lay it flat, wholly in the picture, on a ground of another colour."
                : "The corner rule was not seen; lay it flat beside the block with its square marks uncovered.");
        }
        double left = _lens.Lens.PlaceUMm(corners, size);
        if (_lens.IsMeasured && IsStraightened)
            notes.Add(string.Create(CultureInfo.InvariantCulture, $"The lens's bend was measured on the corner rule ({100 * _lens.Lens.K:0.0} % at the photo's corner) and taken out."));
        return block with
        {
            Notes = notes,
            Scale = scale is null ? null : new ScaleInfo(scale.Reference, Round(scale.WidthMm), Round(scale.HeightMm), Round(scale.FallingMm), Round(scale.RisingMm), scale.RelativeU),
            Lens = new LensInfo(_lens.Lens.K, _lens.Lens.U, _lens.IsMeasured ? "measured" : "assumed", Round(left)),
            CornersPx = IsStraightened ? [.. corners.ToArray().Select(_lens.Lens.Bend).Select(p => new[] { Math.Round(p.X, 3), Math.Round(p.Y, 3) })] : block.CornersPx,
        };
    }

    private static double Round(double mm) => LineDeviations.Round(mm, 3);
}
