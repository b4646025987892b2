using Analyzer.Vision.Photos;
using OpenCvSharp;

namespace Analyzer.Vision.Rectification;

/// <summary>The photo at the resolution the search for lines needs: coarser than the original where that has more. Its pixels belong to the photo.</summary>
internal sealed class ReducedPhoto
{
    /// <summary>Least resolution left over by shrinking, px/mm: what the line search works at. With less, lines close together were lost on a real photo.</summary>
    public const double LeastPixelsPerMm = 6;

    public ReducedPhoto(Photo photo, BlockPlane plane)
    {
        double many = plane.PixelsPerMm / LeastPixelsPerMm;
        if (many < 1.25)
        {
            Scale = 1;
            Bgr = photo.Bgr;
            return;
        }
        // Whole numbers of pixels are averaged many times faster than parts of them; where that would leave too few or far too many, parts it is.
        (int parts, int of) = many < 2 ? ((int)LeastPixelsPerMm, (int)Math.Round(plane.PixelsPerMm)) : (1, (int)many);
        Bgr = photo.Shrunk(parts, of);
        Scale = (double)parts / of;
    }

    public Mat Bgr { get; }

    /// <summary>Reduced pixels per photo pixel, along x and y alike.</summary>
    public double Scale { get; } = 1;

    /// <summary>Reduced coordinates of a photo point: pixel centres at whole numbers in both.</summary>
    public (double X, double Y) FromPhoto(double x, double y) => ((x + 0.5) * Scale - 0.5, (y + 0.5) * Scale - 0.5);
}
