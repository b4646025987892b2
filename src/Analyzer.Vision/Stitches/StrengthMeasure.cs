namespace Analyzer.Vision.Stitches;

/// <summary>One number for how much an answer of the ridge filter looks like the thread sought: along one colour direction, or whatever the colour.</summary>
/// <remarks>The weights are those of blue, green and red, so that no place has to be turned into opponent channels first.</remarks>
internal readonly struct StrengthMeasure
{
    private readonly bool _any;
    private readonly float _b, _g, _r, _bb, _gg, _rr, _bg, _br, _gr;

    private StrengthMeasure(float b, float g, float r) => (_b, _g, _r) = (b, g, r);

    private StrengthMeasure(float bb, float gg, float rr, float bg, float br, float gr)
    {
        _any = true;
        (_bb, _gg, _rr, _bg, _br, _gr) = (bb, gg, rr, bg, br, gr);
    }

    /// <summary>q·v for a direction in opponent channels.</summary>
    public static StrengthMeasure Along(Colour3 q)
    {
        (double b, double g, double r) = q.AsBgrWeights();
        return new StrengthMeasure((float)b, (float)g, (float)r);
    }

    /// <summary>√(vᵀΣ⁻¹v): noise units whatever the colour.</summary>
    public static StrengthMeasure AnyColour(ColourCovariance noise)
    {
        // The quadratic form on blue, green and red, from its values on unit vectors and their sums.
        double Q(double b, double g, double r) => noise.SquaredDistance(Colour3.OfBgr(b, g, r));
        double bb = Q(1, 0, 0), gg = Q(0, 1, 0), rr = Q(0, 0, 1);
        return new StrengthMeasure((float)bb, (float)gg, (float)rr, (float)(Q(1, 1, 0) - bb - gg), (float)(Q(1, 0, 1) - bb - rr), (float)(Q(0, 1, 1) - gg - rr));
    }

    /// <summary>The same measure in units of the given strength.</summary>
    public StrengthMeasure Over(double usual)
    {
        float k = (float)(1 / usual);
        return _any ? new StrengthMeasure(k * k * _bb, k * k * _gg, k * k * _rr, k * k * _bg, k * k * _br, k * k * _gr) : new StrengthMeasure(k * _b, k * _g, k * _r);
    }

    public float Of(float b, float g, float r) => _any
        ? MathF.Sqrt(MathF.Max(0, b * (_bb * b + _bg * g + _br * r) + g * (_gg * g + _gr * r) + _rr * r * r))
        : _b * b + _g * g + _r * r;

    public double Of(Colour3 v)
    {
        (double b, double g, double r) = v.ToBgr();
        return Of((float)b, (float)g, (float)r);
    }
}
