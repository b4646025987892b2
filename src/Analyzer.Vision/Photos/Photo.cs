using Analyzer.Vision.Corners;
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
    /// The photo shrunk to one of so many parts of its width and height by averaging areas; pixels left over at the right and at the bottom are cut off.
    /// It is kept: several stages look at the same one, some of them at the same time.
    /// </summary>
    internal Mat Shrunk(int of)
    {
        lock (_shrunk)
        {
            if (!_shrunk.TryGetValue(of, out Mat? shrunk)) _shrunk[of] = shrunk = Shrink(of);
            return shrunk;
        }
    }

    private Mat Shrink(int of)
    {
        int cols = Math.Max(1, Bgr.Cols / of), rows = Math.Max(1, Bgr.Rows / of);
        var shrunk = new Mat(rows, cols, Bgr.Type());
        // Bands begin at whole pixels of both pictures, so each is shrunk as if alone.
        const int bandRows = 64;
        Parallel.For(0, (rows + bandRows - 1) / bandRows, k =>
        {
            int from = k * bandRows, to = Math.Min(rows, from + bandRows);
            using Mat source = Bgr[Math.Min(from * of, Bgr.Rows - 1), Math.Min(to * of, Bgr.Rows), 0, Math.Min(cols * of, Bgr.Cols)];
            using Mat target = shrunk[from, to, 0, shrunk.Cols];
            Cv2.Resize(source, target, target.Size(), 0, 0, InterpolationFlags.Area);
        });
        return shrunk;
    }

    /// <summary>A part of the photo with every pixel averaged with its neighbours, 1 2 1 each way; then made smaller, if wanted, between whole pixels. It is kept.</summary>
    internal Mat Softened(Rect area, Size size)
    {
        if (_softened.TryGetValue((area, size), out Mat? known)) return known;
        if (size != area.Size)
        {
            var smaller = new Mat();
            Cv2.Resize(Softened(area, area.Size), smaller, size);
            return _softened[(area, size)] = smaller;
        }
        var softened = new Mat(area.Height, area.Width, Bgr.Type());
        const int bandRows = 128;
        Parallel.For(0, (area.Height + bandRows - 1) / bandRows, k =>
        {
            int from = k * bandRows, rows = Math.Min(bandRows, area.Height - from);
            // Pixels beyond the band are looked at where the photo has them.
            using Mat source = Bgr[new Rect(area.X, area.Y + from, area.Width, rows)];
            using Mat target = softened[from, from + rows, 0, area.Width];
            Cv2.GaussianBlur(source, target, new Size(3, 3), 0);
        });
        return _softened[(area, size)] = softened;
    }

    private readonly Dictionary<(Rect Area, Size Size), Mat> _softened = [];

    private readonly Dictionary<int, Mat> _shrunk = [];

    /// <summary>What the whole photo shows of seams, where its making was begun early; given away once.</summary>
    internal Task<EvidenceMap>? Evidence { get; set; }

    public void Dispose()
    {
        // Whoever makes it reads these pixels.
        if (Evidence is not null) ((IAsyncResult)Evidence).AsyncWaitHandle.WaitOne();
        foreach (Mat shrunk in _shrunk.Values) shrunk.Dispose();
        foreach (Mat softened in _softened.Values) softened.Dispose();
        Bgr.Dispose();
        NativeHeap.PhotoIsDone();
    }
}
