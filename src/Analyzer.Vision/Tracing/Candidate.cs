using Analyzer.Core.Pattern;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>One hypothesis of what the thread looks like, with the lines found under it.</summary>
internal sealed class Candidate(string name, ThreadColour? direction, List<HoughLine>[] hough, HoughLine?[] assigned)
{
    public string Name { get; } = name;

    public ThreadColour? Direction { get; private init; } = direction;

    /// <summary>The colour its lines were sought by: its own, unless it lies beside another kind's lines.</summary>
    public ThreadColour? SoughtAs { get; } = direction;

    /// <summary>Colours that do not count where any other does.</summary>
    public IReadOnlyList<Colour3> Marks { get; init; } = [];

    /// <summary>The ground's noise, and the marks' colours taken for noise too.</summary>
    public static ColourCovariance NoiseWith(IReadOnlyList<Colour3> marks, ColourCovariance noise) => marks.Count == 0 ? noise : noise.With(marks, ThreadColour.OthersStrength);

    /// <summary>What the net says about its lines, where it is the thread as the net sees it.</summary>
    public IReadOnlyList<Learnt.SightStrip?>? Sight { get; init; }

    /// <summary>How far beside the lines it was sought by it lies, mm for each intended line; null where it lies on them.</summary>
    public IReadOnlyList<double>? MovedMm { get; private init; }

    /// <summary>The thread beside these lines, in another colour.</summary>
    public Candidate Moved(string name, Func<int, double> movedMm, ThreadColour colour, IntendedGrid grid) => new(name, SoughtAs, Hough, Assigned) { Direction = colour, MovedMm = [.. grid.Lines.Select(l => movedMm(l.Family))] };

    /// <summary>The same lines, each looked for as far beside its place as given.</summary>
    public Candidate MovedOn(double[] byMm) => new(Name, SoughtAs, Hough, Assigned) { Direction = Direction, Marks = Marks, Sight = Sight, MovedMm = [.. byMm.Select((d, i) => d + (MovedMm?[i] ?? 0))] };

    /// <summary>The same with other straight lines for some of the intended ones.</summary>
    public Candidate Instead(HoughLine?[] others) => new(Name, SoughtAs, Hough, [.. Assigned.Zip(others, (a, o) => o ?? a)]) { Direction = Direction, Marks = Marks, Sight = Sight };

    public List<HoughLine>[] Hough { get; } = hough;

    public HoughLine?[] Assigned { get; } = assigned;

    public ClassScore? Score { get; set; }

    /// <summary>The lines' courses in the evidence, once they have been followed.</summary>
    public CoarsePath?[]? Paths { get; set; }

    /// <summary>Its lines that were looked at closely, by their number in the grid.</summary>
    public IReadOnlyDictionary<int, TracedLine> Probed { get; set; } = new Dictionary<int, TracedLine>();

    /// <summary>Every clear line, wherever it lies: what the grid check goes by.</summary>
    public List<SeenLine> Seen(FamilyEvidence[] evidence, IntendedGrid grid)
    {
        var result = new List<SeenLine>();
        for (int f = 0; f < Hough.Length; f++)
        {
            double typical = LineAssignment.Typical(Hough[f], Math.Max(3, grid.Lines.Count(l => l.Family == f)));
            foreach (HoughLine line in Hough[f].Where(h => h.Strength > 0.5 * typical && h.LengthMm > 20))
            {
                (double from, double to) = HoughLines.Extent(evidence[f], line);
                result.Add(new SeenLine(f, grid.Families[f].At(from, line.AcrossAt(from)), grid.Families[f].At(to, line.AcrossAt(to)), line.Strength));
            }
        }
        return result;
    }
}

/// <summary>The colour difference taken for the thread's, and the look-alikes' to be told from it.</summary>
internal sealed record ThreadColour(Colour3 Direction, IReadOnlyList<Colour3> Others)
{
    /// <summary>How strongly the look-alikes may vary, in noise units.</summary>
    public const double OthersStrength = 6;

    public Colour3 Discriminant(ColourCovariance noise) => noise.Discriminant(Direction, Others, OthersStrength);
}
