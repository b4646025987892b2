using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Core.Tests.Deviation;

/// <summary>
/// The thread's most likely course. Source of the reference: the cubic smoothing spline is the best linear prediction for an integrated random walk of unknown height and slope (G. Wahba, Spline Models for Observational Data, 1990;
/// G. Matheron's kriging with the generalised covariance of the cube of distance), here solved as one dense system; formula from memory.
/// </summary>
public sealed class SmoothedCourseTests
{
    /// <summary>The model's own constants: the steering's density q (1/mm) and the least share of each sample's own noise.</summary>
    private const double Steering = 40 * 0.036 * 0.036 / (1.6 * 1.6 * 1.6), LeastWhiteShare = 0.6;

    private static readonly LineFamily Family = new(0, 25, new BlockPoint(0, 100));

    private static readonly GridLine Line = new IntendedGrid(new BlockSize(200, 200), [Family]).Lines[0];

    private static TraceProfile Profile(double[] x, double[] y, double[] sigma, NoiseCorrelation noise) => new(Line, Family, x, y, sigma, noise);

    /// <summary>Irregular samples of unequal uncertainty with a gap: height and its u as the dense system has them, at samples, between them and within the gap.</summary>
    [Theory]
    [InlineData(0, 0)]
    [InlineData(3, 0)]
    [InlineData(1.5, 0.7)]
    public void BestPiece_IsTheBestLinearPrediction(double lengthMm, double whiteShare)
    {
        var random = new Random(11);
        double[] x = [.. Enumerable.Range(0, 60).Select(i => 0.25 * i + 0.05 * random.NextDouble() + (i < 30 ? 0 : 2.1))];
        double[] sigma = [.. x.Select(_ => 0.02 + 0.05 * random.NextDouble())], y = [.. x.Select((v, i) => 0.2 * Math.Sin(v) + sigma[i] * (random.NextDouble() - 0.5))];
        var noise = new NoiseCorrelation(lengthMm, whiteShare);
        NoiseCorrelation taken = noise with { WhiteShare = Math.Max(whiteShare, LeastWhiteShare) };
        TraceProfile profile = Profile(x, y, sigma, noise);
        foreach (double at in new[] { 3.0, x[20], 7.6, 8.3, 9.0, 12.02 })
        {
            (double height, double u) = Dense(x, y, sigma, taken, at);
            ReferenceLineFit piece = profile.BestPiece(at)!;
            Assert.Equal(height, piece.At(at), 1e-4);
            // Between samples the variance is interpolated; noise that hangs together more than is taken for the course is not forgotten.
            int sample = Array.IndexOf(x, at);
            double own = taken.WhiteShare - whiteShare, rest = lengthMm == 0 ? 0 : own * MeanRho(lengthMm);
            if (rest == 0 || sample >= 0) Assert.Equal(Math.Sqrt(u * u + (rest == 0 ? 0 : rest * sigma[sample] * sigma[sample])), piece.UAt(at), 0.04 * u);
            else Assert.InRange(piece.UAt(at), u, Math.Sqrt(u * u + own * sigma.Max() * sigma.Max()));
            double slope = (Dense(x, y, sigma, taken, at + 1e-3).Height - height) / 1e-3;
            Assert.Equal(slope, piece.Slope, 2e-3);
        }
    }

    /// <summary>Mean of exp(-d/L) over the 4 mm of thread that tell most, by the midpoint rule.</summary>
    private static double MeanRho(double lengthMm) => Enumerable.Range(0, 400).Average(k => Math.Exp(-(k + 0.5) / 100 / lengthMm));

    /// <summary>A bend of 4 mm length is followed where the thread is sharp and evened out where it is faint.</summary>
    [Fact]
    public void BestPiece_OfFaintThread_FollowsLess()
    {
        const double at = 41, heightMm = 0.1;
        Assert.InRange(Bend(0.01), 0.9 * heightMm, heightMm);
        Assert.InRange(Bend(0.3), 0, 0.5 * heightMm);

        double Bend(double sigmaMm)
        {
            double[] x = [.. Enumerable.Range(0, 400).Select(i => i / 4.0)];
            return Profile(x, [.. x.Select(v => heightMm * Math.Cos(Math.PI / 2 * (v - at)))], [.. x.Select(_ => sigmaMm)], new NoiseCorrelation(0)).BestPiece(at)!.OffsetMm;
        }
    }

    /// <summary>Beyond the last sample and within a gap less is known; at more than half a millimetre beyond the end nothing is said.</summary>
    [Fact]
    public void BestPiece_FarFromSamples_IsLessSure()
    {
        double[] x = [.. Enumerable.Range(0, 200).Select(i => i / 4.0).Where(v => Math.Abs(v - 25) > 1.5)];
        TraceProfile profile = Profile(x, new double[x.Length], [.. x.Select(_ => 0.01)], new NoiseCorrelation(1));
        double near = profile.BestPiece(15)!.OffsetUMm;
        Assert.True(profile.BestPiece(25)!.OffsetUMm > 3 * near);
        Assert.True(profile.BestPiece(x[^1] + 0.4)!.OffsetUMm > 1.5 * near);
        Assert.Null(profile.BestPiece(x[^1] + 0.6));
    }

    /// <summary>Height at a place and its standard uncertainty, mm: unbiased for height and slope, least variance for K(d) = q d³/12 and the samples' noise.</summary>
    private static (double Height, double U) Dense(double[] x, double[] y, double[] sigma, NoiseCorrelation noise, double at)
    {
        int n = x.Length;
        var a = new double[n + 2, n + 3];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < n; j++) a[i, j] = Cubed(x[i] - x[j]) + sigma[i] * sigma[j] * noise.Rho(x[i] - x[j]);
            (a[i, n], a[i, n + 1], a[n, i], a[n + 1, i]) = (1, x[i] - at, 1, x[i] - at);
            a[i, n + 2] = Cubed(x[i] - at);
        }
        a[n, n + 2] = 1;
        double[] w = Solved(a);
        double height = 0, variance = -w[n];
        for (int i = 0; i < n; i++) (height, variance) = (height + w[i] * y[i], variance - w[i] * Cubed(x[i] - at));
        return (height, Math.Sqrt(variance));

        static double Cubed(double d) => Steering / 12 * Math.Abs(d * d * d);
    }

    private static double[] Solved(double[,] a)
    {
        int n = a.GetLength(0);
        for (int c = 0; c < n; c++)
        {
            int pivot = Enumerable.Range(c, n - c).MaxBy(r => Math.Abs(a[r, c]));
            for (int k = c; k <= n; k++) (a[c, k], a[pivot, k]) = (a[pivot, k], a[c, k]);
            for (int r = 0; r < n; r++)
            {
                double factor = r == c ? 0 : a[r, c] / a[c, c];
                for (int k = c; factor != 0 && k <= n; k++) a[r, k] -= factor * a[c, k];
            }
        }
        return [.. Enumerable.Range(0, n).Select(r => a[r, n] / a[r, r])];
    }
}
