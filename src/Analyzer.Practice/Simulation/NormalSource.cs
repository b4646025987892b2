namespace Analyzer.Practice.Simulation;

/// <summary>Seeded normal deviates (polar method, Marsaglia and Bray 1964).</summary>
internal sealed class NormalSource
{
    private readonly Random _random;
    private double _spare = double.NaN;

    public NormalSource(int seed) => _random = new Random(seed);

    public double Uniform() => _random.NextDouble();

    public double Next()
    {
        if (!double.IsNaN(_spare))
        {
            double kept = _spare;
            _spare = double.NaN;
            return kept;
        }
        double u, v, s;
        do
        {
            u = 2 * _random.NextDouble() - 1;
            v = 2 * _random.NextDouble() - 1;
            s = u * u + v * v;
        }
        while (s >= 1 || s == 0);
        double factor = Math.Sqrt(-2 * Math.Log(s) / s);
        _spare = v * factor;
        return u * factor;
    }
}
