using Analyzer.Core.Pattern;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Reference;

namespace Analyzer.Pipeline;

/// <summary>The corners that measuring would go by, for showing them before anything is measured.</summary>
public static class CornerPreview
{
    /// <summary>By a template's corner marks where they are seen, else by the seam; null where no block is found.</summary>
    public static FoundBlock? Find(Photo photo, IntendedGrid grid) =>
        CornerChoice.Choose(photo, grid, new AnalysisSettings(), ReferenceMarks.FindAll(photo))?.Found;
}
