namespace Analyzer.Testing.Noise;

/// <summary>A small random source whose sequence depends on the seed alone, not on the runtime's version (SplitMix64).</summary>
public sealed class SeededRandom
{
    private ulong _state;

    public SeededRandom(int seed, string purpose = "")
    {
        _state = unchecked((ulong)seed * 0x9E3779B97F4A7C15UL + 0x632BE59BD9B4E019UL);
        foreach (char c in purpose) _state = unchecked((_state ^ c) * 0x100000001B3UL);
        NextBits();
    }

    /// <summary>Uniform in [0, 1).</summary>
    public double NextDouble() => (NextBits() >> 11) * (1.0 / (1UL << 53));

    public double Uniform(double low, double high) => low + (high - low) * NextDouble();

    /// <summary>Uniform integer in [0, count).</summary>
    public int Below(int count) => (int)(NextDouble() * count);

    public bool Chance(double probability) => NextDouble() < probability;

    /// <summary>Normal deviate with mean 0 and standard deviation 1 (Box-Muller).</summary>
    public double Gaussian() =>
        Math.Sqrt(-2 * Math.Log(1 - NextDouble())) * Math.Cos(2 * Math.PI * NextDouble());

    public double Sign() => Chance(0.5) ? 1 : -1;

    public T Pick<T>(params IReadOnlyList<T> items) => items[Below(items.Count)];

    public uint NextSeed() => (uint)(NextBits() >> 32);

    private ulong NextBits()
    {
        unchecked
        {
            ulong z = _state += 0x9E3779B97F4A7C15UL;
            z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9UL;
            z = (z ^ (z >> 27)) * 0x94D049BB133111EBUL;
            return z ^ (z >> 31);
        }
    }
}
