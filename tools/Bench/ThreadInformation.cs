using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing;

namespace Analyzer.Bench;

/// <summary>Fisher information of one pixel of line about the thread's place across it, 1/px²; the mean over the families, weighed by their length.</summary>
/// <param name="OfAPixel">In the noise as it is.</param>
/// <param name="IfWhite">If the noise of neighbouring pixels were independent.</param>
internal sealed record ThreadInformation(double PxPerMm, double OfAPixel, double IfWhite)
{
    /// <summary>Step of the profile across the line, and how far it reaches to each side.</summary>
    private const double BinPx = 0.25, ReachMm = 1.0;

    /// <summary>How far away the noise of two pixels still hangs together, px: a JPEG's blocks are 8 wide, and colour is kept at half the resolution.</summary>
    private const int Reach = 12;

    private const int Frequencies = 96;

    /// <summary>Least variance in every colour: a trace that keeps the matrices regular where a colour is clipped.</summary>
    private const double Floor = 0.01;

    /// <summary>Null where too little thread is free of crossings.</summary>
    public static ThreadInformation? Of(SyntheticPhoto photo, SyntheticPhoto again)
    {
        SceneTruth truth = photo.Truth;
        (double X, double Y)[] block = [.. truth.Grid.Size.Corners().Select(p => (p.Xmm, p.Ymm))];
        Homography seen = Homography.FromFourPoints(block, [.. truth.Corners.ToArray().Select(p => (p.X, p.Y))]);
        (double a, double b, double c, double d) = seen.Jacobian(truth.Grid.Size.WidthMm / 2, truth.Grid.Size.HeightMm / 2);
        double pxPerMm = Math.Sqrt(Math.Abs(a * d - b * c));
        var noise = new PixelNoise(photo, again);
        MeanProfile[] profiles = [.. truth.Grid.Families.Select(_ => new MeanProfile(2 * (int)Math.Round(ReachMm * pxPerMm / BinPx) + 1))];
        BlockPoint[][] paths = [.. truth.Lines.Where(l => !l.IsMissing).Select(l => l.Holes.ToArray())];
        foreach (LineTruth line in truth.Lines.Where(l => !l.IsMissing))
        {
            LineFamily family = truth.Grid.Families[line.Family];
            GridLine intended = truth.Grid.Line(line.Id);
            for (int k = 0; k + 1 < line.Samples.Count; k++)
            {
                DeviationSample s = line.Samples[k], next = line.Samples[k + 1];
                if (s.AlongMm < 4 || s.AlongMm > intended.LengthMm - 4 || next.AlongMm - s.AlongMm > 1.01) continue;
                BlockPoint on = On(family, intended, s.AlongMm, s.DeviationMm), further = On(family, intended, next.AlongMm, next.DeviationMm);
                if (paths.Count(p => p.Any(h => h.DistanceTo(on) < 3.2)) > 1) continue;
                Piece(profiles[line.Family], photo, seen.Map(on.Xmm, on.Ymm), seen.Map(further.Xmm, further.Ymm), pxPerMm, noise);
            }
        }
        double length = profiles.Sum(p => p.LengthPx);
        if (noise.Places < 100) return null;
        return new ThreadInformation(pxPerMm, profiles.Sum(p => p.LengthPx * p.Information(noise)) / length, profiles.Sum(p => p.LengthPx * p.IfWhite(noise)) / length);
    }

    /// <summary>Every pixel whose foot lies on this piece of the thread, by its exact distance across.</summary>
    private static void Piece(MeanProfile profile, SyntheticPhoto photo, (double X, double Y) from, (double X, double Y) to, double pxPerMm, PixelNoise noise)
    {
        double length = Math.Sqrt((to.X - from.X) * (to.X - from.X) + (to.Y - from.Y) * (to.Y - from.Y)), ux = (to.X - from.X) / length, uy = (to.Y - from.Y) / length;
        profile.Went(length, ux, uy);
        int reach = (int)Math.Ceiling(ReachMm * pxPerMm + length) + 1;
        for (int y = Math.Max(0, (int)from.Y - reach); y <= Math.Min(photo.HeightPx - 1, (int)from.Y + reach); y++)
            for (int x = Math.Max(0, (int)from.X - reach); x <= Math.Min(photo.WidthPx - 1, (int)from.X + reach); x++)
            {
                double along = (x - from.X) * ux + (y - from.Y) * uy, across = (y - from.Y) * ux - (x - from.X) * uy;
                if (along < 0 || along >= length || !profile.Take(across, photo.Rgb.AsSpan(3 * (y * photo.WidthPx + x), 3))) continue;
                // One place of some is enough for the noise; those on the thread, where it is that of the thread's own brightness.
                if ((7 * x + 13 * y) % 11 == 0 && Math.Abs(across) < 0.5 * pxPerMm) noise.Take(x, y);
            }
    }

    private static BlockPoint On(LineFamily f, GridLine line, double along, double across) =>
        new(line.From.Xmm + f.AlongX * along + f.AcrossX * across, line.From.Ymm + f.AlongY * along + f.AcrossY * across);

    /// <summary>The mean profile across the true lines of one family.</summary>
    private sealed class MeanProfile(int bins)
    {
        private readonly double[,] _sum = new double[bins, 3];
        private readonly double[] _count = new double[bins];
        private double _ux, _uy;

        public double LengthPx { get; private set; }

        public void Went(double px, double ux, double uy)
        {
            LengthPx += px;
            (_ux, _uy) = (_ux + ux, _uy + uy);
        }

        public bool Take(double acrossPx, ReadOnlySpan<byte> rgb)
        {
            int bin = (int)Math.Round(acrossPx / BinPx) + bins / 2;
            if (bin < 0 || bin >= bins) return false;
            _count[bin]++;
            for (int c = 0; c < 3; c++) _sum[bin, c] += rgb[c];
            return true;
        }

        /// <summary>Slope of each colour, levels per px.</summary>
        private double[] Slope(int bin)
        {
            if (bin < 2 || bin + 2 >= bins || _count[bin - 2] < 20 || _count[bin + 2] < 20) return [0, 0, 0];
            return [.. Enumerable.Range(0, 3).Select(c => (_sum[bin + 2, c] / _count[bin + 2] - _sum[bin - 2, c] / _count[bin - 2]) / (4 * BinPx))];
        }

        public double IfWhite(PixelNoise noise)
        {
            Matrix3 inverse = noise.AtOnePlace().Inverse();
            return Enumerable.Range(0, bins).Sum(k => inverse.Quadratic(Slope(k))) * BinPx;
        }

        public double Information(PixelNoise noise)
        {
            double norm = Math.Sqrt(_ux * _ux + _uy * _uy), sum = 0;
            if (!(norm > 0)) return 0;
            double[][] slopes = [.. Enumerable.Range(0, bins).Select(Slope)];
            for (int n = 0; n < Frequencies; n++)
            {
                double nu = (n + 0.5) / Frequencies - 0.5;
                double[] re = new double[3], im = new double[3];
                for (int k = 0; k < bins; k++)
                {
                    (double sin, double cos) = Math.SinCos(-2 * Math.PI * nu * (k - bins / 2) * BinPx);
                    for (int c = 0; c < 3; c++) (re[c], im[c]) = (re[c] + slopes[k][c] * cos * BinPx, im[c] + slopes[k][c] * sin * BinPx);
                }
                Matrix3 inverse = noise.Spectrum(-nu * _uy / norm, nu * _ux / norm).Inverse();
                sum += (inverse.Quadratic(re) + inverse.Quadratic(im)) / Frequencies;
            }
            return sum;
        }
    }

    /// <summary>How the noise of pixels hangs together near the thread: half the mean product of the differences of two photos at places so far apart, for every two colours.</summary>
    private sealed class PixelNoise(SyntheticPhoto photo, SyntheticPhoto again)
    {
        private readonly double[,,] _product = new double[Reach + 1, 2 * Reach + 1, 9];

        public int Places { get; private set; }

        public void Take(int x, int y)
        {
            int w = photo.WidthPx;
            if (x < Reach || y < 0 || x >= w - Reach || y >= photo.HeightPx - Reach) return;
            Places++;
            byte[] a = photo.Rgb, b = again.Rgb;
            int at = 3 * (y * w + x);
            for (int i = 0; i < 3; i++)
            {
                double own = 0.5 * (a[at + i] - b[at + i]);
                if (own == 0) continue;
                for (int dy = 0; dy <= Reach; dy++)
                    for (int dx = dy == 0 ? 0 : -Reach; dx <= Reach; dx++)
                    {
                        int other = at + 3 * (dy * w + dx);
                        for (int j = 0; j < 3; j++) _product[dy, dx + Reach, 3 * i + j] += own * (a[other + j] - b[other + j]);
                    }
            }
        }

        public Matrix3 AtOnePlace() => Symmetric(0, 0, 1);

        /// <summary>Spectrum at one frequency (cycles per px along x and y), under a Parzen window in both directions.</summary>
        public Matrix3 Spectrum(double fx, double fy)
        {
            Matrix3 sum = Symmetric(0, 0, 1);
            for (int dy = 0; dy <= Reach; dy++)
                for (int dx = dy == 0 ? 1 : -Reach; dx <= Reach; dx++)
                    sum += Symmetric(dx, dy, 2 * Parzen(dx) * Parzen(dy) * Math.Cos(2 * Math.PI * (fx * dx + fy * dy)));
            return sum;
        }

        private Matrix3 Symmetric(int dx, int dy, double times)
        {
            double k = times / Places, floor = dx == 0 && dy == 0 ? Floor : 0;
            double At(int i, int j) => 0.5 * k * (_product[dy, dx + Reach, 3 * i + j] + _product[dy, dx + Reach, 3 * j + i]);
            return new Matrix3(At(0, 0) + floor, At(0, 1), At(0, 2), At(1, 1) + floor, At(1, 2), At(2, 2) + floor);
        }

        private static double Parzen(int lag)
        {
            double u = Math.Abs(lag) / (Reach + 1.0);
            return u < 0.5 ? 1 - 6 * u * u * (1 - u) : 2 * Math.Pow(1 - u, 3);
        }
    }

    /// <summary>Symmetric 3 × 3 matrix by its upper triangle, row by row.</summary>
    private readonly record struct Matrix3(double A, double B, double C, double D, double E, double F)
    {
        public static Matrix3 operator +(Matrix3 p, Matrix3 q) => new(p.A + q.A, p.B + q.B, p.C + q.C, p.D + q.D, p.E + q.E, p.F + q.F);

        public double Quadratic(double[] v) =>
            v[0] * v[0] * A + v[1] * v[1] * D + v[2] * v[2] * F + 2 * (v[0] * v[1] * B + v[0] * v[2] * C + v[1] * v[2] * E);

        public Matrix3 Inverse()
        {
            double det = A * (D * F - E * E) - B * (B * F - C * E) + C * (B * E - C * D);
            return new Matrix3((D * F - E * E) / det, (C * E - B * F) / det, (B * E - C * D) / det, (A * F - C * C) / det, (B * C - A * E) / det, (A * D - B * B) / det);
        }
    }
}
