using Analyzer.Core.Pattern;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// Lines that were lost because a stripe's edge or a mark showed more than the thread, sought again by what the block's other lines have told of it: in their colour, or along other straight lines near their place. One is taken only if it is then
/// of the same colour as those, or as dashed and as uneven along its middle.
/// </summary>
internal sealed class SecondSight
{
    /// <summary>Nearest other straight lines that are tried for a lost one.</summary>
    private const int MostTries = 2;

    /// <summary>How far from its place a lost line is looked for, share of the spacing.</summary>
    private const double NearShare = 0.35;

    /// <summary>Less change along the middle than this, and shorter dashes, say nothing.</summary>
    private const double LeastTexture = 0.3, LeastDash = 0.3;

    private readonly Candidate _thread;
    private readonly StripWorkshop _work;
    private readonly IntendedGrid _grid;
    private readonly TracedLine[] _seen;
    private readonly double _texture, _dash, _contrast;

    private SecondSight(IReadOnlyList<TracedLine?> lines, Candidate thread, StripWorkshop work, IntendedGrid grid)
    {
        (_thread, _work, _grid) = (thread, work, grid);
        _seen = [.. lines.OfType<TracedLine>().Where(l => l is { Coverage: > 0.7, AlongMm.Length: > 20, Texture: not null })];
        _texture = UpperMedian.Of(_seen.Select(l => StitchTexture.Middle(l.Texture!)));
        _dash = UpperMedian.Of(_seen.Select(l => l.DashCorrelation));
        _contrast = UpperMedian.Of(_seen.Select(l => l.Contrast));
    }

    /// <param name="lines">What was kept.</param>
    /// <param name="before">What was traced.</param>
    /// <param name="seek">Finds the straight lines of a colour.</param>
    public static TracedLine?[] Of(TracedLine?[] lines, IReadOnlyList<TracedLine?> before, Candidate thread, StripWorkshop work, IntendedGrid grid, Func<ThreadColour, Candidate> seek)
    {
        if (thread.MovedMm is not null || !lines.Any(IsLost)) return lines;
        var sight = new SecondSight(lines, thread, work, grid);
        if (sight._seen.Length < 2 || (sight._texture < LeastTexture && sight._dash < LeastDash)) return lines;
        return sight.ByOtherPeaks(sight.ByColour(lines, before, seek));
    }

    /// <summary>Whether hardly anything is left of a line.</summary>
    public static bool IsLost(TracedLine? line) => line is null or { Coverage: < 0.3 } or { AlongMm.Length: < 3 };

    /// <summary>
    /// Whole families that went because drawn lines or stripes were followed, while another family is plainly dashed: sought in that family's colour, with what was followed taken for a
    /// look-alike. Where the thread's colour was not asked for at first, single lines too.
    /// </summary>
    private TracedLine?[] ByColour(TracedLine?[] lines, IReadOnlyList<TracedLine?> before, Func<ThreadColour, Candidate> seek)
    {
        const double plainlyDashed = 0.3, otherKind = 0.8, sameKind = 0.85;
        int[] families = [.. Enumerable.Range(0, _grid.Families.Count)];
        int[] lost = [.. families.Where(f => Of(lines, f).Count(IsLost) >= 2 && Of(lines, f).Count(IsLost) > 0.6 * Of(lines, f).Length)];
        TracedLine[] good = [.. families.Except(lost).SelectMany(f => _seen.Where(l => l.Line.Family == f)).Where(l => l.DashCorrelation >= plainlyDashed)];
        if (good.Length < 2 || (lost.Length == 0 && _thread.Direction is not null)) return lines;
        Colour3 colour = UpperMedian.Of((Colour3[])[.. good.Select(l => l.Colour)]);
        if (good.Any(l => l.Colour.Cosine(colour) < sameKind)) return lines;
        Colour3[] others = [.. lost.Select(f => Of(before, f).OfType<TracedLine>().Where(l => l.AlongMm.Length > 20).Select(l => l.Colour).ToArray()).Where(c => c.Length >= 2)
            .Select(UpperMedian.Of).Where(c => c.Cosine(colour) < otherKind).Select(_work.KindOf)];
        if (others.Length == 0 && _thread.Direction is not null) return lines;
        TracedLine?[] again = _work.TraceAll(seek(new ThreadColour(_work.KindOf(colour), others)));
        return [.. lines.Select((l, i) => IsLost(l) && (_thread.Direction is null || lost.Contains(_grid.Lines[i].Family)) && again[i] is { } other && IsThread(other) ? other : l)];

        bool IsThread(TracedLine l) => l is { Coverage: > 0.7, AlongMm.Length: >= 10 } && !Consistency.RunsInTheDitch(l, _grid) && l.Contrast > 0.4 * _contrast && l.Colour.Cosine(colour) > sameKind;

        TracedLine?[] Of(IReadOnlyList<TracedLine?> all, int f) => [.. Enumerable.Range(0, all.Count).Where(i => _grid.Lines[i].Family == f).Select(i => all[i])];
    }

    /// <summary>Single lines: the other straight lines seen near their place.</summary>
    private TracedLine?[] ByOtherPeaks(TracedLine?[] lines)
    {
        TracedLine?[] result = [.. lines];
        for (int rank = 0; rank < MostTries; rank++)
        {
            var other = new HoughLine?[lines.Length];
            for (int i = 0; i < lines.Length; i++)
                if (IsLost(result[i])) other[i] = Others(i).ElementAtOrDefault(rank);
            if (other.All(o => o is null)) break;
            TracedLine?[] again = _work.TraceAll(_thread.Instead(other));
            for (int i = 0; i < lines.Length; i++)
                if (other[i] is not null && again[i] is { } line && IsLikeTheOthers(line)) result[i] = line;
        }
        return result;
    }

    private bool IsLikeTheOthers(TracedLine l) => l.Coverage > 0.7 && l.AlongMm.Length >= 10 && !Consistency.RunsInTheDitch(l, _grid) && l.Texture is not null && l.Contrast > 0.4 * _contrast
        && (_texture < LeastTexture || StitchTexture.Middle(l.Texture) > 0.6 * _texture) && (_dash < LeastDash || l.DashCorrelation > 0.5 * _dash)
        && (_thread.Direction is null || l.Colour.Cosine(Usual(l.Line.Family)) > 0.9);

    /// <summary>Colour of the family's lines, or of all where none of them was seen.</summary>
    private Colour3 Usual(int family)
    {
        Colour3[] own = [.. _seen.Where(s => s.Line.Family == family).Select(s => s.Colour)];
        return UpperMedian.Of(own.Length > 0 ? own : [.. _seen.Select(s => s.Colour)]);
    }

    /// <summary>Near its place, not the one that was followed, and nobody else's; the nearest first.</summary>
    private IEnumerable<HoughLine> Others(int i)
    {
        GridLine line = _grid.Lines[i];
        LineFamily family = _grid.Families[line.Family];
        double mid = family.Along(line.From) + line.LengthMm / 2, across = family.AcrossOfLine(line.Index);
        return _thread.Hough[line.Family]
            .Where(h => Math.Abs(h.AcrossAt(mid) - across) < NearShare * family.SpacingMm && !Enumerable.Range(0, _grid.Lines.Count).Any(k => IsTaken(k, h)))
            .OrderBy(h => Math.Abs(h.AcrossAt(mid) - across));

        bool IsTaken(int k, HoughLine h) => _grid.Lines[k].Family == line.Family && _thread.Assigned[k] is { } a
            && (a == h || (k != i && Math.Abs(a.AcrossAt(mid) - h.AcrossAt(mid)) < HoughLines.SameLineMm));
    }
}
