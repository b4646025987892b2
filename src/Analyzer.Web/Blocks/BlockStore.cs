namespace Analyzer.Web.Blocks;

/// <summary>The blocks at hand, a bounded number; the oldest that is not being worked on makes room.</summary>
internal sealed class BlockStore(int most)
{
    private readonly Lock _gate = new();
    private readonly List<BlockJob> _jobs = [];

    /// <summary>False when every place is taken by a block that is being worked on.</summary>
    public bool TryAdd(BlockJob job)
    {
        BlockJob? gone = null;
        lock (_gate)
        {
            if (_jobs.Count >= most)
            {
                gone = _jobs.Find(j => !j.IsBusy);
                if (gone is null) return false;
                _jobs.Remove(gone);
            }
            _jobs.Add(job);
        }
        gone?.Forget();
        return true;
    }

    /// <summary>All blocks, the newest first.</summary>
    public IReadOnlyList<BlockJob> All()
    {
        lock (_gate) return [.. _jobs.AsEnumerable().Reverse()];
    }

    public BlockJob? Find(string? id)
    {
        lock (_gate) return _jobs.Find(job => job.Id == id);
    }

    public void Remove(BlockJob job)
    {
        lock (_gate) _jobs.Remove(job);
        job.Forget();
    }
}
