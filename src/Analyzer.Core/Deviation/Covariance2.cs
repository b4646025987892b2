namespace Analyzer.Core.Deviation;

/// <summary>Covariance of a point in the block, mm².</summary>
public readonly record struct Covariance2(double Xx, double Xy, double Yy)
{
    public double Trace => Xx + Yy;

    /// <summary>Variance along the unit vector (ex, ey).</summary>
    public double Along(double ex, double ey) => ex * ex * Xx + 2 * ex * ey * Xy + ey * ey * Yy;

    public Covariance2 Plus(Covariance2 other) => new(Xx + other.Xx, Xy + other.Xy, Yy + other.Yy);

    /// <summary>Variance contributed by one parameter that moves the point by (dx, dy) per unit.</summary>
    public static Covariance2 Outer(double dx, double dy, double variance) => new(dx * dx * variance, dx * dy * variance, dy * dy * variance);
}
