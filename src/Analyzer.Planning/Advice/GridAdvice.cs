using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Planning.Advice;

/// <summary>How one candidate grid would look, simulated.</summary>
/// <param name="ClosedShare">Share of all intersections that look closed, 0 to 1.</param>
/// <param name="LowShare">The same for the worst tenth of blocks.</param>
/// <param name="HighShare">The same for the best tenth of blocks.</param>
/// <param name="OpenPerBlock">Mean number of intersections per block that look open.</param>
/// <param name="UnevenShare">Typical difference between neighbouring gaps as a share of the spacing.</param>
/// <param name="FairShare">Share of intersections that look closed or miss by less than a fortieth of the spacing.</param>
/// <param name="LooksRight">At least nine in ten are fair and neighbouring gaps differ by at most a twelfth; our judgement.</param>
public sealed record GridOutlook(
    double SpacingMm, int Intersections, double ClosedShare, double LowShare, double HighShare, double OpenPerBlock, double FairShare, double UnevenShare, bool LooksRight);

/// <summary>Which spacing suits a quilter's accuracy: whole blocks are sewn in simulation and looked at from a distance.</summary>
/// <remarks>
/// Model. Each line is off across by a constant (normal, PlacementMm) plus a stationary wobble (normal, WobbleMm, correlation
/// exp(-distance/CorrelationMm)). Three or more lines at one point look closed when the largest distance between two of their crossings
/// is at most one thread plus D·tan(angle): threads that near still touch, to the eye. Two lines look right when their crossing lies
/// that near to its place. The angle is what an ordinary eye tells apart: 1 arc minute by default. A miss also passes as fair
/// when it is small against the grid itself, a fortieth of the spacing; that is our judgement.
/// </remarks>
public static class GridAdvice
{
    /// <summary>Neighbouring gaps may differ by this share of the spacing; our judgement.</summary>
    public const double EvenGapShare = 1.0 / 12;

    public const double ClosedEnough = 0.9;

    /// <summary>A miss this small against the spacing is not noticed in the whole; our judgement.</summary>
    public const double FairMissShare = 1.0 / 40;

    /// <summary>Width of one thread, mm (about Tex 30).</summary>
    public const double ThreadMm = 0.2;

    /// <summary>How far along a line its wobble remembers itself, mm; our assumption.</summary>
    public const double CorrelationMm = 15;

    public const double OrdinaryAcuityArcsec = 60;

    public const double DefaultDistanceMm = 600;

    /// <summary>Smallest step that shows at a distance, mm: D·tan(angle).</summary>
    public static double VisibleMm(double distanceMm, double arcsec = OrdinaryAcuityArcsec) => distanceMm * Math.Tan(arcsec / 3600 * Math.PI / 180);

    /// <summary>Largest miss that looks closed from a distance, mm: one thread and the smallest step that shows.</summary>
    public static double ClosedMm(double distanceMm) => ThreadMm + VisibleMm(distanceMm);

    /// <summary>Simulates blocks of one grid.</summary>
    /// <param name="closedMm">Largest miss that looks closed, mm.</param>
    public static GridOutlook Look(IntendedGrid grid, AccuracyProfile profile, double closedMm, int blocks = 200, int seed = 1)
    {
        var random = new Random(seed);
        var gauss = new Gauss(random);
        var places = new Dictionary<string, List<(double Along, int Node)>>();
        for (int n = 0; n < grid.Nodes.Count; n++)
            foreach (string id in grid.Nodes[n].LineIds)
            {
                if (!places.TryGetValue(id, out List<(double, int)>? list)) places[id] = list = [];
                list.Add((grid.Families[grid.Line(id).Family].Along(grid.Nodes[n].Position), n));
            }
        foreach (List<(double Along, int Node)> list in places.Values) list.Sort();
        var shares = new double[blocks];
        double spacing = grid.Families[0].SpacingMm, fairMm = Math.Max(closedMm, FairMissShare * spacing);
        long fair = 0;
        for (int b = 0; b < blocks; b++)
        {
            var off = new Dictionary<(string, int), double>();
            foreach ((string id, List<(double Along, int Node)> list) in places)
            {
                double place = gauss.Next() * profile.PlacementMm, wobble = gauss.Next() * profile.WobbleMm;
                for (int i = 0; i < list.Count; i++)
                {
                    if (i > 0)
                    {
                        double keep = Math.Exp(-(list[i].Along - list[i - 1].Along) / CorrelationMm);
                        wobble = keep * wobble + Math.Sqrt(1 - keep * keep) * profile.WobbleMm * gauss.Next();
                    }
                    off[(id, list[i].Node)] = place + wobble;
                }
            }
            int closed = 0;
            for (int n = 0; n < grid.Nodes.Count; n++)
            {
                GridNode node = grid.Nodes[n];
                (LineFamily, double)[] lines = [.. node.LineIds.Select(id => (grid.Families[grid.Line(id).Family], off[(id, n)]))];
                double miss = Miss(lines);
                if (miss <= closedMm) closed++;
                if (miss <= fairMm) fair++;
            }
            shares[b] = grid.Nodes.Count == 0 ? 1 : (double)closed / grid.Nodes.Count;
        }
        Array.Sort(shares);
        double mean = shares.Average(), fairShare = grid.Nodes.Count == 0 ? 1 : (double)fair / grid.Nodes.Count / blocks;
        double uneven = UnevenShare(profile, spacing);
        return new GridOutlook(
            spacing, grid.Nodes.Count, mean, shares[blocks / 10], shares[blocks - 1 - blocks / 10],
            (1 - mean) * grid.Nodes.Count, fairShare, uneven, fairShare >= ClosedEnough && uneven <= EvenGapShare);
    }

    /// <summary>
    /// Typical difference between two neighbouring gaps over the spacing. Gap one minus gap two is e1 - 2 e2 + e3, so its standard
    /// deviation is √6 times that of one line's place.
    /// </summary>
    public static double UnevenShare(AccuracyProfile profile, double spacingMm) => Math.Sqrt(6) * profile.PlacementMm / spacingMm;

    /// <summary>How wrong an intersection looks, mm: largest distance between crossings for three lines or more, else the crossing's distance from its place.</summary>
    /// <param name="lines">Each line's family and how far it is off toward the family's across direction.</param>
    public static double Miss(IReadOnlyList<(LineFamily Family, double OffMm)> lines)
    {
        var at = new List<BlockPoint>();
        for (int i = 0; i < lines.Count; i++)
            for (int j = i + 1; j < lines.Count; j++)
            {
                (LineFamily a, double ca) = lines[i];
                (LineFamily b, double cb) = lines[j];
                double det = a.AcrossX * b.AcrossY - a.AcrossY * b.AcrossX;
                at.Add(new BlockPoint((ca * b.AcrossY - cb * a.AcrossY) / det, (a.AcrossX * cb - b.AcrossX * ca) / det));
            }
        if (at.Count == 1) return at[0].DistanceTo(new BlockPoint(0, 0));
        double largest = 0;
        for (int i = 0; i < at.Count; i++)
            for (int j = i + 1; j < at.Count; j++) largest = Math.Max(largest, at[i].DistanceTo(at[j]));
        return largest;
    }

    /// <summary>Normal numbers of mean 0 and deviation 1 (Box and Muller 1958).</summary>
    private sealed class Gauss(Random random)
    {
        public double Next() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
    }
}
