namespace Analyzer.Vision.Tracing;

/// <summary>
/// Under low side light a line is a furrow: a lit flank, the thread, a shadow, together more telling than the thread alone. Its whole profile is nearly the same
/// along all lines of one family, so the lines can be followed by it, whatever part of it stands out most at a place.
/// </summary>
/// <param name="Profile">Mean profile about the followed centre, one entry a step of the strip, level and slope taken off.</param>
/// <param name="LeftShare">Share of the profiles' energy that the mean profile does not explain, median over the places.</param>
internal sealed record FurrowProfile(double[] Profile, double LeftShare)
{
    /// <summary>Places on either side of the middle: the same window as the thread's own fit.</summary>
    public const int Half = TemplateRows.Half;

    private const int Length = 2 * Half + 1;

    /// <summary>Strip steps from one place to the next, and averaged at each.</summary>
    private const int Stride = 4, Averaged = 8;

    /// <summary>A line on which the common profile leaves more than this share unexplained, and much more than on the others, does not lie in it.</summary>
    private const double WorstLeft = 0.25;

    /// <summary>How far beside the strip's middle the furrow is looked for, in steps across.</summary>
    private const int Reach = 20;

    /// <summary>Follows all strips of one family by their common profile; the centres (mm beside the strip's middle) are moved in place.</summary>
    public static FurrowProfile? Follow(IReadOnlyList<ProjectedStrip> strips, double[][] centres)
    {
        Rows[] rows = [.. strips.Select(s => new Rows(s))];
        double[][] before = [.. centres.Select(c => (double[])c.Clone())];
        for (int round = 0; round < 3; round++)
        {
            if (Learn(rows, centres) is not { } known) return null;
            Parallel.For(0, rows.Length, k => rows[k].Follow(known, centres[k]));
        }
        if (Learn(rows, centres) is not { } last) return null;
        // A line that fits the common profile much worse than the rest was led astray: it stays where it was.
        for (int k = 0; k < rows.Length; k++)
            if (rows[k].LeftShare(last, centres[k]) > Math.Max(WorstLeft, 4 * last.LeftShare)) before[k].CopyTo(centres[k], 0);
        return last;
    }

    /// <summary>The common profile about the given centres; null where too little is free of other lines.</summary>
    public static FurrowProfile? Of(IReadOnlyList<ProjectedStrip> strips, double[][] centres) => Learn([.. strips.Select(s => new Rows(s))], centres);

    /// <summary>The profile without its slope and level at the places of the window, as the fit's two first columns.</summary>
    public (double[] Shape, double[] Slope) Columns()
    {
        double peak = Math.Max(1e-9, Profile.Max() - Profile.Min());
        double[] shape = [.. Profile.Select(p => p / peak)], slope = new double[Length];
        for (int j = 0; j < Length; j++)
        {
            int a = Math.Max(0, j - 1), b = Math.Min(Length - 1, j + 1);
            slope[j] = (shape[b] - shape[a]) / ((b - a) * ThreadStrip.AcrossStepMm);
        }
        return (shape, slope);
    }

    private static FurrowProfile? Learn(Rows[] rows, double[][] centres)
    {
        var all = new List<double[]>();
        for (int k = 0; k < rows.Length; k++)
            for (int i = 0; i < rows[k].Count; i++)
                if (rows[k].IsFree(i) && rows[k].At(i, centres[k][Math.Min(centres[k].Length - 1, i * Stride)]) is { } p) all.Add(p);
        if (all.Count < 60) return null;
        var mean = new double[Length];
        var column = new double[all.Count];
        for (int j = 0; j < Length; j++)
        {
            for (int i = 0; i < column.Length; i++) column[i] = all[i][j];
            Array.Sort(column);
            int cut = column.Length / 4;
            mean[j] = column.AsSpan(cut, column.Length - 2 * cut).ToArray().Average();
        }
        double[] left = [.. all.Select(p => Left(p, mean) / Math.Max(1e-9, Energy(p)))];
        return new FurrowProfile(mean, UpperMedian.Of(left));
    }

    private static double Energy(double[] p)
    {
        double sum = 0;
        foreach (double x in p) sum += x * x;
        return sum;
    }

    /// <summary>What is left of a profile when the mean one, as strong as it may well be, is taken off.</summary>
    private static double Left(double[] p, double[] mean)
    {
        double own = 0, both = 0, square = 0;
        for (int j = 0; j < p.Length; j++)
        {
            own += p[j] * p[j];
            both += p[j] * mean[j];
            square += mean[j] * mean[j];
        }
        double gain = Math.Clamp(both / Math.Max(1e-9, square), 0.4, 1.6);
        return own - 2 * gain * both + gain * gain * square;
    }

    /// <summary>What the mean profile leaves of a stretch of a strip: <see cref="Left"/> after level and slope are taken off, from sums alone.</summary>
    private readonly struct Compared
    {
        private readonly double[] _mean;
        private readonly double _square, _level, _tilt;

        public Compared(double[] mean)
        {
            _mean = mean;
            for (int j = 0; j < Length; j++)
            {
                _square += mean[j] * mean[j];
                _level += mean[j];
                _tilt += (j - Half) * mean[j];
            }
        }

        public double Left(ReadOnlySpan<float> p)
        {
            const double places = Half * (Half + 1) * (2 * Half + 1) / 3.0;
            // From the first entry up, so that the level does not drown the rest.
            double zero = p[0], sum = 0, tilt = 0, own = 0, both = 0;
            for (int j = 0; j < Length; j++)
            {
                double x = p[j] - zero;
                sum += x;
                tilt += (j - Half) * x;
                own += x * x;
                both += x * _mean[j];
            }
            double level = sum / Length;
            tilt /= places;
            own -= Length * level * level + tilt * tilt * places;
            both -= level * _level + tilt * _tilt;
            double gain = Math.Clamp(both / Math.Max(1e-9, _square), 0.4, 1.6);
            return own - 2 * gain * both + gain * gain * _square;
        }
    }

    /// <summary>One strip, averaged along in short pieces.</summary>
    private sealed class Rows
    {
        private readonly float[] _value;
        private readonly int _across, _middle;
        private readonly bool[] _free;
        private readonly double[] _path;

        public Rows(ProjectedStrip strip)
        {
            ThreadStrip s = strip.Strip;
            (_across, _middle) = (s.Across, s.Middle);
            Count = (s.Along - 1) / Stride + 1;
            _value = new float[Count * _across];
            _free = new bool[Count];
            _path = new double[Count];
            for (int i = 0; i < Count; i++)
            {
                int at = i * Stride, from = Math.Max(0, at - Averaged / 2), to = Math.Min(s.Along - 1, at + Averaged / 2);
                Span<float> row = _value.AsSpan(i * _across, _across);
                for (int a = from; a <= to; a++)
                    for (int j = 0; j < _across; j++) row[j] += strip.Projected[a * _across + j];
                for (int j = 0; j < _across; j++) row[j] /= to - from + 1;
                double mm = at * ThreadStrip.AlongStepMm;
                _path[i] = s.PathMm[at];
                _free[i] = mm > 1.5 && mm < s.Line.LengthMm - 1.5 && !strip.Others.Any(o => Math.Abs(mm - o.AtMm) * Math.Abs(o.AcrossPart) < 0.9 + 1.3 * Math.Abs(o.AlongPart));
            }
        }

        public int Count { get; }

        public bool IsFree(int i) => _free[i];

        /// <summary>The profile about a centre, level and slope taken off; null at the strip's rim.</summary>
        public double[]? At(int i, double centreMm)
        {
            double top = _middle + centreMm / ThreadStrip.AcrossStepMm - Half;
            int first = (int)Math.Floor(top);
            if (first < 0 || first + Length >= _across) return null;
            var p = new double[Length];
            double f = top - first;
            int at = i * _across + first;
            for (int j = 0; j < Length; j++) p[j] = (1 - f) * _value[at + j] + f * _value[at + j + 1];
            Flatten(p);
            return p;
        }

        /// <summary>Share of the energy that the common profile leaves along this line; 1 where too little of it is free.</summary>
        public double LeftShare(FurrowProfile furrow, double[] centre)
        {
            var shares = new List<double>();
            for (int i = 0; i < Count; i++)
                if (_free[i] && At(i, centre[Math.Min(centre.Length - 1, i * Stride)]) is { } p) shares.Add(Left(p, furrow.Profile) / Math.Max(1e-9, Energy(p)));
            return shares.Count < 8 ? 1 : UpperMedian.Of(shares);
        }

        public void Follow(FurrowProfile furrow, double[] centre)
        {
            const int states = 2 * Reach + 1, steepest = 6;
            const double slopePrice = 0.04, missing = 1, most = 2.5;
            var own = new double[Count];
            var cost = new double[Count * states];
            for (int i = 0; i < Count; i++)
                own[i] = _free[i] && At(i, centre[Math.Min(centre.Length - 1, i * Stride)]) is { } p ? Left(p, furrow.Profile) : double.NaN;
            double[] known = [.. own.Where(double.IsFinite)];
            if (known.Length < 20) return;
            double usual = Math.Max(1e-9, UpperMedian.Of(known));
            var compared = new Compared(furrow.Profile);
            for (int i = 0; i < Count; i++)
                for (int d = 0; d < states; d++)
                {
                    int first = _middle + d - Reach - Half;
                    cost[i * states + d] = !_free[i] ? missing : first >= 0 && first + Length < _across ? Math.Min(most, compared.Left(_value.AsSpan(i * _across + first, Length)) / (2 * usual)) : most;
                }
            var score = new double[states];
            var next = new double[states];
            var from = new sbyte[Count * states];
            for (int d = 0; d < states; d++) score[d] = cost[d];
            double step = Stride * ThreadStrip.AlongStepMm;
            Span<double> price = stackalloc double[2 * steepest + 1];
            for (int i = 1; i < Count; i++)
            {
                double moved = _path[i] - _path[i - 1];
                for (int k = 0; k < price.Length; k++)
                {
                    double slope = ((steepest - k) * ThreadStrip.AcrossStepMm + moved) / step;
                    price[k] = slopePrice * slope * slope / 0.04;
                }
                for (int d = 0; d < states; d++)
                {
                    double best = double.PositiveInfinity;
                    int choice = 0;
                    for (int b = Math.Max(0, d - steepest); b <= Math.Min(states - 1, d + steepest); b++)
                    {
                        double value = score[b] + price[b - d + steepest];
                        if (value < best) (best, choice) = (value, b - d);
                    }
                    next[d] = best + cost[i * states + d];
                    from[i * states + d] = (sbyte)choice;
                }
                (score, next) = (next, score);
            }
            var path = new int[Count];
            path[^1] = Array.IndexOf(score, score.Min());
            for (int i = Count - 1; i > 0; i--) path[i - 1] = path[i] + from[i * states + path[i]];
            double[] fine = [.. path.Select((d, i) => (d - Reach + Part(cost, i, d)) * ThreadStrip.AcrossStepMm)];
            for (int a = 0; a < centre.Length; a++)
            {
                double x = Math.Min(Count - 1, a / (double)Stride);
                int i = Math.Min((int)x, Count - 2);
                centre[a] = fine[i] + (x - i) * (fine[i + 1] - fine[i]);
            }

            double Part(double[] costs, int i, int d)
            {
                if (!_free[i] || d == 0 || d == states - 1) return 0;
                double a = costs[i * states + d - 1], b = costs[i * states + d], c = costs[i * states + d + 1], curve = a - 2 * b + c;
                return curve > 1e-9 ? Math.Clamp(0.5 * (a - c) / curve, -0.5, 0.5) : 0;
            }
        }

        private static void Flatten(double[] p)
        {
            double mean = 0, tilt = 0, square = 0;
            foreach (double x in p) mean += x;
            mean /= p.Length;
            for (int j = 0; j < p.Length; j++)
            {
                tilt += (j - Half) * p[j];
                square += (double)(j - Half) * (j - Half);
            }
            tilt /= square;
            for (int j = 0; j < p.Length; j++) p[j] -= mean + tilt * (j - Half);
        }
    }
}
