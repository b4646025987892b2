namespace Analyzer.Core.Deviation;

/// <summary>Closed forms for how well the centre of a thread can be found across it; all widths in pixels.</summary>
public static class LineCentreBounds
{
    /// <summary>Steger's centre offset along the normal from the derivatives at a pixel, px; null where it lies outside the pixel.</summary>
    /// <remarks>Steger 1998: n is the eigenvector of the Hessian's largest |eigenvalue|, t = -(rx nx + ry ny)/(rxx nx² + 2 rxy nx ny + ryy ny²).</remarks>
    public static (double Dx, double Dy)? StegerOffset(double rx, double ry, double rxx, double rxy, double ryy)
    {
        double mean = (rxx + ryy) / 2, half = Math.Sqrt((rxx - ryy) * (rxx - ryy) / 4 + rxy * rxy);
        double value = mean >= 0 ? mean + half : mean - half;
        double angle = Math.Abs(rxy) < 1e-300 ? (Math.Abs(rxx) >= Math.Abs(ryy) ? 0 : Math.PI / 2) : Math.Atan2(value - rxx, rxy);
        (double ny, double nx) = Math.SinCos(angle);
        double bend = rxx * nx * nx + 2 * rxy * nx * ny + ryy * ny * ny;
        if (bend == 0) return null;
        double t = -(rx * nx + ry * ny) / bend;
        return Math.Abs(t * nx) <= 0.5 && Math.Abs(t * ny) <= 0.5 ? (t * nx, t * ny) : null;
    }

    /// <summary>Scale at which the second derivative at a bar's centre is largest: w/√3 for half-width w.</summary>
    public static double BestScale(double halfWidthPx) => halfWidthPx / Math.Sqrt(3);

    /// <summary>Bias of the centre of a bar (1 inside, 0 left, a right): -(σ²/2w) ln(1 - a), px toward the brighter side.</summary>
    public static double AsymmetricBarBias(double halfWidthPx, double sigmaPx, double otherSide) =>
        -sigmaPx * sigmaPx / (2 * halfWidthPx) * Math.Log(1 - otherSide);

    /// <summary>Cramér-Rao bound of the centre of a Gaussian line of sd s over L pixels along, contrast-to-noise c/σn, px.</summary>
    public static double GaussianLine(double sdPx, double contrastToNoise, double lengthPx) =>
        Math.Sqrt(2 * sdPx / (Math.Sqrt(Math.PI) * lengthPx)) / contrastToNoise;

    /// <summary>Cramér-Rao bound of the centre of a bar of full width w blurred by sd b, px.</summary>
    public static double BlurredBar(double widthPx, double blurPx, double contrastToNoise, double lengthPx) =>
        Math.Sqrt(Math.Sqrt(Math.PI) * blurPx / (lengthPx * (1 - Math.Exp(-widthPx * widthPx / (4 * blurPx * blurPx))))) / contrastToNoise;

    /// <summary>Noise of Steger's centre at one pixel on a Gaussian line of sd s with derivatives at scale σ, px.</summary>
    public static double StegerNoise(double sdPx, double sigmaPx, double contrastToNoise) =>
        Math.Pow(sigmaPx * sigmaPx + sdPx * sdPx, 1.5) / (sdPx * sigmaPx * sigmaPx * Math.Sqrt(8 * Math.PI)) / contrastToNoise;

    /// <summary>Standard uncertainty of offset (mm) and angle (degrees) of a whole line from n independent points of sd s0 over a length.</summary>
    public static (double OffsetMm, double AngleDeg) WholeLine(int points, double pointSdMm, double lengthMm) =>
        (pointSdMm / Math.Sqrt(points), pointSdMm / lengthMm * Math.Sqrt(12.0 / points) * 180 / Math.PI);
}
