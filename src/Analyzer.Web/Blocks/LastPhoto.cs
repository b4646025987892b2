using Analyzer.Vision.Photos;

namespace Analyzer.Web.Blocks;

/// <summary>The photo decoded last, kept since measuring mostly follows opening at once. One only, and no large one.</summary>
/// <remarks>Whoever takes it owns it until it is given back, so no two pieces of work ever hold the same pixels.</remarks>
internal sealed class LastPhoto : IDisposable
{
    /// <summary>More than this is not kept: 24 million pixels take 72 MB.</summary>
    private const long MostPixels = 24_000_000;

    private readonly Lock _gate = new();
    private Photo? _photo;
    private string? _blockId;
    private bool _closed;

    /// <summary>The photo of this block, now the caller's to dispose of or to keep again; null where it is not here.</summary>
    public Photo? Take(string blockId)
    {
        lock (_gate)
        {
            if (_blockId != blockId) return null;
            Photo? photo = _photo;
            (_photo, _blockId) = (null, null);
            return photo;
        }
    }

    /// <summary>Takes the photo over; the one kept before goes.</summary>
    public void Keep(BlockJob job, Photo photo)
    {
        Photo? gone = photo;
        lock (_gate)
        {
            if (!_closed && !job.IsForgotten && (long)photo.WidthPx * photo.HeightPx <= MostPixels)
            {
                gone = _photo;
                (_photo, _blockId) = (photo, job.Id);
            }
        }
        gone?.Dispose();
    }

    public void Drop(string blockId) => Take(blockId)?.Dispose();

    public void Dispose()
    {
        lock (_gate)
        {
            _photo?.Dispose();
            (_photo, _blockId, _closed) = (null, null, true);
        }
    }
}
