using System.Threading.Channels;

namespace Analyzer.Web.Blocks;

/// <summary>Does one piece of work at a time; a few may wait, more are refused.</summary>
internal sealed class WorkQueue : IAsyncDisposable
{
    private readonly Channel<(BlockRun Run, Action Work)> _waiting;
    private readonly CancellationTokenSource _stop = new();
    private readonly Task _worker;
    private long _added, _begun;

    public WorkQueue(int mostWaiting)
    {
        _waiting = Channel.CreateBounded<(BlockRun, Action)>(new BoundedChannelOptions(mostWaiting) { SingleReader = true });
        _worker = Task.Factory.StartNew(Work, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        MostWaiting = mostWaiting;
    }

    public int MostWaiting { get; }

    /// <summary>How many wait behind the one being done.</summary>
    public int Length => _waiting.Reader.Count;

    public bool HasRoom => _waiting.Reader.Count < MostWaiting;

    /// <summary>False when too many are waiting already.</summary>
    public bool TryAdd(BlockRun run, Action work)
    {
        lock (_waiting)
        {
            if (!_waiting.Writer.TryWrite((run, work))) return false;
            run.Ticket = ++_added;
            return true;
        }
    }

    /// <summary>How many are to be done before this one, the one being done now included.</summary>
    public long Before(BlockRun run) => Math.Max(0, run.Ticket - Interlocked.Read(ref _begun));

    public bool IsStopping => _stop.IsCancellationRequested;

    public void StopAll() => _stop.Cancel();

    private void Work()
    {
        try
        {
            while (_waiting.Reader.WaitToReadAsync(_stop.Token).AsTask().GetAwaiter().GetResult())
            {
                while (!_stop.IsCancellationRequested && _waiting.Reader.TryRead(out (BlockRun Run, Action Work) next))
                {
                    Interlocked.Increment(ref _begun);
                    using CancellationTokenRegistration link = _stop.Token.Register(next.Run.Cancel);
                    if (!next.Run.Token.IsCancellationRequested) next.Work();
                }
                if (_stop.IsCancellationRequested) return;
            }
        }
        catch (OperationCanceledException)
        {
            // The workbench closes.
        }
    }

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        _waiting.Writer.TryComplete();
        await _worker.WaitAsync(TimeSpan.FromSeconds(20)).ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        _stop.Dispose();
    }
}
