using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Marks;

/// <summary>Follows one line's mark: first the straight line that is likeliest to be the drawn one, then its gentle bends.</summary>
internal sealed class MarkPath
{
    private const double WindowMm = 4, StepMm = 3, BendMm = 0.6;

    /// <summary>Evidence (logarithm of the likelihood ratio) for a line's mark as a whole, and for a sample of it.</summary>
    private const double LeastEvidence = 12, LeastHere = 1.5;

    /// <summary>What the windows smooth away and the pen's own uneven edges, mm; and a factor on the formal uncertainty. From comparison with known truth.</summary>
    private const double UnevenMm = 0.03, SigmaFactor = 1.6, EdgesMm = 0.06;

    private readonly MarkHeights _heights;
    private readonly Colour3 _view;
    private readonly double _height, _persistence;

    private MarkPath(MarkHeights heights, MarkColour colour)
    {
        _heights = heights;
        _view = colour.View;
        // Chalk is patchy and ink fades: somewhat less than the usual height is asked.
        _height = 0.85 * colour.Height;
        _persistence = colour.Persistence;
    }

    public static TracedMark? Follow(MarkStrip strip, MarkColour colour)
    {
        if (strip.AlongMm.Length < 6) return null;
        var path = new MarkPath(new MarkHeights(strip, colour.Filter), colour);
        return path.Straight() is { } line ? path.Bends(line.Offset, line.Slope) : null;
    }

    /// <summary>Log-likelihood ratio of a mark at the given deviation against none, at one row.</summary>
    private double Evidence(int row, double deviationMm)
    {
        if (_heights.PlaceOf(row, deviationMm) is not { } place) return 0;
        double Here(int k)
        {
            double seen = _view.Dot(_heights.At(row, k)), info = _heights.Filter.Information[k];
            // Far-off rows (a print's edge) must not decide alone.
            return Math.Clamp(info * (_height * seen - _height * _height / 2), -0.5 * info * _height * _height - 6, 0.5 * info * _height * _height + 6) / _persistence;
        }
        return (1 - place.Part) * Here(place.Place) + place.Part * Here(place.Place + 1);
    }

    private (double Offset, double Slope)? Straight()
    {
        double[] along = _heights.Strip.AlongMm;
        double half = Math.Max(1, (along[^1] - along[0]) / 2);
        (double Evidence, double Offset, double Slope) best = (LeastEvidence, 0, 0);
        bool found = false;
        for (double offset = -1.9; offset <= 1.901; offset += 0.1)
            for (double end = -0.8; end <= 0.801; end += 0.1)
            {
                double sum = 0, slope = _heights.Slope + end / half;
                for (int i = 0; i < along.Length; i++) sum += Evidence(i, _heights.Level + offset + slope * (along[i] - _heights.Mid));
                if (sum <= best.Evidence) continue;
                best = (sum, _heights.Level + offset, slope);
                found = true;
            }
        return found ? (best.Offset, best.Slope) : null;
    }

    private TracedMark? Bends(double offset, double slope)
    {
        double[] rows = _heights.Strip.AlongMm;
        const int reach = (int)(BendMm / 0.05);
        var evidence = new double[rows.Length, 2 * reach + 1];
        for (int i = 0; i < rows.Length; i++)
            for (int e = -reach; e <= reach; e++) evidence[i, e + reach] = Evidence(i, offset + slope * (rows[i] - _heights.Mid) + 0.05 * e);
        List<double> along = [], deviation = [], sigma = [];
        for (double s = Math.Ceiling(rows[0]); s <= rows[^1]; s += StepMm)
        {
            var sum = new double[2 * reach + 1];
            double weights = 0, squares = 0;
            for (int i = 0; i < rows.Length; i++)
            {
                double w = Math.Exp(-0.5 * Math.Pow((rows[i] - s) / WindowMm, 2));
                if (w < 0.01) continue;
                weights += w;
                squares += w * w;
                for (int e = 0; e < sum.Length; e++) sum[e] += w * evidence[i, e];
            }
            if (weights < 1) continue;
            int top = Array.IndexOf(sum, sum.Max());
            if (sum[top] < LeastHere || top < 3 || top + 3 >= sum.Length) continue;
            double curve = (sum[top - 2] - 2 * sum[top] + sum[top + 2]) / 4, lean = (sum[top + 2] - sum[top - 2]) / 4;
            if (curve >= -1e-9) continue;
            double shift = Math.Clamp(-lean / curve, -2, 2);
            along.Add(s);
            deviation.Add(offset + slope * (s - _heights.Mid) + 0.05 * (top - reach + shift));
            sigma.Add(Math.Sqrt(Math.Pow(SigmaFactor * 0.05 / Math.Sqrt(-curve) * Math.Sqrt(squares / weights), 2) + UnevenMm * UnevenMm));
        }
        if (along.Count < 4 || along[^1] - along[0] < 0.4 * (rows[^1] - rows[0])) return null;
        return new TracedMark
        {
            LineId = _heights.Strip.Line.Line.Id,
            AlongMm = [.. along],
            DeviationMm = [.. deviation],
            SigmaMm = [.. sigma],
            CorrelationMm = 1.5 * WindowMm,
            CommonUMm = Math.Sqrt(EdgesMm * EdgesMm + _heights.Strip.Line.CommonUMm * _heights.Strip.Line.CommonUMm),
        };
    }
}
