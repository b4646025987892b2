using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;

namespace Analyzer.Pipeline;

/// <summary>The journey of a photo: corners, rectified block, evidence, lines, traces, deviations, report.</summary>
public sealed class BlockAnalyzer
{
    /// <summary>Measures one photo against the intended grid. A photo that cannot be measured gives an outcome with reasons, not an exception.</summary>
    public AnalysisOutcome Analyze(Photo photo, IntendedGrid grid, AnalysisSettings settings, IProgress<string>? progress = null, CancellationToken cancel = default) =>
        throw new NotImplementedException();
}
