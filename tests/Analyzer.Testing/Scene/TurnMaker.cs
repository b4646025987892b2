using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Testing.Scene;

/// <summary>One bounce at the ditch that was sewn round: a circle's arc touching both lines.</summary>
/// <param name="Corner">Where the two straight runs would have met, on the pattern, mm.</param>
/// <param name="Apex">The arc's middle, a needle hole.</param>
/// <param name="AngleDeg">Angle between the two straight runs.</param>
internal sealed record RoundedTurn(DitchTurn Turn, StitchedLine Stitches, (double X, double Y) Corner, (double X, double Y) Apex, double AngleDeg);

/// <summary>Rounds the bounces at the ditch: both lines end early, and short stitches follow the arc between them.</summary>
internal static class TurnMaker
{
    /// <summary>Straight run between a line's own last hole and the arc, mm; and the stitches along the arc, which a slowed machine makes short.</summary>
    private const double RunMm = 1.5, ArcPitchMm = 0.7;

    /// <summary>Length over which a line's own direction is taken, mm.</summary>
    private const double DirectionMm = 4;

    public static List<RoundedTurn> Round(StitchedLine[] lines, IntendedGrid grid, double radiusMm, Func<(double X, double Y), (double X, double Y)> onPlane)
    {
        var turns = new List<RoundedTurn>();
        foreach (DitchTurn turn in DitchTurn.Of(grid))
        {
            int a = Array.FindIndex(lines, l => l.Intended == turn.A), b = Array.FindIndex(lines, l => l.Intended == turn.B);
            double back = radiusMm / Math.Tan(turn.AngleDeg * Math.PI / 360) + RunMm;
            if (lines[a].IsMissing || lines[b].IsMissing || turn.A.LengthMm < 2 * back + 3 * DirectionMm || turn.B.LengthMm < 2 * back + 3 * DirectionMm) continue;
            (double X, double Y) fromA = At(lines[a], grid, turn.AtEndOfA, back), fromB = At(lines[b], grid, turn.AtEndOfB, back);
            (double X, double Y) ua = Unit(At(lines[a], grid, turn.AtEndOfA, back + DirectionMm), fromA), ub = Unit(At(lines[b], grid, turn.AtEndOfB, back + DirectionMm), fromB);
            double det = ua.X * ub.Y - ua.Y * ub.X, s = ((fromB.X - fromA.X) * ub.Y - (fromB.Y - fromA.Y) * ub.X) / det;
            (double X, double Y) corner = (fromA.X + s * ua.X, fromA.Y + s * ua.Y);
            double angle = Math.Acos(Math.Clamp(ua.X * ub.X + ua.Y * ub.Y, -1, 1)), half = angle / 2;
            // The circle's middle lies on the bisector, pointing back into the block.
            (double X, double Y) into = Unit((0, 0), (-ua.X - ub.X, -ua.Y - ub.Y));
            (double X, double Y) middle = (corner.X + into.X * radiusMm / Math.Sin(half), corner.Y + into.Y * radiusMm / Math.Sin(half));
            double turned = Math.PI - angle;
            int stitches = 2 * Math.Max(1, (int)Math.Ceiling(turned * radiusMm / ArcPitchMm / 2));
            double towardA = Math.Sign(into.Y * ua.X - into.X * ua.Y);
            (double X, double Y)[] arc = [.. Enumerable.Range(0, stitches + 1).Select(i =>
            {
                (double sin, double cos) = Math.SinCos(towardA * turned * ((double)i / stitches - 0.5));
                return (middle.X + radiusMm * (-into.X * cos + into.Y * sin), middle.Y + radiusMm * (-into.X * sin - into.Y * cos));
            })];
            (double X, double Y)[] path = [fromA, .. arc, fromB];
            lines[a] = lines[a].EndingAt(turn.AtEndOfA, back, onPlane(fromA));
            lines[b] = lines[b].EndingAt(turn.AtEndOfB, back, onPlane(fromB));
            var sewn = new StitchedLine { HoleAlongMm = [.. path.Select((_, i) => (double)i)], HoleAcrossMm = new double[path.Length], Holes = [.. path.Select(onPlane)] };
            turns.Add(new RoundedTurn(turn, sewn, corner, arc[stitches / 2], angle * 180 / Math.PI));
        }
        return turns;
    }

    /// <summary>The thread on the pattern, so far from the line's intended end.</summary>
    private static (double X, double Y) At(StitchedLine line, IntendedGrid grid, bool atEnd, double backMm)
    {
        GridLine intended = line.Intended!;
        LineFamily f = grid.Families[intended.Family];
        double along = atEnd ? intended.LengthMm - backMm : backMm, across = line.AcrossAt(along) ?? 0;
        return (intended.From.Xmm + f.AlongX * along + f.AcrossX * across, intended.From.Ymm + f.AlongY * along + f.AcrossY * across);
    }

    private static (double X, double Y) Unit((double X, double Y) from, (double X, double Y) to)
    {
        double length = Math.Sqrt((to.X - from.X) * (to.X - from.X) + (to.Y - from.Y) * (to.Y - from.Y));
        return ((to.X - from.X) / length, (to.Y - from.Y) / length);
    }
}
