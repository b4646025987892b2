using System.Runtime.CompilerServices;

namespace Analyzer.Vision.Corners;

/// <summary>Where the ditch lies in a side's mean profile: a change of cloth (error function) and a furrow or thread (Gaussian) about one centre, and under light from one side the furrow's lit and shaded flanks.</summary>
/// <remarks>
/// The dark flank of a furrow lies toward the light, so that the furrow looks moved that way by up to a third of a millimetre. A fit with flanks follows that and is less certain;
/// one without is surer and drawn to the dark flank. The mean of both is taken, and half their difference is its uncertainty.
/// </remarks>
internal sealed class DitchModel
{
    private static readonly double[] StepWidthsMm = [0.1, 0.22], FurrowWidthsMm = [0.18, 0.4];
    private const double ReachMm = 0.7, ScanStepMm = 0.07;

    /// <summary>Flanks count for a little less than they explain: a furrow beside the centre looks much like one at the centre with flanks.</summary>
    private const double FlanksGain = 0.98;

    private const int Parts = 4, FlanklessParts = 3;

    private readonly int _half;
    private readonly double _stepMm;
    private readonly List<(double Centre, double StepWidth, double Furrow, double[][] Basis)> _scan = [];

    /// <summary>A model for profiles of so many places to both sides of the middle; what a first scan compares them with is worked out once.</summary>
    public DitchModel(int half, double stepMm)
    {
        _half = half;
        _stepMm = stepMm;
        foreach (double stepWidth in StepWidthsMm)
            foreach (double furrow in FurrowWidthsMm)
                for (double centre = -ReachMm; centre <= ReachMm; centre += ScanStepMm)
                {
                    double[][] basis = NewBasis();
                    FillBasis(basis, centre, stepWidth, furrow, Parts);
                    _scan.Add((centre, stepWidth, furrow, basis));
                }
    }

    /// <summary>Outward distance of the ditch from the profile's middle, and what is uncertain of it by the light, mm.</summary>
    public (double CentreMm, double UMm) Centre(double[][] profile)
    {
        double plain = Centre(profile, FlanklessParts), flanked = Centre(profile, Parts);
        return ((plain + flanked) / 2, Math.Abs(plain - flanked) / 2);
    }

    private double[][] NewBasis() => [.. Enumerable.Range(0, Parts).Select(_ => new double[2 * _half + 1])];

    private double Centre(double[][] profile, int parts)
    {
        double[] best = [0, StepWidthsMm[0], FurrowWidthsMm[0]];
        double[][] tried = NewBasis();
        double least = double.PositiveInfinity;
        foreach ((double centre, double stepWidth, double furrow, double[][] basis) in _scan)
            if (Math.Abs(centre) <= ReachMm) Keep(Misfit(profile, basis, parts), centre, stepWidth, furrow);
        // Downhill along one axis at a time, with steps that shrink: centre, and the two widths by factors.
        double move = ScanStepMm / 2, factor = 1.25;
        for (int round = 0; round < 9; round++)
        {
            for (int tries = 0; tries < 3; tries++)
            {
                double before = least;
                Try(best[0] + move, best[1], best[2]);
                Try(best[0] - move, best[1], best[2]);
                Try(best[0], best[1] * factor, best[2]);
                Try(best[0], best[1] / factor, best[2]);
                Try(best[0], best[1], best[2] * factor);
                Try(best[0], best[1], best[2] / factor);
                // The same places once more would give the same.
                if (least == before) break;
            }
            move /= 1.7;
            factor = 1 + (factor - 1) / 1.6;
        }
        return Math.Clamp(best[0], -ReachMm, ReachMm);

        void Try(double centre, double stepWidth, double furrow)
        {
            if (stepWidth < 0.04 || furrow < 0.1 || stepWidth > 0.6 || furrow > 0.9 || Math.Abs(centre) > ReachMm) return;
            FillBasis(tried, centre, stepWidth, furrow, parts);
            Keep(Misfit(profile, tried, parts), centre, stepWidth, furrow);
        }

        void Keep(double error, double centre, double stepWidth, double furrow)
        {
            if (error >= least) return;
            least = error;
            best = [centre, stepWidth, furrow];
        }
    }

    /// <summary>Constant, step, furrow and, as a fourth part, flanks, each made independent of those before it and of length one. No slope: it would let the furrow wander, since step less slope looks like a shifted furrow.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void FillBasis(double[][] basis, double centre, double stepWidth, double furrow, int parts)
    {
        int n = 2 * _half + 1;
        for (int k = 0; k < n; k++)
        {
            double x = (k - _half) * _stepMm - centre;
            basis[0][k] = 1;
            basis[1][k] = Erf(x / (stepWidth * Math.Sqrt(2)));
            basis[2][k] = Math.Exp(-x * x / (2 * furrow * furrow));
            if (parts > 3) basis[3][k] = x * basis[2][k];
        }
        for (int b = 0; b < parts; b++)
        {
            for (int e = 0; e < b; e++)
            {
                double dot = Dot(basis[b], basis[e]);
                for (int k = 0; k < n; k++) basis[b][k] -= dot * basis[e][k];
            }
            double norm = Math.Sqrt(Dot(basis[b], basis[b]));
            if (norm < 1e-9) continue;
            for (int k = 0; k < n; k++) basis[b][k] /= norm;
        }
    }

    /// <summary>Squared error left in all channels after the best sum of so many parts.</summary>
    private static double Misfit(double[][] profile, double[][] basis, int parts)
    {
        double error = 0;
        foreach (double[] channel in profile)
        {
            double left = Dot(channel, channel);
            for (int b = 0; b < parts; b++)
            {
                double dot = Dot(channel, basis[b]);
                left -= dot * dot * (b == 3 ? FlanksGain : 1);
            }
            error += left;
        }
        return error;
    }

    /// <summary>Abramowitz and Stegun 7.1.26, error below 1.5e-7.</summary>
    private static double Erf(double x)
    {
        double t = 1 / (1 + 0.3275911 * Math.Abs(x));
        double y = 1 - ((((1.061405429 * t - 1.453152027) * t + 1.421413741) * t - 0.284496736) * t + 0.254829592) * t * Math.Exp(-x * x);
        return x < 0 ? -y : y;
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static double Dot(double[] a, double[] b)
    {
        double sum = 0;
        for (int k = 0; k < a.Length; k++) sum += a[k] * b[k];
        return sum;
    }
}
