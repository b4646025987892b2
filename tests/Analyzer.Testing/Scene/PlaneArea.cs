namespace Analyzer.Testing.Scene;

/// <summary>An upright rectangle of the plane, mm.</summary>
internal readonly record struct PlaneArea(double LeftMm, double TopMm, double RightMm, double BottomMm)
{
    public double WidthMm => RightMm - LeftMm;

    public double HeightMm => BottomMm - TopMm;

    public bool Contains(double x, double y) => x >= LeftMm && x <= RightMm && y >= TopMm && y <= BottomMm;

    /// <summary>Distance outside the area (0 inside), mm.</summary>
    public double Outside(double x, double y)
    {
        double dx = Math.Max(0, Math.Max(LeftMm - x, x - RightMm)), dy = Math.Max(0, Math.Max(TopMm - y, y - BottomMm));
        return Math.Sqrt(dx * dx + dy * dy);
    }
}
