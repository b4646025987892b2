using Analyzer.Core.Pattern;
using Analyzer.Vision.Learnt;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// Where the taught net runs along another thread than the block's: basting, a repair in another colour. To the net both are thread, and it takes the plainer; the block's has one colour, and where what was followed has that colour, and
/// the other plainly the opposite one, it is the other that is not the block's. Where the block's colour is firm, so is what has hardly any of it: ground, a print's outline, a thick thread's rim.
/// </summary>
/// <remarks>Where the net sees hardly any thread in what was followed, its word stands whatever the colours: that is a mark, or the lit side of a furrow whose thread lies in the dark.</remarks>
internal static class OtherThread
{
    /// <summary>Cosine to the thread's usual colour, and share of its strength, from which a place is the thread; and those of what is plainly another.</summary>
    private const double Same = 0.75, SameStrength = 0.5, Opposite = -0.5, OppositeStrength = 0.7;

    /// <summary>Log odds of thread that the net itself must give what was followed: along marks, beside a thread of the opposite colour, they were -2 and less.</summary>
    private const double LikeThread = -1.5;

    /// <summary>
    /// Where the colour is firm, what lies farther than this from a course that has it in full is no thread if it has less than so much of it, and is not plainly of the opposite colour either: the ground, a print's outline, the thread's own dark rim. Log odds that the net must give the
    /// course then: of a thick pale thread whose shade it took in places they were -0.2 to -2, beside a print's outline down to -4.6; of pencil's course beside a thread of that colour -3.5 to -5.6. What has much more of it than the thread is a furrow's shade or a mark.
    /// </summary>
    private const double FirmApartMm = 0.3, FirmSame = 0.93, FirmStrength = 0.6, MostStrength = 1.5, Alike = 0.5, LeastStrength = 0.35, AnotherStrength = 0.85, FirmLikeThread = -3;

    /// <summary>So long must it run along the other one, and so much beyond either end of that the two draw near each other, mm.</summary>
    private const int LeastMm = 4, FirmLeastMm = 3, RimMm = 4;

    /// <summary>Places this near to one another are looked at together, mm.</summary>
    private const int NearMm = 1;

    /// <summary>Nearer than this the two are at one, mm; along so much of a family they must be, so that its colour is the thread's and not a mark's.</summary>
    private const double TogetherMm = 0.25, MostTogether = 0.6;

    /// <summary>So much of that must be of one colour: on a block of several cloths, and of a thread that changes, colours tell nothing.</summary>
    private const double MostAlike = 0.8;

    /// <summary>The same for a firm colour; and along so much of what is at one the net must see thread: along marks it sees none.</summary>
    private const double NearlyAllTogether = 0.75, AllAlike = 0.9, SeenAsThread = 0.5;

    /// <summary>Fewer lines than these do not tell their family's colour.</summary>
    private const int FewestOthers = 3;

    /// <summary>The thread's colour along a family: that of the places where what was followed and the net's course are at one, or none where they are so along too little, or it is not one colour.</summary>
    /// <remarks>Firm where they are at one along three quarters of it, nine tenths of that have one colour, and the net sees thread along half of it: there the colour alone tells thread from what is none.</remarks>
    public static FamilyColour ColourOf(IReadOnlyList<(TracedLine Line, SightPath Net)> family, Func<GridLine, double, double, Colour3> colourAt)
    {
        var colours = new List<Colour3>();
        int places = family.Sum(x => x.Line.AlongMm.Length), seen = 0;
        foreach ((TracedLine line, SightPath net) in family)
        {
            for (int i = 0; i < line.AlongMm.Length; i++)
            {
                if (Math.Abs(net.CourseAt(line.AlongMm[i]) - line.DeviationMm[i]) >= TogetherMm) continue;
                colours.Add(colourAt(line.Line, line.AlongMm[i], line.DeviationMm[i]));
                if (net.OddsAt(line.AlongMm[i]) > 0) seen++;
            }
        }
        if (colours.Count == 0 || colours.Count < MostTogether * places) return default;
        (Colour3 usual, double alike) = Usual(colours);
        return alike < MostAlike ? default : new FamilyColour(usual, colours.Count >= NearlyAllTogether * places && alike >= AllAlike && seen >= SeenAsThread * colours.Count);
    }

    /// <summary>Which lines, followed where the net sees thread, went for more than half of their length onto what has another colour than their family's others, and had theirs before: there the net took a thread laid across the block for the line's.</summary>
    public static bool[] HasLeft(TracedLine?[] lines, TracedLine?[] before)
    {
        return [.. lines.Zip(before, (now, then) => now is { AlongMm.Length: > 1 } && then is { AlongMm.Length: > 1 } && OthersOf(now) is { } usual && now.Colour.Cosine(usual) < Alike && Is(then.Colour, usual, Same, SameStrength))];

        Colour3? OthersOf(TracedLine line)
        {
            Colour3[] others = [.. lines.OfType<TracedLine>().Where(l => l != line && l.Line.Family == line.Line.Family && l.AlongMm.Length > 1).Select(l => l.Colour)];
            return others.Length >= FewestOthers && Usual(others) is (var usual, >= MostAlike) ? usual : null;
        }
    }

    /// <summary>Whole millimetres of the line where the net's course is not to be gone by.</summary>
    /// <param name="thread">The colour of the family's lines.</param>
    /// <param name="colourAt">The colour at a place along and beside the line, as that of lines is taken.</param>
    public static double[] Along(TracedLine line, SightPath net, FamilyColour thread, Func<double, double, Colour3> colourAt)
    {
        Colour3 usual = thread.Usual;
        if (line.AlongMm.Length == 0 || !(usual.Norm > 0)) return [];
        int n = (int)line.AlongMm[^1] + 1;
        var isBeside = new bool?[n + 1];
        for (int i = 0; i < line.AlongMm.Length; i++)
        {
            double s = line.AlongMm[i], own = line.DeviationMm[i], other = net.CourseAt(s);
            double apart = Math.Abs(other - own), odds = net.Strip.At(s, own);
            isBeside[(int)Math.Round(s)] = false;
            if (apart <= (thread.IsFirm ? FirmApartMm : LearntKind.ApartMm) || odds <= (thread.IsFirm ? FirmLikeThread : LikeThread)) continue;
            Colour3 followed = Near(line.At), beside = Near(net.CourseAt);
            bool isOther = apart > LearntKind.ApartMm && odds > LikeThread && Is(followed, usual, Same, SameStrength) && Is(-1 * beside, usual, -Opposite, OppositeStrength);
            bool isNone = thread.IsFirm && Is(followed, usual, FirmSame, FirmStrength) && followed.Norm <= MostStrength * usual.Norm && !Is(beside, usual, Alike, LeastStrength) && !Is(-1 * beside, usual, -Opposite, AnotherStrength);
            isBeside[(int)Math.Round(s)] = isOther || isNone;

            Colour3 Near(Func<double, double> course)
            {
                Colour3 sum = default;
                for (int d = -NearMm; d <= NearMm; d++) sum += 1.0 / (2 * NearMm + 1) * colourAt(s + d, course(s + d));
                return sum;
            }
        }
        // The runs are of places seen: a gap of the line's own tells nothing, and ends nothing.
        int[] seen = [.. Enumerable.Range(0, isBeside.Length).Where(mm => isBeside[mm] is not null)];
        bool[] marked = LongRuns.Of([.. seen.Select(mm => isBeside[mm]!.Value)], thread.IsFirm ? FirmLeastMm : LeastMm), runs = new bool[isBeside.Length];
        for (int k = 0; k < seen.Length; k++)
        {
            if (!marked[k]) continue;
            Array.Fill(runs, true, seen[k], k + 1 < seen.Length && marked[k + 1] ? seen[k + 1] - seen[k] : 1);
        }
        return [.. Enumerable.Range(0, runs.Length).Where(mm => Enumerable.Range(mm - RimMm, 2 * RimMm + 1).Any(k => k >= 0 && k < runs.Length && runs[k])).Select(mm => (double)mm)];
    }

    /// <summary>The usual one of some colours, and what share of them is like it.</summary>
    private static (Colour3 Usual, double AlikeShare) Usual(IReadOnlyCollection<Colour3> colours)
    {
        Colour3 usual = UpperMedian.Of(colours);
        return (usual, colours.Count(c => c.Cosine(usual) >= Same) / (double)colours.Count);
    }

    private static bool Is(Colour3 colour, Colour3 usual, double cosine, double strength) => colour.Cosine(usual) >= cosine && colour.Norm >= strength * usual.Norm;
}

/// <summary>The colour of a family's thread, in noise units of its ground; none where it is not known.</summary>
/// <param name="IsFirm">Whether what has hardly any of that colour is no thread.</param>
internal readonly record struct FamilyColour(Colour3 Usual, bool IsFirm);
