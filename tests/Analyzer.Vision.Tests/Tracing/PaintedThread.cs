namespace Analyzer.Vision.Tests.Tracing;

/// <summary>Stitches and profiles of painted threads.</summary>
internal static class PaintedThread
{
    /// <summary>Whether a stitch lies here and no gap: 2.4 mm long with gaps of a quarter, a little uneven; the phase makes lines differ.</summary>
    public static bool IsOnStitch(double alongMm, double phase = 0)
    {
        double place = (alongMm + 0.25 * Math.Sin(1.7 * alongMm + phase)) / 2.4;
        return place - Math.Floor(place) < 0.75;
    }

    public static double Bell(double u, double sdMm) => Math.Exp(-u * u / (2 * sdMm * sdMm));
}
