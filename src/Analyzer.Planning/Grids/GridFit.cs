using System.Globalization;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Planning.Grids;

/// <summary>A grid near the wished one whose lines meet on every side of the block.</summary>
/// <param name="AngleDeg">Angle of the slanting families; 0 for a square grid.</param>
/// <param name="SpacingMm">Distance between lines of the first family.</param>
/// <param name="Columns">Whole diamonds (or squares) along the width.</param>
/// <param name="Rows">Whole diamonds (or squares) up the height.</param>
public sealed record FittedGrid(double AngleDeg, double SpacingMm, int Columns, int Rows, IReadOnlyList<LineFamily> Families);

/// <summary>What fits: whether the wished angle can close on both sides, and the nearest grids that do.</summary>
public sealed record FitResult(bool WishCloses, bool AngleCloses, double WishedAngleDeg, double WishedSpacingMm, IReadOnlyList<FittedGrid> Offers);

/// <summary>Spacings that close on the block's sides.</summary>
/// <remarks>
/// Lines of spacing d at angle a to the horizontal meet a horizontal side every d/sin a and an upright side every d/cos a.
/// The grid closes when both go a whole number of times: n = W sin a / d columns, m = H cos a / d rows, hence tan a = n H / (m W).
/// The horizontals of a triangle grid lie through the crossings, d/(2 cos a) apart.
/// </remarks>
public static class GridFit
{
    private const double AngleSlackDeg = 2.5;

    private const double SpacingSlack = 0.35;

    private const double ExactDeg = 1e-6;

    /// <summary>Distance of a slanting family's line ends along a horizontal side, mm.</summary>
    public static double PitchAlongRow(double spacingMm, double angleDeg) => spacingMm / Math.Sin(angleDeg * Math.PI / 180);

    /// <summary>Distance between the rows of crossings of the families at +angle and -angle, mm.</summary>
    public static double RowPitch(double spacingMm, double angleDeg) => spacingMm / (2 * Math.Cos(angleDeg * Math.PI / 180));

    /// <summary>The nearest grids of a named pattern that close, best first.</summary>
    /// <param name="name">square, diamond, diamondNN, triangle or triangle45.</param>
    public static FitResult Offers(string name, double spacingMm, BlockSize size, int most = 4)
    {
        if (name == "square") return Square(spacingMm, size, most);
        double angle = AngleOf(name) ?? throw new ArgumentException($"There is no pattern \"{name}\".", nameof(name));
        bool withRows = name.StartsWith("triangle", StringComparison.Ordinal);
        double a = angle * Math.PI / 180, w = size.WidthMm, h = size.HeightMm;
        double columns = w * Math.Sin(a) / spacingMm, rows = h * Math.Cos(a) / spacingMm;
        bool closes = IsWhole(columns) && IsWhole(rows);
        var found = new List<(double Score, FittedGrid Grid)>();
        bool angleCloses = false;
        for (int n = 1; n <= 2 * columns + 2; n++)
            for (int m = 1; m <= 2 * rows + 2; m++)
            {
                double tan = n * h / (m * w), fitted = Math.Atan(tan), d = w * Math.Sin(fitted) / n;
                double offDeg = Math.Abs(fitted - a) * 180 / Math.PI, off = Math.Abs(Math.Log(d / spacingMm));
                if (off > SpacingSlack || d < 2) continue;
                if (offDeg < ExactDeg) angleCloses = true;
                if (offDeg > AngleSlackDeg) continue;
                found.Add((off / 0.1 + offDeg / 1.0, Slanted(fitted * 180 / Math.PI, d, n, m, size, withRows)));
            }
        // An exact angle is always preferred to a bent one.
        IEnumerable<(double Score, FittedGrid Grid)> best = angleCloses ? found.Where(f => Math.Abs(f.Grid.AngleDeg - angle) < ExactDeg) : found;
        return new FitResult(closes, angleCloses, angle, spacingMm, [.. best.OrderBy(f => f.Score).Take(most).Select(f => f.Grid)]);
    }

    /// <summary>The angle of a named pattern's slanting families; null for an unknown name.</summary>
    public static double? AngleOf(string name) => name switch
    {
        "square" => 0,
        "diamond" or "triangle45" => 45,
        "triangle" => 60,
        _ when name.StartsWith("diamond", StringComparison.Ordinal)
            && double.TryParse(name["diamond".Length..], NumberStyles.Float, CultureInfo.InvariantCulture, out double angle) && angle is >= 10 and <= 80 => angle,
        _ => null,
    };

    private static FittedGrid Slanted(double angleDeg, double d, int n, int m, BlockSize size, bool withRows)
    {
        var corner = new BlockPoint(0, size.HeightMm);
        var families = new List<LineFamily> { new(angleDeg, d, corner), new(-angleDeg, d, corner) };
        if (withRows) families.Add(new LineFamily(0, size.HeightMm / (2 * m), corner));
        return new FittedGrid(angleDeg, d, n, m, families);
    }

    private static FitResult Square(double spacingMm, BlockSize size, int most)
    {
        double w = size.WidthMm, h = size.HeightMm;
        var corner = new BlockPoint(0, h);
        var found = new List<(double Score, FittedGrid Grid)>();
        for (int n = 1; n <= 2 * w / spacingMm + 2; n++)
        {
            double across = w / n;
            if (Math.Abs(Math.Log(across / spacingMm)) > SpacingSlack || across < 2) continue;
            // The rows that come nearest to square cells.
            int m = Math.Max(1, (int)Math.Round(h / across));
            double down = h / m;
            double score = Math.Abs(Math.Log(across / spacingMm)) + Math.Abs(Math.Log(down / spacingMm)) + 2 * Math.Abs(Math.Log(down / across));
            found.Add((score, new FittedGrid(0, down, n, m, [new LineFamily(0, down, corner), new LineFamily(90, across, corner)])));
        }
        bool closes = IsWhole(w / spacingMm) && IsWhole(h / spacingMm);
        return new FitResult(closes, true, 0, spacingMm, [.. found.OrderBy(f => f.Score).Take(most).Select(f => f.Grid)]);
    }

    private static bool IsWhole(double value) => Math.Abs(value - Math.Round(value)) < 1e-6;
}
