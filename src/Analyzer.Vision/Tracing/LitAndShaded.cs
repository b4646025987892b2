using Analyzer.Core.Pattern;
using Analyzer.Core.Statistics;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// A thread of nearly the cloth's own colour under light from the side shows as two lines, its lit side and its shaded one, both dashed alike. The lighter one,
/// with a profile that fits badly because of the darker one beside it, is not the thread's middle: that lies between the two.
/// </summary>
/// <remarks>
/// Measured on 33 families of lines by four unrelated photo makers with their truth: half way between the two the mean error was 0.05 to 0.09 mm, on the lighter
/// line 0.06 to 0.16 mm. Where the lighter line's profile fits well it is the thread itself; and where the darker line scores better, that is.
/// </remarks>
internal static class LitAndShaded
{
    /// <summary>Misfit from which the lighter line is one side only, and how nearly the darker one must be as dashed and as plain to see.</summary>
    private const double LeastMisfit = 0.04, LeastDash = 0.2, LeastContrast = 0.7;

    /// <summary>Nearer than this the two are one line, farther apart they are not one thread, mm.</summary>
    private const double NearestMm = 0.06, FarthestMm = 0.45;

    /// <summary>Share of the distance that the thread's place stays unsure by, one standard uncertainty.</summary>
    private const double UnsureShare = 0.3;

    /// <summary>The darker side of the thread taken, or null where that is no lighter side.</summary>
    public static Candidate? ShadedSide(Candidate thread, IReadOnlyList<Candidate> candidates) =>
        thread is { Direction: { Direction.L: > 0 } lit, Score: { MisfitShare: >= LeastMisfit } own }
            ? candidates.FirstOrDefault(c => c.Direction is { } d && c.MovedMm is null && d.Direction.Cosine(lit.Direction) < -0.7 && c.Score is { FoundShare: > 0.6, Coverage: > 0.8 } s
                && s.DashCorrelation >= Math.Min(LeastDash, own.DashCorrelation) && s.Contrast > LeastContrast * own.Contrast)
            : null;

    /// <summary>The lines half way to the darker side, each family by its own usual distance.</summary>
    public static TracedLine?[] Between(IReadOnlyList<TracedLine?> lit, IReadOnlyList<TracedLine?> shaded, IntendedGrid grid)
    {
        TracedLine?[] result = [.. lit];
        for (int family = 0; family < grid.Families.Count; family++)
        {
            int[] own = [.. Enumerable.Range(0, result.Length).Where(i => lit[i] is not null && grid.Lines[i].Family == family)];
            double[] apart = [.. own.Where(i => shaded[i] is not null).SelectMany(i => Distances(lit[i]!, shaded[i]!))];
            if (apart.Length < 20) continue;
            double distance = UpperMedian.Of(apart);
            if (Math.Abs(distance) is < NearestMm or > FarthestMm) continue;
            foreach (int i in own) result[i] = lit[i]!.Moved(distance / 2).LessSure(UnsureShare * Math.Abs(distance));
        }
        return result;
    }

    /// <summary>A line is plainly lighter or darker than the cloth from this on, in units of the cloth's noise.</summary>
    private const double PlainLightness = 2;

    /// <summary>So many millimetres on either side of a change from light to dark are compared, and so many places of each at least; so many changes of each kind must a family have.</summary>
    private const int SideMm = 6, FewestPlaces = 3, FewestChanges = 3;

    /// <summary>Farther apart than this they are not one thread, mm; and how many times its standard uncertainty their distance must be.</summary>
    private const double FarthestSidesMm = 0.7, SureTimes = 4;

    /// <summary>Light and shade of one thread are one colour, the one as much more of it as the other is less: cosine of the two at most, and how many times the weaker the stronger may be.</summary>
    private const double MostCosine = -0.8, MostTimes = 2.5;

    /// <summary>
    /// Lines followed in whatever colour stands out go over from the thread's lit side to its shaded one and back. Where the two lie apart, and always to the same side of each other along a family's lines, the thread's middle is between.
    /// </summary>
    /// <param name="colours">A line's colour against the cloth at each of its places, in units of the cloth's noise.</param>
    public static TracedLine?[] BetweenSides(IReadOnlyList<TracedLine?> lines, Func<TracedLine, Colour3[]> colours, IntendedGrid grid)
    {
        TracedLine?[] result = [.. lines];
        for (int family = 0; family < grid.Families.Count; family++)
        {
            Sided[] own = [.. Enumerable.Range(0, result.Length).Where(i => lines[i] is { AlongMm.Length: > 0 } && grid.Lines[i].Family == family).Select(i => Sided.Of(i, lines[i]!, colours(lines[i]!)))];
            if (!AreLightAndShade(own)) continue;
            // A line's own slope makes the one kind of change greater and the other smaller.
            double[] toShade = [.. own.SelectMany(l => l.StepsMm(1))], toLight = [.. own.SelectMany(l => l.StepsMm(-1))];
            if (Math.Min(toShade.Length, toLight.Length) < FewestChanges) continue;
            double shadeMm = UpperMedian.Of(toShade), lightMm = UpperMedian.Of(toLight), apartMm = (shadeMm + lightMm) / 2;
            double uMm = TracedLine.Joined(MedianUMm(toShade), MedianUMm(toLight)) / 2;
            if (shadeMm * lightMm <= 0 || Math.Abs(apartMm) is < NearestMm or > FarthestSidesMm || Math.Abs(apartMm) < SureTimes * uMm) continue;
            foreach (Sided line in own) result[line.Index] = line.Between(apartMm);
        }
        return result;

        // Of a median of normal data, pi / 2 times the mean's in variance.
        static double MedianUMm(double[] valuesMm) => Math.Sqrt(Math.PI / 2 / valuesMm.Length) * Moments.RobustSd(valuesMm);
    }

    private static bool AreLightAndShade(Sided[] lines)
    {
        Colour3[] lit = [.. lines.SelectMany(l => l.ColoursOf(1))], shaded = [.. lines.SelectMany(l => l.ColoursOf(-1))];
        if (lit.Length == 0 || shaded.Length == 0) return false;
        Colour3 light = UpperMedian.Of(lit), shade = UpperMedian.Of(shaded);
        return light.Cosine(shade) < MostCosine && Math.Max(light.Norm, shade.Norm) < MostTimes * Math.Min(light.Norm, shade.Norm);
    }

    /// <summary>A line and, at each of its places, how much it is the lit side (1) or the shaded one (-1); 0 where its stitches told the place.</summary>
    private sealed record Sided(int Index, TracedLine Line, Colour3[] Colours, double[] Side)
    {
        public static Sided Of(int index, TracedLine line, Colour3[] colours)
        {
            double[] sums = MovingSum.Of([.. colours.Select(c => c.L)], 2), places = MovingSum.Of([.. Enumerable.Repeat(1.0, colours.Length)], 2);
            return new Sided(index, line, colours, [.. sums.Select((s, k) => line.ByStitchesMm.Contains(line.AlongMm[k]) ? 0 : Math.Clamp(s / places[k] / PlainLightness, -1, 1))]);
        }

        public IEnumerable<Colour3> ColoursOf(int side) => Colours.Where((_, k) => Side[k] == side);

        /// <summary>How far the shaded side lies from the lit one, mm toward n, wherever the line goes over from the side given to the other.</summary>
        public IEnumerable<double> StepsMm(int fromSide)
        {
            int from = 0;
            for (int i = 1; i < Side.Length; i++)
            {
                if (Math.Abs(Side[i]) < 1) continue;
                if (Side[from] == fromSide && Side[i] == -fromSide && Line.AlongMm[i] - Line.AlongMm[from] < SideMm)
                {
                    int first = from, last = i;
                    while (first > 0 && Side[first - 1] == fromSide && Line.AlongMm[from] - Line.AlongMm[first - 1] < SideMm) first--;
                    while (last + 1 < Side.Length && Side[last + 1] == -fromSide && Line.AlongMm[last + 1] - Line.AlongMm[i] < SideMm) last++;
                    if (from + 1 - first >= FewestPlaces && last + 1 - i >= FewestPlaces)
                        yield return fromSide * (Line.DeviationMm[i..(last + 1)].Average() - Line.DeviationMm[first..(from + 1)].Average());
                }
                from = i;
            }
        }

        /// <summary>Each side moved half way to the other. How far the middle is from half way stays unsure, for the line as a whole by what it has more of the one side than of the other.</summary>
        public TracedLine Between(double apartMm)
        {
            TracedLine moves = Line with { DeviationMm = [.. Side.Select(s => s * apartMm / 2)] };
            double unsureMm = UnsureShare * Math.Abs(apartMm);
            return (Line with
            {
                DeviationMm = [.. Line.DeviationMm.Zip(moves.DeviationMm, (at, move) => at + move)],
                FineDeviationMm = [.. Line.FineAlongMm.Zip(Line.FineDeviationMm, (along, at) => at + moves.At(along))],
            }).LessSure(unsureMm * Math.Abs(Side.Average()), unsureMm);
        }
    }

    /// <summary>How far the second line lies from the first where both were seen, mm toward n; places far apart belong to something else.</summary>
    private static IEnumerable<double> Distances(TracedLine first, TracedLine second)
    {
        int k = 0;
        for (int i = 0; i < first.AlongMm.Length; i++)
        {
            while (k < second.AlongMm.Length && second.AlongMm[k] < first.AlongMm[i] - 0.01) k++;
            if (k == second.AlongMm.Length) yield break;
            double apart = second.DeviationMm[k] - first.DeviationMm[i];
            if (Math.Abs(second.AlongMm[k] - first.AlongMm[i]) < 0.01 && Math.Abs(apart) < 1) yield return apart;
        }
    }
}
