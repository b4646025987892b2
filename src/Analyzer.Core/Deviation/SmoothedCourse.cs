namespace Analyzer.Core.Deviation;

/// <summary>The most likely course of a thread through its samples, with the uncertainty of height and slope at every place along it.</summary>
/// <remarks>
/// The hand's steering changes the thread's slope by chance from place to place (<see cref="HandCourse.SlopeVariancePerMm"/>): an integrated random walk, whose most
/// likely course is the cubic smoothing spline (G. Wahba 1978). Kalman filter and fixed-interval smoother (H. E. Rauch, F. Tung, C. T. Striebel 1965) over height,
/// slope and the part of the samples' noise that hangs together. Shared by all who ask about a line, so it is reckoned once for the whole of it.
/// </remarks>
internal sealed class SmoothedCourse
{
    /// <summary>Without any sample: height and slope lie within so much of the intended line.</summary>
    private const double HeightUMm = 30, SlopeU = 1;

    /// <summary>Within gaps the uncertainty is known at places so far apart, mm.</summary>
    private const double StepMm = 0.5;

    /// <summary>
    /// At least so much of the samples' variance is taken as each one's own: what hangs together over millimetres is seldom as smooth as its correlation says, and would be followed as if the thread did it. With it the
    /// threads of three sets of hard and ordinary photos, of two makers, lie 4 to 5 % nearer the truth at crossings (95 %), those of a fourth set 2 % farther from it.
    /// </summary>
    private const double LeastWhiteShare = 0.6;

    /// <summary>Length of thread that tells most of a place, mm.</summary>
    private const double TellsMm = 4;

    private readonly double[] _at;
    private readonly State[] _states;

    private SmoothedCourse(double[] at, State[] states) => (_at, _states) = (at, states);

    /// <param name="alongMm">Rising places along the line, mm.</param>
    /// <param name="deviationMm">Where the thread was seen there, mm.</param>
    /// <param name="sigmaMm">Standard uncertainty of each, mm.</param>
    public static SmoothedCourse Of(IReadOnlyList<double> alongMm, IReadOnlyList<double> deviationMm, IReadOnlyList<double> sigmaMm, NoiseCorrelation noise)
    {
        // What is taken as each sample's own and is not averages out less than that; about so much of it is left.
        double rest = noise.LengthMm > 0 ? Math.Max(0, LeastWhiteShare - noise.WhiteShare) * noise.LengthMm / TellsMm * (1 - Math.Exp(-TellsMm / noise.LengthMm)) : 0;
        noise = noise with { WhiteShare = Math.Max(noise.WhiteShare, LeastWhiteShare) };
        (double[] at, int[] sample) = Places(alongMm);
        var predicted = new State[at.Length];
        var filtered = new State[at.Length];
        var steps = new Transition[at.Length];
        for (int k = 0; k < at.Length; k++)
        {
            if (k > 0) steps[k] = new Transition(at[k] - at[k - 1], noise);
            predicted[k] = k == 0 ? State.Unknown(HeightUMm, SlopeU) : steps[k].Predict(filtered[k - 1]);
            int i = sample[k];
            filtered[k] = i < 0 ? predicted[k] : predicted[k].Seen(deviationMm[i], sigmaMm[i], noise.WhiteShare);
        }
        for (int k = at.Length - 2; k >= 0; k--) filtered[k] = steps[k + 1].Smooth(filtered[k], predicted[k + 1], filtered[k + 1]);
        for (int k = 0, before = 0; k < at.Length; k++)
        {
            if (sample[k] >= 0) before = sample[k];
            double sigma = sample[k] >= 0 ? sigmaMm[before] : Math.Max(sigmaMm[before], sigmaMm[before + 1]);
            filtered[k] = filtered[k] with { Vhh = filtered[k].Vhh + rest * sigma * sigma };
        }
        return new SmoothedCourse(at, filtered);
    }

    /// <summary>Height and slope at a place as a short straight piece through it.</summary>
    public ReferenceLineFit At(double alongMm)
    {
        int next = Array.BinarySearch(_at, alongMm);
        if (next < 0) next = ~next;
        if (next == 0 || next == _at.Length)
        {
            int last = Math.Min(next, _at.Length - 1);
            State end = _states[last];
            double signed = alongMm - _at[last], beyond = Math.Abs(signed);
            return Piece(alongMm, end.Height + signed * end.Slope, end.Slope,
                end.Vhh + 2 * signed * end.Vhs + beyond * beyond * end.Vss + HandCourse.SlopeVariancePerMm * beyond * beyond * beyond / 3,
                end.Vss + HandCourse.SlopeVariancePerMm * beyond, end.Vhs + signed * end.Vss + HandCourse.SlopeVariancePerMm * signed * beyond / 2);
        }
        State a = _states[next - 1], b = _states[next];
        double length = _at[next] - _at[next - 1], t = (alongMm - _at[next - 1]) / length;
        // Between two places the most likely course is the cubic through both with both slopes.
        double h00 = (1 + 2 * t) * (1 - t) * (1 - t), h10 = t * (1 - t) * (1 - t), h01 = t * t * (3 - 2 * t), h11 = t * t * (t - 1);
        double d00 = 6 * t * (t - 1), d10 = (1 - t) * (1 - 3 * t), d11 = t * (3 * t - 2);
        return Piece(alongMm,
            h00 * a.Height + h10 * length * a.Slope + h01 * b.Height + h11 * length * b.Slope,
            d00 * (a.Height - b.Height) / length + d10 * a.Slope + d11 * b.Slope,
            (1 - t) * a.Vhh + t * b.Vhh, (1 - t) * a.Vss + t * b.Vss, (1 - t) * a.Vhs + t * b.Vhs);
    }

    private static ReferenceLineFit Piece(double alongMm, double height, double slope, double vhh, double vss, double vhs) =>
        new(alongMm, height, slope, Math.Sqrt(Math.Max(0, vhh)), Math.Sqrt(Math.Max(0, vss)), vhs);

    /// <summary>All samples' places and, where they lie far apart, places between; with each the number of its sample or -1.</summary>
    private static (double[] At, int[] Sample) Places(IReadOnlyList<double> alongMm)
    {
        var at = new List<double>(alongMm.Count);
        var sample = new List<int>(alongMm.Count);
        for (int i = 0; i < alongMm.Count; i++)
        {
            if (i > 0)
            {
                double gap = alongMm[i] - alongMm[i - 1];
                int parts = (int)Math.Ceiling(gap / StepMm - 1e-9);
                for (int p = 1; p < parts; p++)
                {
                    at.Add(alongMm[i - 1] + gap * p / parts);
                    sample.Add(-1);
                }
            }
            at.Add(alongMm[i]);
            sample.Add(i);
        }
        return ([.. at], [.. sample]);
    }

    /// <summary>Height (mm), slope and the noise that hangs together (in units of its own spread) with their covariances.</summary>
    private readonly record struct State(double Height, double Slope, double Noise, double Vhh, double Vhs, double Vhn, double Vss, double Vsn, double Vnn)
    {
        public static State Unknown(double heightUMm, double slopeU) => new(0, 0, 0, heightUMm * heightUMm, 0, 0, slopeU * slopeU, 0, 1);

        /// <summary>After a sample: height + σ·√(1 - white)·noise + σ·√white·(its own).</summary>
        public State Seen(double deviationMm, double sigmaMm, double whiteShare)
        {
            double c = sigmaMm * Math.Sqrt(1 - whiteShare);
            double gh = Vhh + c * Vhn, gs = Vhs + c * Vsn, gn = Vhn + c * Vnn;
            double variance = gh + c * gn + sigmaMm * sigmaMm * whiteShare + 1e-12;
            double miss = (deviationMm - Height - c * Noise) / variance;
            return new State(Height + gh * miss, Slope + gs * miss, Noise + gn * miss,
                Vhh - gh * gh / variance, Vhs - gh * gs / variance, Vhn - gh * gn / variance,
                Vss - gs * gs / variance, Vsn - gs * gn / variance, Vnn - gn * gn / variance);
        }
    }

    /// <summary>From one place to the next: the slope carries the height on, the steering changes the slope, the noise fades and comes anew.</summary>
    private readonly struct Transition(double lengthMm, NoiseCorrelation noise)
    {
        private readonly double _length = lengthMm, _fades = noise.LengthMm > 0 ? Math.Exp(-lengthMm / noise.LengthMm) : 0;

        public State Predict(State s)
        {
            double d = _length, q = HandCourse.SlopeVariancePerMm, f = _fades;
            return new State(s.Height + d * s.Slope, s.Slope, f * s.Noise,
                s.Vhh + 2 * d * s.Vhs + d * d * s.Vss + q * d * d * d / 3, s.Vhs + d * s.Vss + q * d * d / 2, f * (s.Vhn + d * s.Vsn),
                s.Vss + q * d, f * s.Vsn, f * f * s.Vnn + 1 - f * f);
        }

        /// <summary>What the places beyond add: gain C = P Fᵀ P'⁻¹, x + C (x⁺ - x'), P + C (P⁺ - P') Cᵀ.</summary>
        public State Smooth(State s, State predicted, State later)
        {
            double d = _length, f = _fades;
            Span<double> pf = [s.Vhh + d * s.Vhs, s.Vhs, f * s.Vhn, s.Vhs + d * s.Vss, s.Vss, f * s.Vsn, s.Vhn + d * s.Vsn, s.Vsn, f * s.Vnn];
            Span<double> inverse = stackalloc double[9];
            Invert(predicted, inverse);
            Span<double> c = stackalloc double[9];
            for (int i = 0; i < 3; i++)
                for (int j = 0; j < 3; j++) c[3 * i + j] = pf[3 * i] * inverse[j] + pf[3 * i + 1] * inverse[3 + j] + pf[3 * i + 2] * inverse[6 + j];
            double mh = later.Height - predicted.Height, ms = later.Slope - predicted.Slope, mn = later.Noise - predicted.Noise;
            double dhh = later.Vhh - predicted.Vhh, dhs = later.Vhs - predicted.Vhs, dhn = later.Vhn - predicted.Vhn;
            double dss = later.Vss - predicted.Vss, dsn = later.Vsn - predicted.Vsn, dnn = later.Vnn - predicted.Vnn;
            return new State(
                s.Height + c[0] * mh + c[1] * ms + c[2] * mn, s.Slope + c[3] * mh + c[4] * ms + c[5] * mn, s.Noise + c[6] * mh + c[7] * ms + c[8] * mn,
                s.Vhh + More(c, 0, 0), s.Vhs + More(c, 0, 3), s.Vhn + More(c, 0, 6), s.Vss + More(c, 3, 3), s.Vsn + More(c, 3, 6), s.Vnn + More(c, 6, 6));

            double More(ReadOnlySpan<double> g, int i, int j) =>
                g[i] * (dhh * g[j] + dhs * g[j + 1] + dhn * g[j + 2]) + g[i + 1] * (dhs * g[j] + dss * g[j + 1] + dsn * g[j + 2]) + g[i + 2] * (dhn * g[j] + dsn * g[j + 1] + dnn * g[j + 2]);
        }

        private static void Invert(State p, Span<double> inverse)
        {
            double a = p.Vss * p.Vnn - p.Vsn * p.Vsn, b = p.Vhn * p.Vsn - p.Vhs * p.Vnn, c = p.Vhs * p.Vsn - p.Vhn * p.Vss;
            double det = p.Vhh * a + p.Vhs * b + p.Vhn * c;
            (inverse[0], inverse[1], inverse[2]) = (a / det, b / det, c / det);
            (inverse[3], inverse[4], inverse[5]) = (b / det, (p.Vhh * p.Vnn - p.Vhn * p.Vhn) / det, (p.Vhn * p.Vhs - p.Vhh * p.Vsn) / det);
            (inverse[6], inverse[7], inverse[8]) = (c / det, (p.Vhn * p.Vhs - p.Vhh * p.Vsn) / det, (p.Vhh * p.Vss - p.Vhs * p.Vhs) / det);
        }
    }
}
