using Analyzer.Core.Report;

namespace Analyzer.Pipeline;

/// <summary>What one measurement gives: the report, and the rectified block as a picture where it was wanted and possible.</summary>
public sealed record AnalysisOutcome(AccuracyReport Report, BlockPicture? Picture)
{
    /// <summary>One picture per stage by file name, where they were asked for.</summary>
    public IReadOnlyDictionary<string, byte[]> StagePictures { get; init; } = new Dictionary<string, byte[]>();
}
