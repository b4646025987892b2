using Analyzer.Core.Geometry;
using Analyzer.Vision.Corners;

namespace Analyzer.Pipeline;

/// <summary>How one photo is to be measured.</summary>
public sealed record AnalysisSettings
{
    /// <summary>Corners given by the user, or null to find them.</summary>
    public BlockCorners? GivenCorners { get; init; }

    /// <summary>Corners that were found already, in this very photo and for this very grid; they are not looked for again.</summary>
    public FoundBlock? AlreadyFound { get; init; }

    /// <summary>True: given corners are used as they are. False: marks that miss the seam are drawn to it.</summary>
    public bool CornersExact { get; init; }

    /// <summary>Quarter turns clockwise by which the block's own top is turned in the photo: 0, 90, 180 or 270.</summary>
    public int TurnDeg { get; init; }

    /// <summary>Which reference of known size to look for beside the block.</summary>
    public ReferenceChoice Reference { get; init; } = ReferenceChoice.Auto;

    /// <summary>The plan says that its template bears corner marks: when they are not seen, the report says so.</summary>
    public bool CornerMarksExpected { get; init; }

    /// <summary>Whether one picture per stage is wanted.</summary>
    public bool WithStagePictures { get; init; }

    /// <summary>Whether a picture of the rectified block is wanted.</summary>
    public bool WithPicture { get; init; } = true;

    /// <summary>The pattern is not known: the grid given tells the block's size only, and the lines are measured against the regular grid they fit best.</summary>
    public bool GridUnknown { get; init; }

    /// <summary>Order in which the lines were stitched (line ids), when a plan tells it.</summary>
    public IReadOnlyList<string>? StitchingOrder { get; init; }
}

/// <summary>References of known size beside the block.</summary>
public enum ReferenceChoice
{
    /// <summary>Printed marks, which are quick to find: the corner rule and a template's corner marks.</summary>
    Auto,

    /// <summary>The corner rule only.</summary>
    Sheet,

    /// <summary>Printed marks, else a bank-card sized card.</summary>
    Card,

    None,
}
