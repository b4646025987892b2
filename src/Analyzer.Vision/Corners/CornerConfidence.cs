namespace Analyzer.Vision.Corners;

/// <summary>How sure the finder is that these four corners are the block's.</summary>
public enum CornerConfidence
{
    /// <summary>Ask: show the picture and let the maker put the corners right.</summary>
    Low,

    /// <summary>Use, and say so.</summary>
    Medium,

    High,
}
