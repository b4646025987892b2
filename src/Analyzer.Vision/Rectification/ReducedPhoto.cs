using Analyzer.Vision.Photos;
using OpenCvSharp;

namespace Analyzer.Vision.Rectification;

/// <summary>The photo at the resolution the search for lines needs: coarser than the original where that has more. Its pixels belong to the photo.</summary>
internal sealed class ReducedPhoto
{
    /// <summary>Resolution the line search works at, px/mm.</summary>
    public const double WantedPixelsPerMm = 6;

    public ReducedPhoto(Photo photo, BlockPlane plane)
    {
        double factor = WantedPixelsPerMm / plane.PixelsPerMm;
        if (factor > 0.8)
        {
            Scale = 1;
            Bgr = photo.Bgr;
            return;
        }
        var size = new Size(Math.Max(1, (int)Math.Round(photo.WidthPx * factor)), Math.Max(1, (int)Math.Round(photo.HeightPx * factor)));
        Bgr = photo.Shrunk(size);
        Scale = (double)size.Width / photo.WidthPx;
        ScaleY = (double)size.Height / photo.HeightPx;
    }

    public Mat Bgr { get; }

    /// <summary>Reduced pixels per photo pixel, along x and y.</summary>
    public double Scale { get; } = 1;

    public double ScaleY { get; } = 1;

    /// <summary>Reduced coordinates of a photo point: pixel centres at whole numbers in both.</summary>
    public (double X, double Y) FromPhoto(double x, double y) => ((x + 0.5) * Scale - 0.5, (y + 0.5) * ScaleY - 0.5);
}
