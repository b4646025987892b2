using Analyzer.Core.Geometry;

namespace Analyzer.Core.Pattern;

/// <summary>One set of parallel, evenly spaced intended lines.</summary>
/// <remarks>
/// Direction angle t in degrees, counter-clockwise as seen, 0 = horizontal. Along u = (cos t, -sin t),
/// across n = (sin t, cos t) (down for a horizontal line). Line k is n·p = n·Through + k·SpacingMm.
/// </remarks>
public sealed record LineFamily
{
    public LineFamily(double angleDeg, double spacingMm, BlockPoint through)
    {
        if (!double.IsFinite(angleDeg) || Math.Abs(angleDeg) > 180)
            throw new ArgumentOutOfRangeException(nameof(angleDeg), angleDeg, "A family's angle lies between -180 and 180 degrees.");
        if (!(spacingMm >= 2 && spacingMm <= 1500))
            throw new ArgumentOutOfRangeException(nameof(spacingMm), spacingMm, "A family's spacing lies between 2 mm and 1500 mm.");
        if (!double.IsFinite(through.Xmm) || !double.IsFinite(through.Ymm))
            throw new ArgumentOutOfRangeException(nameof(through), through, "The point a line passes through must be finite.");
        AngleDeg = angleDeg;
        SpacingMm = spacingMm;
        Through = through;
        double t = angleDeg * Math.PI / 180;
        (double sin, double cos) = Math.SinCos(t);
        AlongX = cos;
        AlongY = -sin;
        AcrossX = sin;
        AcrossY = cos;
    }

    public double AngleDeg { get; }

    public double SpacingMm { get; }

    /// <summary>A point that line 0 passes through.</summary>
    public BlockPoint Through { get; }

    /// <summary>Unit vector u along the lines.</summary>
    public double AlongX { get; }

    public double AlongY { get; }

    /// <summary>Unit vector n across the lines; deviation is positive toward it.</summary>
    public double AcrossX { get; }

    public double AcrossY { get; }

    /// <summary>u·p, mm.</summary>
    public double Along(BlockPoint p) => AlongX * p.Xmm + AlongY * p.Ymm;

    /// <summary>n·p, mm.</summary>
    public double Across(BlockPoint p) => AcrossX * p.Xmm + AcrossY * p.Ymm;

    /// <summary>The point with the given u·p and n·p.</summary>
    public BlockPoint At(double alongMm, double acrossMm) =>
        new(AlongX * alongMm + AcrossX * acrossMm, AlongY * alongMm + AcrossY * acrossMm);

    /// <summary>n·p of line k, mm.</summary>
    public double AcrossOfLine(int k) => Across(Through) + k * SpacingMm;
}
