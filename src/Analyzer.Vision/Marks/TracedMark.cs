namespace Analyzer.Vision.Marks;

/// <summary>The drawn mark of one intended line, where it could be followed.</summary>
public sealed record TracedMark
{
    public required string LineId { get; init; }

    /// <summary>Positions along the intended line, mm.</summary>
    public required double[] AlongMm { get; init; }

    /// <summary>Mark's centre less intended line, mm, positive toward n.</summary>
    public required double[] DeviationMm { get; init; }

    /// <summary>Standard uncertainty of each deviation without the corners' share, mm.</summary>
    public required double[] SigmaMm { get; init; }

    /// <summary>Distance over which the errors of neighbouring samples hang together, mm.</summary>
    public required double CorrelationMm { get; init; }

    /// <summary>Standard uncertainty common to the whole mark (its edges are not cut with a knife), mm.</summary>
    public required double CommonUMm { get; init; }
}

/// <summary>All drawn marks of one block: one kind of mark, one colour and width.</summary>
/// <param name="WidthMm">Width of the drawn line, mm, to about a quarter of a millimetre.</param>
/// <param name="Strength">Colour difference from the cloth, in levels of the 8-bit photo.</param>
public sealed record BlockMarks(IReadOnlyList<TracedMark> Marks, double WidthMm, double Strength);
