using System.Runtime.CompilerServices;

namespace Analyzer.Vision.Corners;

/// <summary>Mean energy along very many courses of a band: the band is cut into short stretches, in which a course is straight, and the sums of all straight pieces are worked out once.</summary>
/// <remarks>Places are rounded as for a single course; the slope within a stretch to <see cref="SlopeStepMm"/> at the stretch's ends.</remarks>
internal sealed class CourseSums
{
    private const int Stretches = 8;

    private const double SlopeStepMm = 0.15;

    private readonly int _across, _slopes, _count;
    private readonly double _centre, _perMm, _perSlope;
    private readonly double[] _middle = new double[Stretches];
    private readonly float[][] _sums = new float[Stretches][];

    /// <param name="energy">Energy at every position and place across, position by position.</param>
    /// <param name="at">Positions looked at, in order, and where they lie on the side from -1 to 1.</param>
    /// <param name="mostSlope">Largest change of a course's offset along the side, mm for a step of 1 in s.</param>
    public CourseSums(float[] energy, int across, double acrossStepMm, int[] at, double[] s, double mostSlope)
    {
        _across = across;
        _count = at.Length;
        _centre = (_across - 1) / 2.0;
        _perMm = 1 / acrossStepMm;
        double half = (s[^1] - s[0]) / (2 * Stretches);
        _perSlope = half / SlopeStepMm;
        int reach = (int)Math.Ceiling(mostSlope * _perSlope);
        _slopes = 2 * reach + 1;
        for (int g = 0; g < Stretches; g++)
        {
            int from = at.Length * g / Stretches, to = at.Length * (g + 1) / Stretches;
            _middle[g] = from < to ? (s[from] + s[to - 1]) / 2 : 0;
            _sums[g] = new float[_slopes * _across];
            for (int k = from; k < to; k++) Add(_sums[g], energy.AsSpan(at[k] * _across, _across), (s[k] - _middle[g]) / _perSlope * _perMm, reach);
        }
    }

    /// <summary>Adds one position's energy to the pieces of every slope and place.</summary>
    private void Add(float[] sums, ReadOnlySpan<float> energy, double perSlope, int reach)
    {
        for (int slope = -reach; slope <= reach; slope++)
        {
            int shift = (int)Math.Round(slope * perSlope), from = Math.Max(0, -shift), to = Math.Min(_across, _across - shift), row = (slope + reach) * _across;
            for (int a = from; a < to; a++) sums[row + a] += energy[a + shift];
        }
    }

    /// <summary>Mean energy along the course c0 + c1·s + c2·(s² - 1/3), mm.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public float Along(double c0, double c1, double c2)
    {
        float sum = 0;
        double start = _centre + _perMm * (c0 - c2 / 3) + 0.5, first = c1 * _perSlope + (_slopes / 2) + 0.5, second = 2 * c2 * _perSlope;
        c1 *= _perMm;
        c2 *= _perMm;
        for (int g = 0; g < Stretches; g++)
        {
            double s = _middle[g];
            int a = (int)(start + s * (c1 + c2 * s)), slope = (int)(first + second * s);
            if ((uint)a < (uint)_across && (uint)slope < (uint)_slopes) sum += _sums[g][slope * _across + a];
        }
        return sum / _count;
    }
}
