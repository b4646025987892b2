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

    /// <summary>Whether the file is a JPEG that any browser shows as these pixels: not turned by its EXIF note, not CMYK, read in whole.</summary>
    public bool IsUprightJpeg { get; internal init; }

    public int WidthPx => Bgr.Cols;

    public int HeightPx => Bgr.Rows;

    /// <summary>Blue, green, red, 8 bits each.</summary>
    internal Mat Bgr { get; }

    /// <summary>
    /// The photo shrunk to so many parts of its width and height (2 of 3, 1 of 2) by averaging areas; pixels left over at the right and at the bottom are cut
    /// off. The last one asked for is kept: several stages look at the same one.
    /// </summary>
    internal Mat Shrunk(int parts, int of)
    {
        if (_shrunk is not null && _shrunkTo == (parts, of)) return _shrunk;
        _shrunk?.Dispose();
        int cols = Math.Max(1, Bgr.Cols / of), rows = Math.Max(1, Bgr.Rows / of);
        var shrunk = new Mat(rows * parts, cols * parts, Bgr.Type());
        // Bands begin at whole pixels of both pictures, so each is shrunk as if alone.
        const int bandRows = 64;
        Parallel.For(0, (rows + bandRows - 1) / bandRows, k =>
        {
            int from = k * bandRows, to = Math.Min(rows, from + bandRows);
            using Mat source = Bgr[Math.Min(from * of, Bgr.Rows - 1), Math.Min(to * of, Bgr.Rows), 0, Math.Min(cols * of, Bgr.Cols)];
            using Mat target = shrunk[from * parts, to * parts, 0, shrunk.Cols];
            Cv2.Resize(source, target, target.Size(), 0, 0, InterpolationFlags.Area);
        });
        (_shrunk, _shrunkTo) = (shrunk, (parts, of));
        return shrunk;
    }

    private (int Parts, int Of) _shrunkTo;

    private Mat? _shrunk;

    public void Dispose()
    {
        _shrunk?.Dispose();
        Bgr.Dispose();
    }
}
