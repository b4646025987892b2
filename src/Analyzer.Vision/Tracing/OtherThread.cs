using Analyzer.Core.Pattern;
using Analyzer.Vision.Learnt;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// Where the taught net runs along another thread than the block's: basting, a repair in another colour. To the net both are thread, and it takes the plainer; the block's has one colour, and where what was followed has that colour, and
/// the other plainly the opposite one, it is the other that is not the block's.
/// </summary>
/// <remarks>Where the net sees no thread in what was followed, its word stands whatever the colours: that is a mark, or the lit side of a furrow whose thread lies in the dark.</remarks>
internal static class OtherThread
{
    /// <summary>Cosine to the thread's usual colour, and share of its strength, from which a place is the thread; and those of what is plainly another.</summary>
    private const double Same = 0.75, SameStrength = 0.5, Opposite = -0.5, OppositeStrength = 0.7;

    /// <summary>Log odds of thread that the net itself must give what was followed: along marks, beside a thread of the opposite colour, they were -2 and less.</summary>
    private const double LikeThread = -1.5;

    /// <summary>So long must it run along the other one, and so much beyond either end of that the two draw near each other, mm.</summary>
    private const int LeastMm = 4, RimMm = 4;

    /// <summary>Places this near to one another are looked at together, mm.</summary>
    private const int NearMm = 1;

    /// <summary>Nearer than this the two are at one, mm; along so much of a family they must be, so that its colour is the thread's and not a mark's.</summary>
    private const double TogetherMm = 0.25, MostTogether = 0.6;

    /// <summary>So much of that must be of one colour: on a block of several cloths, and of a thread that changes, colours tell nothing.</summary>
    private const double MostAlike = 0.8;

    /// <summary>The thread's colour along a family: that of the places where what was followed and the net's course are at one, or none where they are so along too little, or it is not one colour.</summary>
    public static Colour3 ColourOf(IReadOnlyList<(TracedLine Line, SightPath Net)> family, Func<GridLine, double, double, Colour3> colourAt)
    {
        var colours = new List<Colour3>();
        foreach ((TracedLine line, SightPath net) in family)
            for (int i = 0; i < line.AlongMm.Length; i++)
                if (Math.Abs(net.CourseAt(line.AlongMm[i]) - line.DeviationMm[i]) < TogetherMm) colours.Add(colourAt(line.Line, line.AlongMm[i], line.DeviationMm[i]));
        if (colours.Count == 0 || colours.Count < MostTogether * family.Sum(x => x.Line.AlongMm.Length)) return default;
        Colour3 usual = UpperMedian.Of(colours);
        return colours.Count(c => c.Cosine(usual) >= Same) >= MostAlike * colours.Count ? usual : default;
    }

    /// <summary>Whole millimetres of the line where the net's course is not to be gone by.</summary>
    /// <param name="usual">The usual colour of the family's lines.</param>
    /// <param name="colourAt">The colour at a place along and beside the line, as that of lines is taken.</param>
    public static double[] Along(TracedLine line, SightPath net, Colour3 usual, Func<double, double, Colour3> colourAt)
    {
        if (line.AlongMm.Length == 0 || !(usual.Norm > 0)) return [];
        int n = (int)line.AlongMm[^1] + 1;
        var isOther = new bool?[n + 1];
        for (int i = 0; i < line.AlongMm.Length; i++)
        {
            double s = line.AlongMm[i], own = line.DeviationMm[i], other = net.CourseAt(s);
            isOther[(int)Math.Round(s)] = Math.Abs(other - own) > LearntKind.ApartMm && net.Strip.At(s, own) > LikeThread && Is(Near(line.At), Same, SameStrength) && Is(-1 * Near(net.CourseAt), -Opposite, OppositeStrength);

            Colour3 Near(Func<double, double> course)
            {
                Colour3 sum = default;
                for (int d = -NearMm; d <= NearMm; d++) sum += 1.0 / (2 * NearMm + 1) * colourAt(s + d, course(s + d));
                return sum;
            }
        }
        // The runs are of places seen: a gap of the line's own tells nothing, and ends nothing.
        int[] seen = [.. Enumerable.Range(0, isOther.Length).Where(mm => isOther[mm] is not null)];
        bool[] marked = LongRuns.Of([.. seen.Select(mm => isOther[mm]!.Value)], LeastMm), runs = new bool[isOther.Length];
        for (int k = 0; k < seen.Length; k++)
        {
            if (!marked[k]) continue;
            Array.Fill(runs, true, seen[k], k + 1 < seen.Length && marked[k + 1] ? seen[k + 1] - seen[k] : 1);
        }
        return [.. Enumerable.Range(0, runs.Length).Where(mm => Enumerable.Range(mm - RimMm, 2 * RimMm + 1).Any(k => k >= 0 && k < runs.Length && runs[k])).Select(mm => (double)mm)];

        bool Is(Colour3 colour, double cosine, double strength) => colour.Cosine(usual) >= cosine && colour.Norm >= strength * usual.Norm;
    }
}
