using Analyzer.Practice.Log;

namespace Analyzer.Web.Practice;

/// <summary>The practice log as the pages use it: opened for each request, so that other windows and the commands may use it meanwhile.</summary>
internal sealed class LogDesk(string? path)
{
    private readonly Lock _gate = new();

    public string Path { get; } = path ?? PracticeLog.DefaultPath;

    public bool Exists => File.Exists(Path);

    /// <summary>The answer, or the type's empty value where no log has been begun yet.</summary>
    public T? Read<T>(Func<PracticeLog, T> work)
    {
        if (!Exists) return default;
        lock (_gate)
        {
            using PracticeLog log = PracticeLog.Open(Path);
            return work(log);
        }
    }

    /// <summary>Opens the log, beginning one where there is none.</summary>
    public T Write<T>(Func<PracticeLog, T> work)
    {
        lock (_gate)
        {
            using PracticeLog log = PracticeLog.Open(Path);
            return work(log);
        }
    }
}
