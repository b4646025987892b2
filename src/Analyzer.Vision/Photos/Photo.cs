using OpenCvSharp;

namespace Analyzer.Vision.Photos;

/// <summary>Pixels of one photo, upright and in sRGB, with what the camera noted. Made by <see cref="PhotoReader"/>.</summary>
public sealed class Photo : IDisposable
{
    internal Photo(Mat bgr, string fileName, string sha256, PhotoMetadata metadata, byte[]? halvedFile = null)
    {
        _file = halvedFile;
        Bgr = bgr;
        FileName = fileName;
        Sha256 = sha256;
        Metadata = metadata;
    }

    public string FileName { get; }

    /// <summary>SHA-256 of the file's bytes, lower-case hexadecimal.</summary>
    public string Sha256 { get; }

    public PhotoMetadata Metadata { get; }

    /// <summary>2 where a large photo was read at half size, otherwise 1. Photo pixel x of the file lies at (x + 0.5) / 2 - 0.5 then.</summary>
    public int ReducedBy => _file is null ? 1 : 2;

    /// <summary>Size of the upright photo as the file holds it, px.</summary>
    public int FileWidthPx => WidthPx * ReducedBy;

    public int FileHeightPx => HeightPx * ReducedBy;

    /// <summary>The same photo at its full size, for a photo that was read at half size.</summary>
    public Photo Whole() => _file is null ? throw new InvalidOperationException("This photo is whole already.") : PhotoReader.Read(_file, FileName);

    /// <summary>The file's bytes, kept while only the half is read.</summary>
    private readonly byte[]? _file;

    public int WidthPx => Bgr.Cols;

    public int HeightPx => Bgr.Rows;

    /// <summary>Blue, green, red, 8 bits each.</summary>
    internal Mat Bgr { get; }

    /// <summary>The photo shrunk to the given size by averaging areas. The last size asked for is kept: several stages look at the same one.</summary>
    internal Mat Shrunk(Size size)
    {
        if (_shrunk is not null && _shrunk.Size() == size) return _shrunk;
        _shrunk?.Dispose();
        _shrunk = new Mat();
        Cv2.Resize(Bgr, _shrunk, size, 0, 0, InterpolationFlags.Area);
        return _shrunk;
    }

    private Mat? _shrunk;

    public void Dispose()
    {
        _shrunk?.Dispose();
        Bgr.Dispose();
    }
}
