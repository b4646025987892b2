using Analyzer.Core.Geometry;
using Analyzer.Vision.Photos;
using OpenCvSharp;

namespace Analyzer.Vision.Rectification;

/// <summary>The photo for looking at at a coarser resolution than it has: smaller, or softened, so that what is finer is averaged and not skipped. Its pixels belong to the photo.</summary>
internal sealed class ReducedPhoto
{
    /// <summary>Least resolution left over by shrinking, px/mm: what the line search works at. With less, lines close together were lost on a real photo.</summary>
    public const double LeastPixelsPerMm = 6;

    /// <summary>How far beyond the block's corners is looked, mm.</summary>
    private const double BeyondMm = 8;

    /// <param name="readAtPixelsPerMm">Resolution at which it will be read.</param>
    public ReducedPhoto(Photo photo, BlockPlane plane, double readAtPixelsPerMm = LeastPixelsPerMm)
    {
        double many = plane.PixelsPerMm / LeastPixelsPerMm;
        if (many < 1.25)
        {
            Bgr = photo.Bgr;
            FromPhoto = Scaled(1, 1);
        }
        else if (many < 2)
        {
            // Shrinking by parts of a pixel is slow; softening by a pixel or so averages as much.
            Rect area = Around(photo, plane);
            var cut = new Homography([1, 0, -area.X, 0, 1, -area.Y, 0, 0, 1]);
            // Read much more coarsely than that, it is made smaller as well.
            double k = readAtPixelsPerMm < LeastPixelsPerMm ? 1 / many : 1;
            var size = new Size(Math.Max(1, (int)(area.Width * k)), Math.Max(1, (int)(area.Height * k)));
            Bgr = photo.Softened(area, size);
            FromPhoto = Scaled((double)size.Width / area.Width, (double)size.Height / area.Height).After(cut);
        }
        else
        {
            Bgr = photo.Shrunk((int)many);
            FromPhoto = Scaled(1.0 / (int)many, 1.0 / (int)many);
        }
    }

    public Mat Bgr { get; }

    /// <summary>Reduced coordinates from the photo's: pixel centres at whole numbers in both.</summary>
    public Homography FromPhoto { get; }

    private static Homography Scaled(double x, double y) => new([x, 0, 0.5 * x - 0.5, 0, y, 0.5 * y - 0.5, 0, 0, 1]);

    private static Rect Around(Photo photo, BlockPlane plane)
    {
        var (w, h) = (plane.Size.WidthMm + BeyondMm, plane.Size.HeightMm + BeyondMm);
        PhotoPoint[] corners = [.. ((BlockPoint[])[new(-BeyondMm, -BeyondMm), new(w, -BeyondMm), new(w, h), new(-BeyondMm, h)]).Select(plane.ToPhoto)];
        double At(double v, int most) => Math.Clamp(double.IsFinite(v) ? v : 0, 0, most);
        int left = (int)At(corners.Min(p => p.X), photo.WidthPx - 1), top = (int)At(corners.Min(p => p.Y), photo.HeightPx - 1);
        int right = (int)At(Math.Ceiling(corners.Max(p => p.X)) + 1, photo.WidthPx), bottom = (int)At(Math.Ceiling(corners.Max(p => p.Y)) + 1, photo.HeightPx);
        return new Rect(left, top, Math.Max(1, right - left), Math.Max(1, bottom - top));
    }
}
