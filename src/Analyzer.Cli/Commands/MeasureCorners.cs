using System.Globalization;
using System.Text.RegularExpressions;
using Analyzer.Cli.Shell;
using Analyzer.Core.Geometry;

namespace Analyzer.Cli.Commands;

/// <summary>The corners given with --corners, checked: four, in order, apart, not crossed, inside the photo.</summary>
internal static class MeasureCorners
{
    /// <summary>Standard uncertainty of a corner read off to whole pixels, and of one given with decimals, px.</summary>
    public const double WholePixelUPx = 0.5, DecimalUPx = 0.1;

    /// <summary>Corners nearer to each other than this are one place, px.</summary>
    private const double SamePlacePx = 10;

    /// <summary>A corner whose angle differs from a straight line by less than this is none, degrees.</summary>
    private const double FlattestTurnDeg = 10;

    /// <summary>The upper side may slope by this much before another corner is the top left one, degrees.</summary>
    private const double SteepestTopDeg = 60;

    private static readonly string[] Names = ["top left", "top right", "bottom right", "bottom left"];

    private const string Order = "give them as top left, top right, bottom right, bottom left, as seen in the photo";

    /// <summary>Null for "auto" or when nothing was given: then the corners are to be found.</summary>
    public static BlockCorners? Parse(string? text)
    {
        if (text is null || text.Trim().Equals("auto", StringComparison.OrdinalIgnoreCase)) return null;
        string tidy = Regex.Replace(text.Trim(), @"\s*,\s*", ",");
        string[] parts = tidy.Split([' ', ';', '\t'], StringSplitOptions.RemoveEmptyEntries);
        if (parts.Length != 4)
            throw new UserErrorException($"--corners \"{text}\" holds {parts.Length} point{(parts.Length == 1 ? "" : "s")} instead of four: {Order}, each as x,y in pixels.");
        PhotoPoint[] points = [.. parts.Select(Point)];
        CheckShape(points);
        return BlockCorners.FromArray(points, parts.Any(part => part.Contains('.', StringComparison.Ordinal)) ? DecimalUPx : WholePixelUPx);
    }

    /// <summary>Refuses a corner outside the photo. Pixel centres run from 0 to the size minus 1; half a pixel beyond is still the photo.</summary>
    public static void CheckInside(BlockCorners corners, int widthPx, int heightPx)
    {
        PhotoPoint[] points = corners.ToArray();
        for (int i = 0; i < 4; i++)
        {
            PhotoPoint p = points[i];
            if (p.X < -0.5 || p.Y < -0.5 || p.X > widthPx - 0.5 || p.Y > heightPx - 0.5)
                throw new UserErrorException($"--corners: {Which(points, i)} lies outside the photo, which is {widthPx} x {heightPx} pixels; read the corner off the upright photo again.");
        }
    }

    private static PhotoPoint Point(string part, int index)
    {
        string[] numbers = part.Split(',');
        if (numbers.Length == 2 && Number(numbers[0], out double x) && Number(numbers[1], out double y)) return new PhotoPoint(x, y);
        throw new UserErrorException($"--corners: \"{part}\" for corner {index + 1} ({Names[index]}) should be x,y in pixels, such as 412,318.");
    }

    private static bool Number(string text, out double number) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out number) && double.IsFinite(number);

    private static void CheckShape(PhotoPoint[] points)
    {
        for (int i = 0; i < 4; i++)
            for (int j = i + 1; j < 4; j++)
                if (points[i].DistanceTo(points[j]) < SamePlacePx)
                    throw new UserErrorException($"--corners: corner {i + 1} ({Names[i]}) and corner {j + 1} ({Names[j]}) are at the same place; mark each corner of the block once.");
        double[] turns = [.. Enumerable.Range(0, 4).Select(i => TurnDeg(points[(i + 3) % 4], points[i], points[(i + 1) % 4]))];
        if (turns.All(t => Math.Abs(t) < FlattestTurnDeg || Math.Abs(t) > 180 - FlattestTurnDeg))
            throw new UserErrorException("--corners: the four corners lie on one straight line; mark the four corners of the block.");
        int flat = Array.FindIndex(turns, t => Math.Abs(t) < FlattestTurnDeg);
        if (flat >= 0)
            throw new UserErrorException($"--corners: {Which(points, flat)} lies on the straight line between its neighbours; mark it again.");
        int right = turns.Count(t => t > 0);
        if (right == 2) throw new UserErrorException($"--corners: {Crossed(points)}; {Order}.");
        if (right is 1 or 3)
        {
            int dent = Array.FindIndex(turns, t => right == 3 ? t < 0 : t > 0);
            throw new UserErrorException($"--corners: {Which(points, dent)} lies inside the triangle of the other three; mark it again.");
        }
        if (right == 0) throw new UserErrorException($"--corners: the corners run anticlockwise, so that {Swapped(points)}; {Order}.");
        CheckStart(points);
    }

    /// <summary>Sides cross when two neighbours are swapped: the swap that sets it right says which.</summary>
    private static string Crossed(PhotoPoint[] points)
    {
        foreach ((int i, int j) in (ReadOnlySpan<(int, int)>)[(0, 1), (1, 2), (2, 3), (3, 0)])
        {
            PhotoPoint[] trial = [.. points];
            (trial[i], trial[j]) = (trial[j], trial[i]);
            if (Enumerable.Range(0, 4).All(k => TurnDeg(trial[(k + 3) % 4], trial[k], trial[(k + 1) % 4]) > 0))
                return $"the sides cross, because {Which(points, Math.Min(i, j))} and {Which(points, Math.Max(i, j))} are swapped";
        }
        return "the sides cross";
    }

    private static string Swapped(PhotoPoint[] points)
    {
        PhotoPoint[] ordered = Ordered(points);
        int wrong = Enumerable.Range(0, 4).First(i => points[i] != ordered[i]);
        int real = Array.IndexOf(ordered, points[wrong]);
        return $"{Which(points, wrong)} is really the {Names[real]} one";
    }

    private static void CheckStart(PhotoPoint[] points)
    {
        double dx = points[1].X - points[0].X + points[2].X - points[3].X, dy = points[1].Y - points[0].Y + points[2].Y - points[3].Y;
        if (Math.Abs(Math.Atan2(dy, dx)) * 180 / Math.PI <= SteepestTopDeg) return;
        int real = Array.IndexOf(Ordered(points), points[0]);
        throw new UserErrorException($"--corners: {Which(points, 0)} is really the {Names[real]} one as seen; {Order} (--turn says when the block itself is turned).");
    }

    /// <summary>The four points clockwise as seen, beginning with the one that makes the upper side most level.</summary>
    private static PhotoPoint[] Ordered(PhotoPoint[] points)
    {
        double cx = points.Average(p => p.X), cy = points.Average(p => p.Y);
        PhotoPoint[] round = [.. points.OrderBy(p => Math.Atan2(p.Y - cy, p.X - cx))];
        double Slope(int start)
        {
            PhotoPoint a = round[start], b = round[(start + 1) % 4], c = round[(start + 2) % 4], d = round[(start + 3) % 4];
            return Math.Abs(Math.Atan2(b.Y - a.Y + c.Y - d.Y, b.X - a.X + c.X - d.X));
        }
        int first = Enumerable.Range(0, 4).MinBy(Slope);
        return [.. Enumerable.Range(0, 4).Select(i => round[(first + i) % 4])];
    }

    /// <summary>Turn of the way at b when walking a, b, c, degrees; positive to the right as seen.</summary>
    private static double TurnDeg(PhotoPoint a, PhotoPoint b, PhotoPoint c)
    {
        double ux = b.X - a.X, uy = b.Y - a.Y, vx = c.X - b.X, vy = c.Y - b.Y;
        return Math.Atan2(ux * vy - uy * vx, ux * vx + uy * vy) * 180 / Math.PI;
    }

    private static string Which(PhotoPoint[] points, int i) =>
        string.Create(CultureInfo.InvariantCulture, $"corner {i + 1} ({Names[i]}) at {points[i].X:0.##},{points[i].Y:0.##}");
}
