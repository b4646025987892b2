using Analyzer.Core.Pattern;
using Analyzer.Core.Report;

namespace Analyzer.Practice.Comparing;

/// <summary>One measured line, its samples as arrays and its own straight line.</summary>
public sealed class ComparedLine
{
    /// <summary>Shortest stretch the wobble is taken over, mm.</summary>
    private const int FewestWindowSamples = 15;

    private readonly LineFamily _family;
    private readonly double[] _along, _deviation;
    private readonly Straight _straight, _smoothStraight;
    private readonly double _fromX, _fromY;
    private readonly double? _start, _end;
    private readonly double[] _smooth;

    internal ComparedLine(LineReport line, LineFamily family, int number)
    {
        Id = line.Id;
        Family = line.Family;
        Number = number;
        _family = family;
        _along = [.. line.Samples.Select(s => s.AlongMm)];
        _deviation = [.. line.Samples.Select(s => s.DeviationMm)];
        _fromX = line.FromMm[0];
        _fromY = line.FromMm[1];
        LengthMm = Math.Sqrt(Math.Pow(line.ToMm[0] - _fromX, 2) + Math.Pow(line.ToMm[1] - _fromY, 2));
        _straight = Straight.Of(_along, _deviation, 0, _along.Length);
        _smooth = LowPass.Filter(_along, _deviation, LowPass.TwoStitchesMm);
        _smoothStraight = Straight.Of(_along, _smooth, 0, _along.Length);
        BowMm = FitBow(Residuals());
        _start = line.StartOvershootMm?.Value;
        _end = line.EndOvershootMm?.Value;
    }

    public string Id { get; }

    public int Family { get; }

    internal int Number { get; }

    public double LengthMm { get; }

    public int SampleCount => _along.Length;

    public IReadOnlyList<double> AlongMm => _along;

    public IReadOnlyList<double> DeviationMm => _deviation;

    /// <summary>Signed offset of the line's middle, mm; positive toward n.</summary>
    public double SignedOffsetMm => _straight.At(LengthMm / 2);

    /// <summary>Signed slope of the line against its direction, degrees; positive when it drifts toward n.</summary>
    public double SignedAngleDeg => Math.Atan(_straight.Slope) * 180 / Math.PI;

    /// <summary>STRq of the whole line, mm, photo noise still in it.</summary>
    public double RmsMm => _straight.Rms;

    /// <summary>STRt of the whole line, mm.</summary>
    public double PeakToValleyMm => _straight.Total;

    /// <summary>Height of the arc that fits the line best, mm; positive toward n.</summary>
    public double BowMm { get; }

    /// <summary>What is left of each sample after the line's own straight line, mm.</summary>
    public double[] Residuals() => [.. _along.Select((s, i) => _deviation[i] - _straight.At(s))];

    internal double OffsetMm(PhotoError error) => error.IsWarp ? WarpedStraight(error).At(LengthMm / 2)
        : SignedOffsetMm + (error.MovesPoints ? Moved(LengthMm / 2, error) : 0);

    internal double AngleDeg(PhotoError error)
    {
        double slope = error.IsWarp ? WarpedStraight(error).Slope : _straight.Slope;
        // A projective map keeps a straight line straight, so its ends say it all; a warp bends it.
        if (error.MovesPoints && !error.IsWarp) slope += (Moved(LengthMm, error) - Moved(0, error)) / LengthMm;
        return Math.Atan(slope) * 180 / Math.PI;
    }

    /// <summary>R.m.s. wobble with the noise taken off: sqrt(STRq² - noise²), never below zero (Villarrubia 2005, Mack 2013).</summary>
    internal double WobbleMm(double noiseMm, double windowMm, PhotoError error) =>
        Math.Sqrt(Mean(windowMm, error, (whole, _) => NoiseFreeSquare(whole, noiseMm)));

    /// <summary>STRt without noise, as the report's own: the profile is low-passed at two stitches, so that noise does not make peaks, and scaled until its r.m.s. is the noise-free one.</summary>
    internal double TotalMm(double noiseMm, double windowMm, PhotoError error) =>
        Mean(windowMm, error, (whole, smooth) => smooth.Rms > 0 ? smooth.Total * Math.Sqrt(NoiseFreeSquare(whole, noiseMm)) / smooth.Rms : 0);

    private static double NoiseFreeSquare(Straight whole, double noiseMm) => Math.Max(0, whole.Rms * whole.Rms - noiseMm * noiseMm);

    /// <summary>A value of the profile and the low-passed profile, over the whole line or as the mean over equal stretches of it.</summary>
    private double Mean(double windowMm, PhotoError error, Func<Straight, Straight, double> value)
    {
        double[] whole = Warped(_deviation, error), smooth = Warped(_smooth, error);
        if (windowMm <= 0)
            return error.IsWarp ? value(Straight.Of(_along, whole, 0, whole.Length), Straight.Of(_along, smooth, 0, smooth.Length)) : value(_straight, _smoothStraight);
        double sum = 0;
        int count = 0;
        for (int from = 0; from < _along.Length;)
        {
            int to = from;
            while (to < _along.Length && _along[to] - _along[from] <= windowMm) to++;
            if (to - from < FewestWindowSamples || _along[to - 1] - _along[from] < 0.9 * windowMm) break;
            sum += value(Straight.Of(_along, whole, from, to), Straight.Of(_along, smooth, from, to));
            count++;
            from = to;
        }
        return count == 0 ? double.NaN : sum / count;
    }

    /// <summary>Share of the samples within the tolerance of the intended line, 0 to 1.</summary>
    internal double ShareWithin(double toleranceMm, PhotoError error)
    {
        double[] deviation = Warped(_deviation, error);
        bool tilts = error.MovesPoints && !error.IsWarp;
        double at0 = tilts ? Moved(0, error) : 0, slope = tilts ? (Moved(LengthMm, error) - at0) / LengthMm : 0;
        int inside = 0;
        for (int i = 0; i < _along.Length; i++)
            if (Math.Abs(deviation[i] + at0 + slope * _along[i]) <= toleranceMm) inside++;
        return (double)inside / _along.Length;
    }

    internal double OvershootMm(PhotoError error)
    {
        double start = Math.Abs((_start ?? double.NaN) - Along(0, error)), end = Math.Abs((_end ?? double.NaN) + Along(LengthMm, error));
        return double.IsNaN(start) ? end : double.IsNaN(end) ? start : (start + end) / 2;
    }

    /// <summary>The bow that an error of the photo or a warp of the cloth alone would give this line, mm.</summary>
    internal double BowOf(PhotoError error)
    {
        double[] moved = [.. _along.Select(s => Moved(s, error))];
        Straight straight = Straight.Of(_along, moved, 0, moved.Length);
        return FitBow([.. moved.Select((m, i) => m - straight.At(_along[i]))]);
    }

    /// <summary>Least squares of the residuals on 4t(1-t) - 2/3: the mean of an arc is not a bow.</summary>
    private double FitBow(double[] residuals)
    {
        double mean = 0, sxx = 0, sxy = 0;
        double Arc(int i)
        {
            double t = _along[i] / LengthMm;
            return 4 * t * (1 - t);
        }
        for (int i = 0; i < _along.Length; i++) mean += Arc(i) / _along.Length;
        for (int i = 0; i < _along.Length; i++)
        {
            double a = Arc(i) - mean;
            sxx += a * a;
            sxy += a * residuals[i];
        }
        return sxx > 0 ? sxy / sxx : 0;
    }

    private double Moved(double alongMm, PhotoError error)
    {
        (double x, double y) = error.At(_fromX + _family.AlongX * alongMm, _fromY + _family.AlongY * alongMm);
        return x * _family.AcrossX + y * _family.AcrossY;
    }

    private Straight WarpedStraight(PhotoError warp) => Straight.Of(_along, Warped(_deviation, warp), 0, _along.Length);

    private double[] Warped(double[] values, PhotoError error)
    {
        if (!error.IsWarp) return values;
        var warped = new double[values.Length];
        for (int i = 0; i < values.Length; i++) warped[i] = values[i] + Moved(_along[i], error);
        return warped;
    }

    private double Along(double alongMm, PhotoError error)
    {
        if (!error.MovesPoints) return 0;
        (double x, double y) = error.At(_fromX + _family.AlongX * alongMm, _fromY + _family.AlongY * alongMm);
        return x * _family.AlongX + y * _family.AlongY;
    }
}
