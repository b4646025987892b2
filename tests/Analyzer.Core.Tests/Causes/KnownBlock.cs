using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Tests.Deviation;

namespace Analyzer.Core.Tests.Causes;

/// <summary>Sizes of the causes a <see cref="KnownBlock"/> is made of: standard deviation over lines or r.m.s. along a line, mm.</summary>
internal sealed record KnownSizes
{
    public double OffsetMm { get; init; }

    public double TurnMm { get; init; }

    public double BowMm { get; init; }

    public double LongMm { get; init; }

    public double MiddleMm { get; init; }

    public double ShortMm { get; init; }

    public double DistortionMm { get; init; }

    public double HabitMm { get; init; }

    public double AimMm { get; init; }

    public double NoiseMm { get; init; } = 0.02;

    /// <summary>Displacement of the marked corners, mm per coordinate.</summary>
    public double CornerMm { get; init; }
}

/// <summary>
/// A block made from known causes, with the mean square of each over all samples. The distortion is a draw-in and a bump (a Gaussian and a bilinear
/// term, not the analyser's own polynomials) with the four corners put right by a homography.
/// </summary>
internal sealed class KnownBlock
{
    public required IntendedGrid Grid { get; init; }

    public required IReadOnlyList<TraceProfile> Traces { get; init; }

    /// <summary>Mean square by cause in the order of the codes, mm².</summary>
    public required double[] MeanSquare { get; init; }

    public double[] Percent => [.. MeanSquare.Select(m => 100 * m / MeanSquare.Sum())];

    public static KnownBlock Make(string pattern, double spacingMm, double sideMm, KnownSizes sizes, int seed)
    {
        var random = new Random(seed);
        var size = new BlockSize(sideMm, sideMm);
        var grid = new IntendedGrid(size, NamedGrids.Families(pattern, Analyzer.Core.Units.Length.FromMillimetres(spacingMm), size)!);
        Func<BlockPoint, (double X, double Y)> field = Field(size, sizes.DistortionMm, random);
        Homography corners = Homography.FromFourPoints(
            [.. size.Corners().Select(c => (c.Xmm + sizes.CornerMm * N(random), c.Ymm + sizes.CornerMm * N(random)))], [.. size.Corners().Select(c => (c.Xmm, c.Ymm))]);
        double[] habit = [.. grid.Families.Select(_ => sizes.HabitMm * N(random))];
        var sums = new double[8];
        int samples = 0;
        var noise = new NoiseCorrelation(2, 0.3);
        var traces = new List<TraceProfile>();
        foreach (GridLine line in grid.Lines.Where(l => l.LengthMm > 15))
        {
            LineFamily f = grid.Families[line.Family];
            double[] x = [.. Enumerable.Range(0, (int)line.LengthMm).Select(i => i + 0.5)];
            double half = line.LengthMm / 2, offset = sizes.OffsetMm * N(random) + habit[line.Family], turn = sizes.TurnMm * Math.Sqrt(3) * N(random), bow = sizes.BowMm * Math.Sqrt(5) * N(random);
            Func<double, double> longWaves = Band(20, 60, sizes.LongMm, random), middle = Band(8, 20, sizes.MiddleMm, random), quick = Band(4.7, 8, sizes.ShortMm, random);
            double[] nodes = line.Family == grid.Families.Count - 1
                ? [.. grid.Nodes.Where(n => n.LineIds.Count >= 3 && n.LineIds.Contains(line.Id)).Select(n => f.Along(n.Position) - f.Along(line.From))] : [];
            double[] kink = [.. nodes.Select(_ => sizes.AimMm * N(random))];
            double Aim(double at) => nodes.Select((n, i) => Math.Abs(at - n) < 5 ? kink[i] * 0.5 * (1 + Math.Cos(Math.PI * (at - n) / 5)) : 0).Sum();
            double[] sigma = [.. x.Select(_ => sizes.NoiseMm)], error = CorrelatedNoise.Draw(x, sigma, noise, random), y = new double[x.Length];
            for (int i = 0; i < x.Length; i++)
            {
                double t = (x[i] - half) / half;
                var p = new BlockPoint(line.From.Xmm + f.AlongX * x[i], line.From.Ymm + f.AlongY * x[i]);
                (double dx, double dy) = field(p);
                double[] parts = [f.AcrossX * dx + f.AcrossY * dy, offset, turn * t, bow * (1.5 * t * t - 0.5), longWaves(x[i]), middle(x[i]), quick(x[i]), Aim(x[i])];
                for (int c = 0; c < 8; c++) sums[c] += parts[c] * parts[c];
                double sum = parts.Sum();
                (double mx, double my) = corners.Map(p.Xmm + f.AcrossX * sum, p.Ymm + f.AcrossY * sum);
                y[i] = f.AcrossX * (mx - p.Xmm) + f.AcrossY * (my - p.Ymm) + error[i];
            }
            samples += x.Length;
            traces.Add(new TraceProfile(line, f, x, y, sigma, noise));
        }
        return new KnownBlock { Grid = grid, Traces = traces, MeanSquare = [.. sums.Select(s => s / samples)] };
    }

    private static Func<BlockPoint, (double, double)> Field(BlockSize size, double rms, Random random)
    {
        if (rms <= 0) return _ => (0, 0);
        double[] a = [-1, -0.8, 0.5 * N(random), 0.5 * N(random), 0.4 * N(random), 0.4 * N(random), 0.4 * N(random), 0.4 * N(random)];
        (double X, double Y) Raw(double x, double y)
        {
            double u = x / size.WidthMm - 0.5, v = y / size.HeightMm - 0.5, bump = Math.Exp(-4 * (u * u + v * v));
            return (a[0] * u * (1 - 4 * v * v) + a[2] * bump + a[4] * u * v + a[6] * (1 - 4 * v * v), a[1] * v * (1 - 4 * u * u) + a[3] * bump + a[5] * u * v + a[7] * (1 - 4 * u * u));
        }
        double Rms(Func<double, double, (double X, double Y)> g)
        {
            double sum = 0;
            for (int i = 0; i <= 20; i++)
                for (int j = 0; j <= 20; j++)
                {
                    (double X, double Y) d = g(i * size.WidthMm / 20, j * size.HeightMm / 20);
                    sum += (d.X * d.X + d.Y * d.Y) / 2 / 441;
                }
            return Math.Sqrt(sum);
        }
        double k = 0.3;
        Homography back = Homography.FromFourPoints(
            [.. size.Corners().Select(c => { (double X, double Y) d = Raw(c.Xmm, c.Ymm); return (c.Xmm + k * d.X, c.Ymm + k * d.Y); })], [.. size.Corners().Select(c => (c.Xmm, c.Ymm))]);
        (double X, double Y) Pinned(double x, double y)
        {
            (double X, double Y) r = Raw(x, y);
            (double mx, double my) = back.Map(x + k * r.X, y + k * r.Y);
            return (mx - x, my - y);
        }
        double scale = rms / Rms(Pinned);
        return p =>
        {
            (double x, double y) = Pinned(p.Xmm, p.Ymm);
            return (scale * x, scale * y);
        };
    }

    private static Func<double, double> Band(double shortest, double longest, double rms, Random random)
    {
        const int waves = 8;
        double[] k = [.. Enumerable.Range(0, waves).Select(_ => 2 * Math.PI / shortest + random.NextDouble() * (2 * Math.PI / longest - 2 * Math.PI / shortest))];
        double[] phase = [.. k.Select(_ => 2 * Math.PI * random.NextDouble())];
        return at => rms * Math.Sqrt(2.0 / waves) * k.Select((w, i) => Math.Cos(w * at + phase[i])).Sum();
    }

    private static double N(Random random) => CorrelatedNoise.Normal(random);
}
