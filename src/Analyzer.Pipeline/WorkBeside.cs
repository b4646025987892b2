namespace Analyzer.Pipeline;

/// <summary>Work that goes on beside the rest and reads the photo. Leaving it waits for all of it, even when the rest is to stop: the photo is given back to the system then.</summary>
internal sealed class WorkBeside : IDisposable
{
    private readonly List<Task> _all = [];

    public Task<T> Start<T>(Func<T> work)
    {
        Task<T> task = Task.Run(work);
        _all.Add(task);
        return task;
    }

    public void Wait(CancellationToken cancel) => Task.WaitAll([.. _all], cancel);

    public void Dispose()
    {
        // Waited for, and no more: what went wrong in it is told where its result is asked for.
        ((IAsyncResult)Task.WhenAll(_all)).AsyncWaitHandle.WaitOne();
    }
}
