using Analyzer.Testing.Colour;

namespace Analyzer.Testing.Scene;

/// <summary>A thing lying on cloth or table: colour and cover (0 to 1) at a point, within a circle about its centre; and its soft shadow.</summary>
internal sealed class OverlayItem
{
    public required double CentreX { get; init; }

    public required double CentreY { get; init; }

    public required double ReachMm { get; init; }

    /// <summary>Signed distance from the outline in the plane, mm, negative inside.</summary>
    public required Func<double, double, double> Outside { get; init; }

    public required Func<double, double, LinearRgb> Colour { get; init; }

    /// <summary>Share of what lies below that is hidden: a clear ruler hides little.</summary>
    public float Opacity { get; init; } = 1;

    /// <summary>Length of the shadow it throws, mm.</summary>
    public double ShadowMm { get; init; } = 2.5;

    public LinearRgb Apply(LinearRgb below, double x, double y, double lightX, double lightY)
    {
        double dx = x - CentreX, dy = y - CentreY;
        if (dx * dx + dy * dy > (ReachMm + 10) * (ReachMm + 10)) return below;
        double shadow = Outside(x + lightX * ShadowMm * 0.7, y + lightY * ShadowMm * 0.7);
        if (shadow < ShadowMm) below *= (float)(1 - 0.45 * Opacity * Math.Clamp((ShadowMm - shadow) / (2 * ShadowMm), 0, 1));
        double outside = Outside(x, y);
        float cover = (float)Math.Clamp(0.5 - outside / 0.15, 0, 1);
        if (cover <= 0) return below;
        LinearRgb own = Colour(x, y);
        return LinearRgb.Mix(below, own, cover * Opacity);
    }
}
