using Analyzer.Core.Geometry;

namespace Analyzer.Core.Pattern;

/// <summary>One intended line, clipped to the block. From is the end with the smaller u·p.</summary>
/// <param name="Id">Family letter and ordinal inside the block from 1, e.g. "A3".</param>
/// <param name="Family">Number of the family, from 0.</param>
/// <param name="Index">k of the family's definition; may be negative.</param>
public sealed record GridLine(string Id, int Family, int Index, BlockPoint From, BlockPoint To)
{
    public double LengthMm => From.DistanceTo(To);
}

/// <summary>An intended crossing of two or more lines inside the block.</summary>
/// <param name="Id">The ids of its lines joined by "x", e.g. "A3xB2xC4".</param>
public sealed record GridNode(string Id, IReadOnlyList<string> LineIds, BlockPoint Position);

/// <summary>What the maker meant to stitch: block size, line families, and the lines and crossings that follow.</summary>
public sealed class IntendedGrid
{
    /// <summary>Chords shorter than this in a corner of the block are not lines anyone stitches, mm.</summary>
    public const double ShortestLineMm = 5;

    /// <summary>A line nearer than this to an edge over its whole length is the ditch itself, mm.</summary>
    public const double DitchToleranceMm = 1;

    /// <summary>Crossings nearer than this to the ditch are turning points, not crossings, mm.</summary>
    public const double CrossingMarginMm = 1;

    /// <summary>Crossings of different pairs closer than this are one intended point, mm.</summary>
    public const double SamePointMm = 0.5;

    private readonly Dictionary<string, GridLine> _byId;

    public IntendedGrid(BlockSize size, IEnumerable<LineFamily> families)
    {
        Size = size;
        Families = [.. families];
        if (Families.Count is 0 or > 6)
            throw new ArgumentException("A grid has one to six families of lines.", nameof(families));
        for (int a = 0; a < Families.Count; a++)
            for (int b = 0; b < a; b++)
                if (AngleBetweenDeg(Families[a], Families[b]) < 5)
                    throw new ArgumentException($"Families {b + 1} and {a + 1} run in nearly the same direction; give them as one family.", nameof(families));
        Lines = [.. Families.SelectMany((family, number) => LinesOf(size, family, number))];
        if (Lines.Count == 0)
            throw new ArgumentException("No line of this grid lies inside the block; choose a smaller spacing.", nameof(families));
        if (Lines.Count > 2000)
            throw new ArgumentException($"This grid has {Lines.Count} lines; at most 2000 are accepted, choose a larger spacing.", nameof(families));
        _byId = Lines.ToDictionary(line => line.Id);
        Nodes = FindNodes();
    }

    public BlockSize Size { get; }

    public IReadOnlyList<LineFamily> Families { get; }

    public IReadOnlyList<GridLine> Lines { get; }

    public IReadOnlyList<GridNode> Nodes { get; }

    public GridLine Line(string id) => _byId[id];

    /// <summary>Acute angle between the directions of two families, degrees.</summary>
    public static double AngleBetweenDeg(LineFamily a, LineFamily b) =>
        Math.Acos(Math.Min(1, Math.Abs(a.AlongX * b.AlongX + a.AlongY * b.AlongY))) * 180 / Math.PI;

    /// <summary>The family letter used in line ids: A, B, C ...</summary>
    public static string FamilyLetter(int family) => ((char)('A' + family)).ToString();

    private static List<GridLine> LinesOf(BlockSize size, LineFamily family, int number)
    {
        BlockPoint[] corners = size.Corners();
        double low = corners.Min(family.Across), high = corners.Max(family.Across);
        double origin = family.Across(family.Through);
        int first = (int)Math.Ceiling((low - origin) / family.SpacingMm - 1e-9);
        int last = (int)Math.Floor((high - origin) / family.SpacingMm + 1e-9);
        var lines = new List<GridLine>();
        if (last - first > 3000)
            throw new ArgumentException("The spacing is too small for this block.", nameof(family));
        for (int k = first; k <= last; k++)
        {
            if (Chord(size, family, family.AcrossOfLine(k)) is not { } chord) continue;
            if (chord.From.DistanceTo(chord.To) < ShortestLineMm || LiesInDitch(size, chord.From, chord.To)) continue;
            lines.Add(new GridLine(FamilyLetter(number) + (lines.Count + 1), number, k, chord.From, chord.To));
        }
        return lines;
    }

    /// <summary>The part inside the block of the straight line n·p = acrossMm, or null.</summary>
    public static (BlockPoint From, BlockPoint To)? Chord(BlockSize size, LineFamily family, double acrossMm)
    {
        double low = double.NegativeInfinity, high = double.PositiveInfinity;
        BlockPoint start = family.At(0, acrossMm);
        if (!Clip(start.Xmm, family.AlongX, size.WidthMm, ref low, ref high)) return null;
        if (!Clip(start.Ymm, family.AlongY, size.HeightMm, ref low, ref high)) return null;
        return low < high ? (family.At(low, acrossMm), family.At(high, acrossMm)) : null;
    }

    private static bool Clip(double start, double step, double limit, ref double low, ref double high)
    {
        const double slack = 1e-9;
        if (Math.Abs(step) < 1e-12) return start >= -slack && start <= limit + slack;
        double a = -start / step, b = (limit - start) / step;
        low = Math.Max(low, Math.Min(a, b));
        high = Math.Min(high, Math.Max(a, b));
        return true;
    }

    private static bool LiesInDitch(BlockSize size, BlockPoint from, BlockPoint to)
    {
        bool Near(Func<BlockPoint, double> gap) => gap(from) < DitchToleranceMm && gap(to) < DitchToleranceMm;
        return Near(p => p.Xmm) || Near(p => p.Ymm) || Near(p => size.WidthMm - p.Xmm) || Near(p => size.HeightMm - p.Ymm);
    }

    private List<GridNode> FindNodes()
    {
        var crossings = new List<(BlockPoint At, GridLine A, GridLine B)>();
        for (int i = 0; i < Lines.Count; i++)
            for (int j = i + 1; j < Lines.Count; j++)
                if (Lines[i].Family != Lines[j].Family && Crossing(Lines[i], Lines[j]) is { } at && IsInside(at))
                    crossings.Add((at, Lines[i], Lines[j]));
        crossings.Sort((p, q) => (p.At.Ymm, p.At.Xmm).CompareTo((q.At.Ymm, q.At.Xmm)));
        var groups = new List<(BlockPoint At, SortedSet<int> Lines)>();
        var order = Lines.Select((line, position) => (line.Id, position)).ToDictionary(x => x.Id, x => x.position);
        var cells = new Dictionary<(int, int), List<int>>();
        foreach ((BlockPoint at, GridLine a, GridLine b) in crossings)
        {
            int found = FindGroup(groups, cells, at);
            if (found < 0)
            {
                found = groups.Count;
                groups.Add((at, []));
                (int, int) key = Cell(at);
                if (!cells.TryGetValue(key, out List<int>? list)) cells[key] = list = [];
                list.Add(found);
            }
            groups[found].Lines.Add(order[a.Id]);
            groups[found].Lines.Add(order[b.Id]);
        }
        return [.. groups.Select(g => NodeOf([.. g.Lines.Select(i => Lines[i])], g.At))];
    }

    private static (int, int) Cell(BlockPoint p) => ((int)Math.Floor(p.Xmm), (int)Math.Floor(p.Ymm));

    private static int FindGroup(List<(BlockPoint At, SortedSet<int> Lines)> groups, Dictionary<(int, int), List<int>> cells, BlockPoint at)
    {
        (int cx, int cy) = Cell(at);
        for (int dx = -1; dx <= 1; dx++)
            for (int dy = -1; dy <= 1; dy++)
                if (cells.TryGetValue((cx + dx, cy + dy), out List<int>? list))
                    foreach (int index in list)
                        if (groups[index].At.DistanceTo(at) < SamePointMm) return index;
        return -1;
    }

    private static GridNode NodeOf(List<GridLine> lines, BlockPoint at) =>
        new(string.Join('x', lines.Select(line => line.Id)), [.. lines.Select(line => line.Id)], at);

    /// <summary>Where two intended lines meet, or null where they do not within the block.</summary>
    private BlockPoint? Crossing(GridLine a, GridLine b)
    {
        LineFamily fa = Families[a.Family], fb = Families[b.Family];
        double ca = fa.Across(a.From), cb = fb.Across(b.From);
        double det = fa.AcrossX * fb.AcrossY - fa.AcrossY * fb.AcrossX;
        return new BlockPoint((ca * fb.AcrossY - cb * fa.AcrossY) / det, (fa.AcrossX * cb - fb.AcrossX * ca) / det);
    }

    private bool IsInside(BlockPoint p) =>
        p.Xmm > CrossingMarginMm && p.Ymm > CrossingMarginMm &&
        p.Xmm < Size.WidthMm - CrossingMarginMm && p.Ymm < Size.HeightMm - CrossingMarginMm;
}
