using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Statistics;

namespace Analyzer.Core.Causes;

/// <summary>One line of the block model: its shape and how much of each amplitude the common fields explain.</summary>
internal sealed class ModelLine
{
    public required TraceProfile Trace { get; init; }

    public required LineShape Shape { get; init; }

    /// <summary>Design rows of the amplitudes, one per degree: distortion, habit offset, habit turn, corners.</summary>
    public double[][] Rows { get; set; } = [];

    /// <summary>Parts by common fields if the block is distorted, and if it is not.</summary>
    public CommonParts With { get; set; } = null!;

    public CommonParts Without { get; set; } = null!;
}

/// <summary>What common fields explain of a line's amplitudes, one value per degree.</summary>
/// <param name="Distortion">By the block's distortion, mm.</param>
/// <param name="Variance">Variance of that part after the fit, mm².</param>
/// <param name="Corners">By corners that were marked a little off, mm.</param>
internal sealed record CommonParts(double[] Distortion, double[] Variance, double[] Corners);

/// <summary>
/// Fields common to all families, estimated from the lines' amplitudes: distortion of the block, uncertain corners, and each family's habit (mean
/// offset, mean turn), against line-to-line scatter.
/// </summary>
/// <remarks>
/// Linear mixed model (Laird and Ware 1982, from memory): the distortion's terms share one variance, the habits two, the scatter one for each degree
/// (offsets scatter differently from bows); variances by EM, posterior means and covariance of the terms given them. Far-off lines count less
/// (Huber). Where distortion and ruler placement cannot be told apart the two models, with and without, are averaged by their likelihoods.
/// A distortion counts as shown only where the likelihood ratio passes the level; on the boundary that is half of a chi-square with one degree of freedom.
/// </remarks>
internal sealed class BlockModel
{
    private const int EmTurns = 40;

    private readonly List<ModelLine> _lines;
    private readonly int _families, _columns;
    private readonly double _cornerU;
    private readonly double[][] _rows;
    private readonly double[] _amplitude;
    private readonly int[] _degree;

    private BlockModel(List<ModelLine> lines, int families, double cornerU)
    {
        (_lines, _families, _cornerU) = (lines, families, cornerU);
        _rows = [.. lines.SelectMany(l => l.Rows)];
        _amplitude = [.. lines.SelectMany(l => l.Shape.Amplitude)];
        _degree = [.. lines.SelectMany(l => Enumerable.Range(0, l.Rows.Length))];
        _columns = _rows[0].Length;
    }

    /// <summary>True where a distortion of the block has been shown.</summary>
    public bool HasDistortion { get; private set; }

    /// <summary>Weight of the model with a distortion against the one without, by their likelihoods.</summary>
    public double ChanceOfDistortion { get; private set; }

    private State With { get; set; } = null!;

    /// <summary>Variances and the posterior of the terms given them.</summary>
    private sealed record State(double[] Prior, double[] Scatter, double[] Huber, double[] Terms, double[,] Covariance, Cholesky Factor, double MinusTwoLogLikelihood);

    public static BlockModel Fit(List<ModelLine> lines, BlockSize size, int families, CauseSettings settings)
    {
        foreach (ModelLine line in lines) line.Rows = RowsOf(line, size, families, settings.CornerUMm);
        var model = new BlockModel(lines, families, settings.CornerUMm);
        double[] equal = [.. model._rows.Select(_ => 1.0)];
        State with = model.Estimate(true, equal, updateHuber: true), without = model.Estimate(false, with.Huber, updateHuber: false);
        double threshold = NormalDistribution.Quantile(1 - settings.DistortionLevel), ratio = without.MinusTwoLogLikelihood - with.MinusTwoLogLikelihood;
        model.HasDistortion = ratio > threshold * threshold;
        model.With = with;
        model.ChanceOfDistortion = 1 / (1 + Math.Exp(-ratio / 2));
        foreach (ModelLine line in lines) (line.With, line.Without) = (model.PartsOf(line, with), model.PartsOf(line, without));
        return model;
    }

    /// <summary>A draw of the distortion's terms, as uncertain as model and fit leave them; null where the draw has no distortion.</summary>
    public double[]? Draw(Random random)
    {
        if (random.NextDouble() > ChanceOfDistortion) return null;
        var z = new double[_columns];
        for (int i = 0; i < _columns; i++) z[i] = Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        return [.. With.Factor.Backward(z).Zip(With.Terms, (d, t) => d + t).Take(DistortionField.TermCount)];
    }

    private static double[][] RowsOf(ModelLine line, BlockSize size, int families, double cornerU)
    {
        TraceProfile t = line.Trace;
        int n = t.AlongMm.Count, terms = DistortionField.TermCount, corners = cornerU > 0 ? 8 : 0;
        var columns = new double[terms + 2 * families + corners][];
        for (int c = 0; c < columns.Length; c++) columns[c] = new double[n];
        double mid = (t.AlongMm[0] + t.AlongMm[^1]) / 2;
        for (int i = 0; i < n; i++)
        {
            double along = t.AlongMm[i];
            var p = new BlockPoint(t.Line.From.Xmm + t.Family.AlongX * along, t.Line.From.Ymm + t.Family.AlongY * along);
            double[] field = DistortionField.Across(size, t.Family, p);
            for (int c = 0; c < terms; c++) columns[c][i] = field[c];
            columns[terms + t.Line.Family][i] = 1;
            columns[terms + families + t.Line.Family][i] = along - mid;
            if (corners == 0) continue;
            (double[] x, double[] y) = CornerUncertainty.Gradient(size, p);
            for (int c = 0; c < 8; c++) columns[terms + 2 * families + c][i] = t.Family.AcrossX * x[c] + t.Family.AcrossY * y[c];
        }
        return [.. Enumerable.Range(0, line.Shape.Amplitude.Length).Select(d => columns.Select(c => line.Shape.AmplitudeOf(c, d)).ToArray())];
    }

    private State Estimate(bool distortion, double[] huber, bool updateHuber)
    {
        (double[] prior, double[] scatter) = Start(distortion);
        State state = Posterior(prior, scatter, huber);
        for (int turn = 0; turn < EmTurns; turn++)
        {
            double[] residual = new double[_rows.Length], spread = new double[_rows.Length];
            for (int i = 0; i < _rows.Length; i++)
            {
                residual[i] = _amplitude[i];
                for (int c = 0; c < _columns; c++) residual[i] -= _rows[i][c] * state.Terms[c];
                spread[i] = Quadratic(_rows[i], state.Covariance);
            }
            scatter = ScatterOf(residual, spread, huber);
            if (updateHuber && turn < EmTurns / 2)
                huber = [.. residual.Select((r, i) => Math.Min(1, 2.5 * Math.Sqrt(scatter[_degree[i]]) / Math.Max(1e-12, Math.Abs(r))))];
            prior = PriorOf(state, distortion);
            state = Posterior(prior, scatter, huber);
        }
        return state;
    }

    private (double[] Prior, double[] Scatter) Start(bool distortion)
    {
        var scatter = new double[4];
        for (int d = 0; d < 4; d++)
        {
            double[] seen = [.. _amplitude.Where((_, i) => _degree[i] == d)];
            scatter[d] = seen.Length > 0 ? Math.Max(1e-8, seen.Average(v => v * v)) : 1;
        }
        double length = _lines.Average(l => l.Trace.Line.LengthMm);
        var prior = new double[_columns];
        for (int c = 0; c < _columns; c++) prior[c] = Group(c) switch { 0 => distortion ? scatter[0] : 0, 1 => scatter[0], 2 => scatter[1] * 12 / (length * length), _ => _cornerU * _cornerU };
        return (prior, scatter);
    }

    /// <summary>0 distortion, 1 habit offset, 2 habit turn, 3 corners.</summary>
    private int Group(int column)
    {
        int c = column - DistortionField.TermCount;
        return c < 0 ? 0 : c < _families ? 1 : c < 2 * _families ? 2 : 3;
    }

    private double[] ScatterOf(double[] residual, double[] spread, double[] huber)
    {
        double[] sum = new double[4], count = new double[4];
        for (int i = 0; i < residual.Length; i++)
        {
            sum[_degree[i]] += huber[i] * (residual[i] * residual[i] + spread[i]);
            count[_degree[i]]++;
        }
        return [.. sum.Select((s, d) => count[d] > 0 ? Math.Max(1e-8, s / count[d]) : 1)];
    }

    private double[] PriorOf(State state, bool distortion)
    {
        double[] sum = new double[4], count = new double[4];
        for (int c = 0; c < _columns; c++)
        {
            sum[Group(c)] += state.Terms[c] * state.Terms[c] + state.Covariance[c, c];
            count[Group(c)]++;
        }
        return [.. Enumerable.Range(0, _columns).Select(c => Group(c) switch
        {
            0 when !distortion => 0,
            3 => _cornerU * _cornerU,
            int g => Math.Max(sum[g] / count[g], g == 2 ? 1e-12 : 1e-8),
        })];
    }

    private State Posterior(double[] prior, double[] scatter, double[] huber)
    {
        var a = new double[_columns, _columns];
        var b = new double[_columns];
        double logVariance = 0, squares = 0;
        for (int i = 0; i < _rows.Length; i++)
        {
            double w = huber[i] / scatter[_degree[i]];
            logVariance -= Math.Log(w);
            squares += w * _amplitude[i] * _amplitude[i];
            double[] row = _rows[i];
            for (int c = 0; c < _columns; c++)
            {
                double v = w * row[c];
                if (v == 0) continue;
                b[c] += v * _amplitude[i];
                for (int e = 0; e <= c; e++) a[c, e] += v * row[e];
            }
        }
        for (int c = 0; c < _columns; c++)
        {
            if (prior[c] > 0)
            {
                a[c, c] += 1 / prior[c];
                logVariance += Math.Log(prior[c]);
                continue;
            }
            // A term without variance is held at 0.
            for (int e = 0; e < _columns; e++) a[Math.Max(c, e), Math.Min(c, e)] = 0;
            (a[c, c], b[c]) = (1, 0);
        }
        for (int c = 0; c < _columns; c++)
            for (int e = 0; e < c; e++) a[e, c] = a[c, e];
        var factor = new Cholesky(a);
        double[] terms = factor.Solve(b);
        double[,] covariance = factor.Inverse();
        for (int c = 0; c < _columns; c++)
            if (!(prior[c] > 0)) covariance[c, c] = 0;
        double explained = terms.Zip(b).Sum(p => p.First * p.Second);
        return new State(prior, scatter, huber, terms, covariance, factor, logVariance + factor.LogDeterminant + squares - explained);
    }

    private static double Quadratic(double[] row, double[,] matrix)
    {
        double sum = 0;
        for (int c = 0; c < row.Length; c++)
        {
            if (row[c] == 0) continue;
            for (int e = 0; e < row.Length; e++) sum += row[c] * row[e] * matrix[c, e];
        }
        return sum;
    }

    private CommonParts PartsOf(ModelLine line, State state)
    {
        int terms = DistortionField.TermCount, degrees = line.Rows.Length;
        double[] distortion = new double[degrees], variance = new double[degrees], corners = new double[degrees];
        for (int d = 0; d < degrees; d++)
        {
            double[] row = line.Rows[d];
            for (int c = 0; c < terms; c++) distortion[d] += row[c] * state.Terms[c];
            if (state.Prior[0] > 0) variance[d] = Quadratic([.. row.Select((v, c) => c < terms ? v : 0)], state.Covariance);
            for (int c = terms + 2 * _families; c < row.Length; c++) corners[d] += row[c] * state.Terms[c];
        }
        return new CommonParts(distortion, variance, corners);
    }
}
