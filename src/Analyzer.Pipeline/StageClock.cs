using System.Diagnostics;
using Analyzer.Core.Report;

namespace Analyzer.Pipeline;

/// <summary>Wall time of each stage, of all its turns together, and word of it to whoever waits.</summary>
internal sealed class StageClock(IProgress<string>? progress)
{
    private readonly List<StageTime> _times = [];
    private readonly Stopwatch _watch = new();
    private string? _stage;

    public IReadOnlyList<StageTime> Times => _times;

    public void Begin(string stage)
    {
        End();
        _stage = stage;
        progress?.Report(stage);
        _watch.Restart();
    }

    public void End()
    {
        if (_stage is not null)
        {
            int before = _times.FindIndex(t => t.Stage == _stage);
            double milliseconds = Math.Round(_watch.Elapsed.TotalMilliseconds, 1);
            if (before < 0) _times.Add(new StageTime(_stage, milliseconds));
            else _times[before] = _times[before] with { Milliseconds = Math.Round(_times[before].Milliseconds + milliseconds, 1) };
        }
        _stage = null;
    }
}
