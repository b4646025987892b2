using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;

namespace Analyzer.Vision.Quality;

/// <summary>Where the camera stood, from the block's known size and the corners seen.</summary>
/// <param name="TiltDeg">Angle between the camera's axis and the block's normal, degrees.</param>
/// <param name="DistanceMm">From the lens to the block's middle, mm.</param>
/// <param name="FocalPx">Focal length in photo pixels.</param>
/// <param name="FocalIsKnown">Whether the camera noted its focal length; otherwise a phone's main camera is assumed.</param>
/// <remarks>H = K [r1 r2 t]: Zhang, IEEE PAMI 22(11), 2000, section 3.1, with square pixels and the axis in the photo's middle.</remarks>
public sealed record CameraPose(double TiltDeg, double DistanceMm, double FocalPx, bool FocalIsKnown)
{
    /// <summary>35 mm-equivalent focal length assumed where the camera noted none, mm (phones' main cameras have 23 to 28; from memory).</summary>
    public const double AssumedFocal35Mm = 26;

    /// <summary>Width of the film the equivalent refers to, mm.</summary>
    private const double FilmMm = 36;

    public static CameraPose Of(Photo photo, BlockCorners corners, BlockSize size)
    {
        double f35 = photo.Metadata.FocalLength35Mm ?? AssumedFocal35Mm;
        double f = f35 / FilmMm * Math.Max(photo.WidthPx, photo.HeightPx), cx = (photo.WidthPx - 1) / 2.0, cy = (photo.HeightPx - 1) / 2.0;
        Homography h = Homography.FromFourPoints([.. size.Corners().Select(p => (p.Xmm - size.WidthMm / 2, p.Ymm - size.HeightMm / 2))],
            [.. corners.ToArray().Select(p => ((p.X - cx) / f, (p.Y - cy) / f))]);
        IReadOnlyList<double> m = h.Rows;
        double a = Math.Sqrt(m[0] * m[0] + m[3] * m[3] + m[6] * m[6]), b = Math.Sqrt(m[1] * m[1] + m[4] * m[4] + m[7] * m[7]);
        double scale = 2 / (a + b);
        // Third axis = r1 x r2; its z component is the cosine of the tilt.
        double nx = m[3] * m[7] - m[6] * m[4], ny = m[6] * m[1] - m[0] * m[7], nz = m[0] * m[4] - m[3] * m[1];
        double tilt = Math.Acos(Math.Clamp(Math.Abs(nz) / Math.Sqrt(nx * nx + ny * ny + nz * nz), 0, 1)) * 180 / Math.PI;
        double distance = scale * Math.Sqrt(m[2] * m[2] + m[5] * m[5] + m[8] * m[8]);
        return new CameraPose(tilt, distance, f, photo.Metadata.FocalLength35Mm is not null);
    }
}
