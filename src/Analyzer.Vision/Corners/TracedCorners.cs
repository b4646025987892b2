using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Statistics;
using Analyzer.Vision.Tracing;

namespace Analyzer.Vision.Corners;

/// <summary>
/// A corner that is wrong draws all lines near it along, in every family and more the nearer they are: the lines, traced at full size, then ask for it elsewhere. Whoever laid the grid may have done
/// the same, or the cloth was drawn in; so the corner is not moved there: seams are looked for about that place, and where there are none the corner is doubted, and less sure by as much.
/// </summary>
/// <param name="Corner">Which corner they ask for elsewhere, 0 to 3 clockwise from the top left.</param>
/// <param name="MovesMm">By how much each corner coordinate is too far by the lines, x and y in turn, mm in the block.</param>
internal sealed record TracedCorners(int Corner, double[] MovesMm)
{
    /// <summary>A line takes part where it is seen over so much of its length, mm, and so many places.</summary>
    private const double LongMm = 20;

    private const int FewestPlaces = 15;

    /// <summary>Fewer lines than this are laid wrongly by chance as a wrong corner would have them.</summary>
    private const int FewestLines = 10;

    /// <summary>A corner asked for elsewhere by more than this, mm, and by so many standard uncertainties. Of 72 photos of two unrelated makers whose corners were found four were, each 1.4 to 4.1 mm off; of ninety-odd with their true corners two are.</summary>
    private const double FarMm = 1.8, Sure = 4.5;

    /// <summary>How far corners that were found may be off at all, standard uncertainty, mm: what the lines do not tell stays near nothing.</summary>
    private const double MostMm = 8;

    /// <summary>Deviations beyond so many times the usual one count in part.</summary>
    private const double Usual = 1.5;

    private const int Rounds = 6;

    /// <summary>How far off the corner is by the lines, mm.</summary>
    public double FarthestMm => Math.Sqrt(Squared(MovesMm, Corner));

    /// <summary>Null where no corner is plainly asked for elsewhere.</summary>
    /// <param name="sides">The outline's sides, as bowed as they were seen: where a lens bows them all, lines that lie as it has them doubt no corner, nor do lines that lie as straight sides have them.</param>
    public static TracedCorners? Doubted(IReadOnlyList<TracedLine?> lines, IntendedGrid grid, IReadOnlyList<SideReading> sides)
    {
        BowedSides bowed = BowedSides.Of(grid.Size, sides);
        TracedCorners? straight = Doubted(lines, grid, BowedSides.Straight(grid.Size));
        return straight is null || !bowed.BowByALens ? straight : Doubted(lines, grid, bowed);
    }

    private static TracedCorners? Doubted(IReadOnlyList<TracedLine?> lines, IntendedGrid grid, BowedSides sides)
    {
        var rows = new List<double[]>();
        var seen = new List<double>();
        foreach (TracedLine line in lines.OfType<TracedLine>()) Add(line, grid, sides, rows, seen);
        if (seen.Count < 2 * FewestLines) return null;
        (LinearLeastSquares fit, double counted) = Robust(rows, seen);
        int worst = Enumerable.Range(0, 4).MaxBy(k => Squared(fit.Coefficients, k));
        double farMm = Math.Sqrt(Squared(fit.Coefficients, worst));
        return farMm > FarMm && farMm > Sure * UncertaintyMm(fit, counted, worst, farMm) ? new TracedCorners(worst, [.. fit.Coefficients]) : null;
    }

    /// <summary>Where a line lies on the mean, and how far its end is from there: two numbers that hardly hang together, and how each corner coordinate moves them.</summary>
    private static void Add(TracedLine line, IntendedGrid grid, BowedSides sides, List<double[]> rows, List<double> seen)
    {
        int n = line.AlongMm.Length;
        if (n < FewestPlaces || line.AlongMm[^1] - line.AlongMm[0] < LongMm) return;
        LineFamily family = grid.Families[line.Line.Family];
        double middle = line.AlongMm.Average(), spread = line.AlongMm.Sum(s => (s - middle) * (s - middle)), half = Math.Sqrt(3 * spread / n);
        double[] mean = new double[8], end = new double[8];
        double meanMm = 0, endMm = 0;
        for (int i = 0; i < n; i++)
        {
            double s = line.AlongMm[i], toEnd = (s - middle) * half / spread;
            var place = new BlockPoint(line.Line.From.Xmm + s * family.AlongX, line.Line.From.Ymm + s * family.AlongY);
            double deviation = line.DeviationMm[i] - sides.AcrossMm(place.Xmm, place.Ymm, family.AcrossX, family.AcrossY);
            (double[] x, double[] y) = CornerUncertainty.Gradient(grid.Size, place);
            for (int k = 0; k < 8; k++)
            {
                double moves = family.AcrossX * x[k] + family.AcrossY * y[k];
                mean[k] += moves / n;
                end[k] += moves * toEnd;
            }
            meanMm += deviation / n;
            endMm += deviation * toEnd;
        }
        rows.AddRange([mean, end]);
        seen.AddRange([meanMm, endMm]);
    }

    /// <summary>Least squares in which what lies far off counts less; and how much counted in all.</summary>
    private static (LinearLeastSquares Fit, double Counted) Robust(List<double[]> rows, List<double> seen)
    {
        double[] left = [.. seen];
        for (int round = 0; ; round++)
        {
            double usual = 1.4826 * UpperMedian.Of([.. left.Select(Math.Abs)]) + 1e-6;
            double[] weight = [.. left.Select(r => Math.Sqrt(Math.Min(1, Usual * usual / Math.Max(Math.Abs(r), 1e-9))))];
            IEnumerable<double[]> kept = Enumerable.Range(0, 8).Select(k => { var row = new double[8]; row[k] = usual / MostMm; return row; });
            LinearLeastSquares fit = LinearLeastSquares.Fit([.. rows.Select((row, i) => row.Select(v => v * weight[i]).ToArray()), .. kept], [.. seen.Select((v, i) => v * weight[i]), .. new double[8]]);
            if (round == Rounds) return (fit, weight.Sum(w => w * w));
            left = [.. seen.Select((v, i) => v - row(i).Zip(fit.Coefficients, (a, b) => a * b).Sum())];
            double[] row(int i) => rows[i];
        }
    }

    private static double UncertaintyMm(LinearLeastSquares fit, double counted, int corner, double farMm)
    {
        double sd = Math.Sqrt(fit.ResidualSumOfSquares / Math.Max(counted - 8, 1));
        int x = 2 * corner, y = x + 1;
        double ex = fit.Coefficients[x] / farMm, ey = fit.Coefficients[y] / farMm;
        return sd * Math.Sqrt(ex * ex * fit.InverseNormal(x, x) + 2 * ex * ey * fit.InverseNormal(x, y) + ey * ey * fit.InverseNormal(y, y));
    }

    private static double Squared(IReadOnlyList<double> moves, int corner) => moves[2 * corner] * moves[2 * corner] + moves[2 * corner + 1] * moves[2 * corner + 1];
}
