namespace Analyzer.Core.Deviation;

/// <summary>Which distance a least-squares line makes small.</summary>
public enum LineFitKind
{
    /// <summary>Distance measured across the along-axis: ordinary regression of deviation on position. The default.</summary>
    Vertical,

    /// <summary>Distance measured normal to the fitted line: the formal LSLI of ISO 12780-1.</summary>
    Orthogonal,
}

/// <summary>Least-squares reference line of a profile, mm.</summary>
/// <remarks>
/// ISO 12780-1 (LSLI): the line with the least sum of squared local deviations. At the slopes of stitched lines (under 3 degrees)
/// both kinds agree within 0.2 % of the deviation; the vertical one is used because its covariance is known (JCGM 100, H.3).
/// </remarks>
public readonly record struct LeastSquaresLine(LineFitKind Kind, double CentreAlongMm, double CentreDeviationMm, double AngleRad)
{
    /// <summary>Rise per unit along, mm/mm.</summary>
    public double Slope => Math.Tan(AngleRad);

    /// <summary>Value of the line at along = 0, mm.</summary>
    public double InterceptMm => At(0);

    /// <summary>Height of the line at a position along, mm.</summary>
    public double At(double alongMm) => CentreDeviationMm + Slope * (alongMm - CentreAlongMm);

    /// <summary>Signed local deviation of a point from the line, mm, across the axis or normal to the line by <see cref="Kind"/>.</summary>
    public double LocalDeviationMm(double alongMm, double deviationMm)
    {
        double vertical = deviationMm - At(alongMm);
        return Kind == LineFitKind.Vertical ? vertical : vertical * Math.Cos(AngleRad);
    }

    /// <summary>Fits a profile. Weights, where given, multiply the squared distances.</summary>
    /// <exception cref="ArgumentException">Fewer than two positions, or lists of different length.</exception>
    public static LeastSquaresLine Fit(
        IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, LineFitKind kind = LineFitKind.Vertical, IReadOnlyList<double>? weights = null)
    {
        ProfileCheck.SameLength(alongMm, deviationMm, weights);
        double sw = 0, mx = 0, my = 0;
        for (int i = 0; i < alongMm.Count; i++)
        {
            double w = weights?[i] ?? 1;
            sw += w;
            mx += w * alongMm[i];
            my += w * deviationMm[i];
        }
        mx /= sw;
        my /= sw;
        double sxx = 0, sxy = 0, syy = 0;
        for (int i = 0; i < alongMm.Count; i++)
        {
            double w = weights?[i] ?? 1, dx = alongMm[i] - mx, dy = deviationMm[i] - my;
            sxx += w * dx * dx;
            sxy += w * dx * dy;
            syy += w * dy * dy;
        }
        if (!(sxx > 0)) throw new ArgumentException("A line needs samples at two positions or more.", nameof(alongMm));
        double angle = kind == LineFitKind.Vertical ? Math.Atan(sxy / sxx) : 0.5 * Math.Atan2(2 * sxy, sxx - syy);
        return new LeastSquaresLine(kind, mx, my, angle);
    }
}
