using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>All lines of a block are sewn with one thread: what single lines follow of other things goes, or is looked for again on the stitches.</summary>
internal static class OneThread
{
    /// <summary>Without the places where something of another colour was followed, or the thread seemed to stand out the other way round. Even stitches all along outweigh the colour: the thread itself changes it then.</summary>
    public static TracedLine?[] Of(TracedLine?[] lines, Candidate kind, Photo photo, BlockPlane plane, IntendedGrid grid, StripWorkshop work) => kind.Direction is not { } colour ? lines
        : [.. OverPrint.Without(WithoutOtherColours(lines, work), photo, plane, grid, colour.Direction).Zip(lines, (left, whole) => whole is not null && (left?.Coverage ?? 0) < 0.4 * whole.Coverage && IsSewnAllAlong(whole, lines) ? whole : left)];

    /// <summary>Stitches plain and even all along; or as plain and as even as the other lines', in the line's very middle, whose light or shade the light from the side has turned round.</summary>
    private static bool IsSewnAllAlong(TracedLine line, TracedLine?[] lines)
    {
        const double plainStitches = 1, likeOthers = 0.6;
        if (!(line.Coverage > 0.9)) return false;
        TracedLine[] seen = [.. lines.Where(x => x is { AlongMm.Length: > 0 }).Select(x => x!)];
        Colour3 usual = UpperMedian.Of((Colour3[])[.. seen.Select(x => x.Colour)]);
        if (line.DashCorrelation >= 0.45 && line.Colour.Cosine(usual) > 0.3) return true;
        return IsShade(line.Colour) && IsShade(usual) && line.DashCorrelation > Math.Max(ClassScore.EvenStitches, likeOthers * UpperMedian.Of(seen.Select(x => x.DashCorrelation)))
            && StitchTexture.Middle(line.Texture) > Math.Max(plainStitches, likeOthers * UpperMedian.Of(seen.Select(x => StitchTexture.Middle(x.Texture))));
    }

    /// <summary>
    /// Single lines that follow a mark or print while the stitches run close beside them: looked for again there, and taken where the line then changes along
    /// its middle as the block's other lines do.
    /// </summary>
    public static TracedLine?[] OntoTheStitches(TracedLine?[] lines, Candidate thread, StripWorkshop work)
    {
        const double leastMm = 0.35, muchMore = 1.6, more = 1.25, leastUsual = 0.5;
        double usual = UpperMedian.Of(lines.Where(l => l?.Texture is not null).Select(l => StitchTexture.Middle(l!.Texture!)));
        if (usual < leastUsual) return lines;
        var beside = new double[lines.Length];
        for (int i = 0; i < lines.Length; i++)
        {
            if (lines[i]?.Texture is not { } texture) continue;
            (double height, double at, double width) = StitchTexture.Peak([texture]);
            if (Math.Abs(at) >= leastMm && width <= 0.75 && height > 0.5 * usual && height > muchMore * Math.Max(0.2, StitchTexture.Middle(texture))) beside[i] = at;
        }
        int[] chosen = [.. Enumerable.Range(0, lines.Length).Where(i => beside[i] != 0)];
        // Where most lines have it so, it is no mishap of single lines.
        if (chosen.Length == 0 || chosen.Length > 0.3 * lines.Count(l => l is not null)) return lines;
        TracedLine?[] again = work.TraceAll(thread.MovedOn(beside)), result = [.. lines];
        foreach (int i in chosen)
            if (again[i]?.Texture is { } texture && StitchTexture.Middle(texture) > more * StitchTexture.Middle(lines[i]!.Texture!) && again[i]!.Coverage > 0.8 * lines[i]!.Coverage && again[i]!.Contrast > 1) result[i] = again[i];
        return result;
    }

    /// <summary>Light from the side may turn a thread of the cloth's own colour lighter than its ground along one family and darker along another: a family plainly dashed goes by its own colour.</summary>
    private static TracedLine?[] WithoutOtherColours(TracedLine?[] lines, StripWorkshop work)
    {
        const double plainlyDashed = 0.3;
        TracedLine[] seen = [.. lines.Where(l => l is { AlongMm.Length: > 0 }).Select(l => l!)];
        if (seen.Length < 2) return lines;
        Colour3 all = UpperMedian.Of((Colour3[])[.. seen.Select(l => l.Colour)]);
        Dictionary<int, Colour3> usual = seen.GroupBy(l => l.Line.Family).ToDictionary(f => f.Key,
            f => UpperMedian.Of(f.Select(l => l.DashCorrelation)) >= plainlyDashed && UpperMedian.Of((Colour3[])[.. f.Select(l => l.Colour)]) is var own && (own.Cosine(all) > 0 || (IsShade(own) && IsShade(all))) ? own : all);
        return [.. lines.Select(l => l is not { AlongMm.Length: > 0 } ? l : OffColour.Without(l, work.ColoursOf(l), usual[l.Line.Family]))];
    }

    /// <summary>Light turns lighter into darker, never one hue into its opposite.</summary>
    private static bool IsShade(Colour3 c) => c.L * c.L > c.A * c.A + c.B * c.B;
}
