namespace Analyzer.Core.Deviation;

/// <summary>
/// Weights of a local parabola under the Gaussian profile filter's weight, instead of a local line: passes waves with less loss of height, for taking noise
/// out. One cut-off and one set of positions; the bell is worked out once for every whole distance, as samples mostly lie at whole millimetres.
/// </summary>
internal sealed class LocalParabola
{
    private readonly double[] _x, _share, _bell, _weights;
    private readonly double _cutOffMm;
    private int _first, _last;

    /// <param name="share">Stretch that each sample stands for (<see cref="GaussianProfileFilter.Shares"/>).</param>
    public LocalParabola(double[] alongMm, double[] share, double cutOffMm)
    {
        (_x, _share, _cutOffMm) = (alongMm, share, cutOffMm);
        _bell = [.. Enumerable.Range(0, (int)cutOffMm + 1).Select(d => Bell(d))];
        _weights = new double[alongMm.Length];
    }

    /// <summary>Weights at one position, from the given sample on; good until the next call. Positions are asked for in rising order.</summary>
    public ReadOnlySpan<double> WeightsAt(int at, out int first)
    {
        if (!(_cutOffMm > 0))
        {
            first = at;
            _weights[0] = 1;
            return _weights.AsSpan(0, 1);
        }
        double x = _x[at];
        while (_x[_first] < x - _cutOffMm) _first++;
        _last = Math.Max(_last, at);
        while (_last + 1 < _x.Length && _x[_last + 1] <= x + _cutOffMm) _last++;
        first = _first;
        Span<double> w = _weights.AsSpan(0, _last - first + 1);
        double m0 = 0, m1 = 0, m2 = 0, m3 = 0, m4 = 0;
        for (int j = 0; j < w.Length; j++)
        {
            double mm = _x[first + j] - x, d = mm / _cutOffMm, whole = Math.Abs(mm);
            double weight = w[j] = _share[first + j] * (whole == (int)whole && whole < _bell.Length ? _bell[(int)whole] : Bell(mm)), squared = d * d;
            m0 += weight;
            m1 += weight * d;
            m2 += weight * squared;
            m3 += weight * squared * d;
            m4 += weight * squared * squared;
        }
        // First row of the inverse of the 3 x 3 moment matrix, by cofactors.
        double c0 = m2 * m4 - m3 * m3, c1 = m2 * m3 - m1 * m4, c2 = m1 * m3 - m2 * m2, det = m0 * c0 + m1 * c1 + m2 * c2;
        if (w.Length < 5 || !(det > 1e-9 * m0 * m2 * m4)) return GaussianProfileFilter.Weights(_x, _share, at, _cutOffMm, first).Weights;
        for (int j = 0; j < w.Length; j++)
        {
            double d = (_x[first + j] - x) / _cutOffMm;
            w[j] *= (c0 + c1 * d + c2 * d * d) / det;
        }
        return w;
    }

    private double Bell(double mm) => Math.Exp(-Math.PI / (GaussianProfileFilter.A * GaussianProfileFilter.A) * (mm / _cutOffMm) * (mm / _cutOffMm));
}
