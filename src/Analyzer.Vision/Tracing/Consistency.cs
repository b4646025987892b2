using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>One thread stitches one block: a line that is nothing like the others is not that thread.</summary>
internal static class Consistency
{
    /// <summary>Below this share of the block's usual contrast and of its usual dashes a line is a mark, a shadow or print.</summary>
    private const double StrangerContrast = 0.3, StrangerDash = 0.55;

    /// <summary>Below this share of the usual contrast a line without the block's dashes is none, however uneven it is.</summary>
    private const double FaintContrast = 0.2;

    /// <summary>So much likeness to dashes is chance.</summary>
    private const double ChanceDash = 0.05;

    /// <summary>A line this far from where its family lies (share of the spacing) must be as dashed as the others to be believed.</summary>
    private const double FarShare = 0.2;

    /// <param name="oneColour">Whether the thread is known to be of one colour all along.</param>
    public static TracedLine?[] WithoutStrangers(TracedLine?[] lines, IntendedGrid grid, bool oneColour)
    {
        lines = [.. lines.Select(l => l is not null && RunsInTheDitch(l, grid) ? null : l)];
        TracedLine[] seen = [.. lines.OfType<TracedLine>().Where(l => l.Coverage > 0.5 && double.IsFinite(l.Contrast))];
        if (seen.Length < 4) return lines;
        double contrast = UpperMedian.Of(seen.Select(l => l.Contrast)), ratio = UpperMedian.Of(seen.Select(l => l.DashRatio));
        double dash = UpperMedian.Of(seen.Where(l => l.Line.LengthMm > 40).Select(l => l.DashCorrelation));
        double[] place = [.. Enumerable.Range(0, grid.Families.Count).Select(f => UpperMedian.Of(seen.Where(l => l.Line.Family == f).Select(Place)))];
        double wobble = UpperMedian.Of(seen.Where(l => l.DeviationMm.Length >= 5).Select(Wobble));
        double scatter = UpperMedian.Of(seen.Select(l => Math.Abs(Place(l) - place[l.Line.Family])));
        double texture = UpperMedian.Of(seen.Where(l => l.Texture is not null).Select(l => StitchTexture.Middle(l.Texture!)));
        Colour3 colour = UpperMedian.Of((Colour3[])[.. seen.Select(l => l.Colour)]);
        double sway = UpperMedian.Of(seen.Select(Sway).OfType<double>());
        // Whatever colour it was followed in: nearly all lines are of one.
        int alike = seen.Count(l => l.Colour.Cosine(colour) > 0.9);
        bool ofOneColour = oneColour || alike >= 0.8 * seen.Length, mostOfOneColour = alike >= 0.7 * seen.Length;
        bool[] drawn = [.. Enumerable.Range(0, grid.Families.Count).Select(f => IsFormless(seen, f) || (oneColour && IsDrawn(seen, f, grid.Families.Count)))];
        return [.. lines.Select(l => l is not null && (IsMarkAlone(l, seen) || IsLooseRun(l, seen) || (mostOfOneColour && IsPaleAndOfAnotherColour(l, seen, colour)) || ((drawn[l.Line.Family] || !IsStitched(l)) && (drawn[l.Line.Family] || (!IsCornerOfThread(l) && IsStranger(l, Usual(l, x => x.Contrast, contrast), Usual(l, x => x.DashRatio, ratio), dash)) || IsFarAndPlain(l) || IsRuled(l) || IsLost(l) || IsAstray(l) || IsUnstitched(l) || IsRuledAndPale(l) || IsRuledAmongFree(l) || IsOfAnotherColour(l)))) ? null : l)];

        double OfFamily(TracedLine l) => seen.Where(s => s.Line.Family == l.Line.Family && s.Texture is not null).Select(s => StitchTexture.Middle(s.Texture!)).ToArray() is { Length: > 2 } own ? UpperMedian.Of(own) : texture;

        // Where some families' furrows were followed and others' threads, a line is compared with its like.
        double Usual(TracedLine l, Func<TracedLine, double> value, double overall)
        {
            TracedLine[] like = [.. seen.Where(s => s.IsFurrow == l.IsFurrow)], own = [.. like.Where(s => s.Line.Family == l.Line.Family)];
            double usual = like.Length == seen.Length || like.Length < 3 ? overall : UpperMedian.Of(like.Select(value));
            return IsSameThread(own) ? Math.Min(usual, UpperMedian.Of(own.Select(value))) : usual;
        }

        // Along a print's stripes a whole family stands out less from its ground than another, and is the same thread: of the others' colour, as strongly, as narrow, with stitches all along.
        bool IsSameThread(TracedLine[] own)
        {
            TracedLine[] others = [.. seen.Except(own)];
            if (!oneColour || own.Length < 4 || others.Length < 4) return false;
            Colour3 of = Colour(own), other = Colour(others);
            return of.Cosine(other) > 0.9 && of.Norm > 0.7 * other.Norm && UpperMedian.Of(own.Select(s => StitchTexture.Middle(s.Texture))) > Math.Max(1, 0.6 * UpperMedian.Of(others.Select(s => StitchTexture.Middle(s.Texture))))
                && !(UpperMedian.Of(own.Select(s => s.PeakShare)) < 0.7 * UpperMedian.Of(others.Select(s => s.PeakShare)));

            static Colour3 Colour(TracedLine[] lines) => UpperMedian.Of((Colour3[])[.. lines.Select(l => l.Colour)]);
        }

        // As strong and as uneven along its middle as the block's other lines: stitched, however irregular.
        bool IsStitched(TracedLine l) => HasEvenStitches(l) || (texture > 0.5 && l.Texture is not null
            && ((StitchTexture.Middle(l.Texture) > 0.6 * texture && l.Contrast > 0.5 * Usual(l, x => x.Contrast, contrast))
                // A thread of changing colour is faint in places, and its stitches are there all the same.
                || (StitchTexture.Middle(l.Texture) > 0.4 * texture && l.DashCorrelation > Math.Max(0.3, 0.6 * dash) && l.Contrast > 0.2 * Usual(l, x => x.Contrast, contrast))
                // Seen whole and far above the noise, though the block's other lines stand out much more: a line of marks without stitches has nothing that changes along its middle.
                || (StitchTexture.Middle(l.Texture) > Math.Max(1, 0.2 * texture) && l.Contrast > Math.Max(4, 0.15 * Usual(l, x => x.Contrast, contrast)) && l.Coverage > 0.9
                    && l.DashCorrelation > 0.6 * dash && !IsOffPlace(l))
                // Swaying as a hand does all along, and some of its stitches show.
                || (StitchTexture.Middle(l.Texture) > 0.15 * texture && Sway(l) > 1.5 * ClassScore.HandSwayMm && l.Contrast > 3 && l.Coverage > 0.95 && !IsOffPlace(l))
                // Along a print's edge the ground beside it is uneven, and the thread has its own colour as strongly as elsewhere.
                || (oneColour && StitchTexture.Middle(l.Texture) > 0.6 * texture && l.Contrast > 0.15 * Usual(l, x => x.Contrast, contrast) && l.Colour.Cosine(colour) > 0.95 && l.Colour.Norm > 0.7 * colour.Norm)));

        // As plainly and evenly dashed as the others, whatever lies on the block beside it.
        bool HasEvenStitches(TracedLine l) => l.DashCorrelation > Math.Max(0.5, 0.7 * dash);

        // The block's stitches show plainly, and along this line nothing changes, nor does it sway: a mark that was drawn and not sewn along. One that is not seen to be ruled is none if it
        // stands out as the others do. Where nothing changes along any of the family's lines, stripes beside them hide it.
        bool IsUnstitched(TracedLine l) => texture > 1 && OfFamily(l) > 0.3 * texture && l.Line.LengthMm > 30 && l.Texture is not null && StitchTexture.Middle(l.Texture) < 0.2 * texture && l.DashCorrelation < Math.Max(0.1, 0.5 * dash)
            && Wobble(l) < DrawnWobbleMm && (Sway(l) is < ClassScore.RuledSwayMm || !(l.Contrast > 0.7 * contrast && l.Colour.Norm > 0.9 * colour.Norm));

        // Straight as a ruler, without stitches, and its colour much weaker than the thread's elsewhere: such a mark, where the block's stitches do not show so plainly.
        bool IsRuledAndPale(TracedLine l) => oneColour && Sway(l) is < ClassScore.StraightestByHandMm && l.Line.LengthMm > 50 && l.Coverage > 0.9 && l.Texture is not null && StitchTexture.Middle(l.Texture) < 0.15 * texture
            && l.DashCorrelation < 0.06 && l.Contrast < 0.75 * contrast && l.Colour.Norm < 0.7 * colour.Norm;

        // Printed stripes and drawn lines are far straighter than hand-guided stitching, show no stitches, and do not lie where the others do.
        bool IsRuled(TracedLine l)
        {
            if (l.Line.LengthMm < 30 || l.DeviationMm.Length < 5) return false;
            double share = Wobble(l) / Math.Max(1e-6, wobble), far = Math.Abs(Place(l) - place[l.Line.Family]);
            return share < 0.25 ? far > LeastFarMm && l.DashCorrelation < Math.Max(0.2, 0.5 * dash)
                : share < 0.4 && far > Math.Max(LeastFarMm, 4 * scatter) && l.DashCorrelation < Math.Max(0.1, 0.5 * dash);
        }

        // Where the hand plainly sways, no line of it comes out like one along a ruler, wherever it lies.
        bool IsRuledAmongFree(TracedLine l) => sway > 2 * ClassScore.HandSwayMm && Sway(l) is < ClassScore.StraightestByHandMm && l.Line.LengthMm > 50 && l.Coverage > 0.9 && l.DashCorrelation < 0.1
            && Wobble(l) < 0.25 * wobble;

        // Stripes of a print beside the thread: even where the ground changes, thread against ground points nearly the same way in colour.
        // A thread of changing colour shows the mean of its colours on a long line, not on a short one.
        bool IsOfAnotherColour(TracedLine l) => ofOneColour && l.Line.LengthMm > (oneColour ? 20 : 80) && l.DashCorrelation < 0.2 && l.Colour.Cosine(colour) < (oneColour ? 0.65 : 0.3);

        // Of a few millimetres' contrast the ditch beside them takes much away; they are the thread's if they have its colour, all of them, and lie where it should.
        bool IsCornerOfThread(TracedLine l) => oneColour && l.Line.LengthMm < 20 && l.Coverage > 0.95 && l.Colour.Cosine(colour) > 0.95 && l.Colour.Norm > 0.6 * colour.Norm && l.Colour.Norm < 2 * colour.Norm && !IsOffPlace(l);

        // A corner line of which hardly more than a stitch is seen, and not where the family's lines lie.
        bool IsAstray(TracedLine l) => l.AlongMm.Length < 4 && IsOffPlace(l);

        bool IsOffPlace(TracedLine l) => Math.Abs(Place(l) - place[l.Line.Family]) > Math.Max(LeastFarMm, 4 * scatter);

        // Faint, with holes, and not where the family's lines lie: a path through a print where the line itself was not seen.
        bool IsLost(TracedLine l) => l.Coverage < 0.75 && l.Contrast < 0.35 * Usual(l, x => x.Contrast, contrast) && IsOffPlace(l);

        bool IsFarAndPlain(TracedLine l) => l.Line.LengthMm > 40 && dash > 0.15 && l.DashCorrelation < 0.5 * dash
            && Math.Abs(Place(l) - place[l.Line.Family]) > FarShare * grid.Families[l.Line.Family].SpacingMm;
    }

    /// <summary>
    /// A mark that was not sewn along, in a block whose other lines were, however patchy the chalk: no even stitches, and in its middle no peak as narrow and as tall as the thread of the family's
    /// other lines has. A thread on the mark, or fainter in places, has less of that too; it is not straighter than the others, nor broader, nor of another colour.
    /// </summary>
    private static bool IsMarkAlone(TracedLine l, TracedLine[] seen)
    {
        const double uneven = 0.1, evenStitches = 0.2, muchLower = 0.65, lower = 0.75, muchStraighter = 0.6, straighter = 0.77, broad = 0.7, plainlyBroad = 0.5, otherColour = 0.6;
        if (l.Line.LengthMm < MarkLengthMm || l.DashCorrelation >= uneven) return false;
        TracedLine[] others = OthersOfTheFamily(l, seen);
        if (others.Length < 2) return false;
        double height = Share(s => s.PeakHeight), width = Share(s => s.PeakShare);
        if (!(height > 0 && height < lower)) return false;
        double straight = Sway(l) is { } own && UpperMedian.Of(others.Select(Sway).OfType<double>()) is var usual && usual > 0 ? own / usual : 1;
        bool isOther = l.Colour.Cosine(UpperMedian.Of((Colour3[])[.. seen.Select(s => s.Colour)])) < otherColour;
        return (height < muchLower && UpperMedian.Of(others.Select(s => s.DashCorrelation)) > evenStitches && straight < (isOther ? straighter : muchStraighter))
            || (width < broad && straight < straighter && Sway(l) < ClassScore.HandSwayMm) || width is > 0 and < plainlyBroad;

        double Share(Func<TracedLine, double> value) => UpperMedian.Of(others.Select(value)) is var of && of > 0 ? value(l) / of : double.NaN;
    }

    /// <summary>
    /// Another such mark, where most of the block's lines are of one colour: of another, paler, and in its middle there is hardly a third of the peak that the thread of the family's others has.
    /// What it shows of stitches is the cloth's weave through the pen's line.
    /// </summary>
    private static bool IsPaleAndOfAnotherColour(TracedLine l, TracedLine[] seen, Colour3 colour)
    {
        const double evenStitches = 0.2, otherColour = 0.7, paler = 0.75, third = 0.35;
        if (l.Line.LengthMm < MarkLengthMm || l.DashCorrelation >= evenStitches || l.Colour.Cosine(colour) >= otherColour || l.Colour.Norm >= paler * colour.Norm) return false;
        TracedLine[] others = OthersOfTheFamily(l, seen);
        return others.Length >= 2 && UpperMedian.Of(others.Select(s => s.PeakHeight)) is var usual && usual > 0 && l.PeakHeight < third * usual;
    }

    /// <summary>
    /// A run of stitches that begins and ends in the middle of the cloth, plainly thread and beside where a line was never sewn, in a family whose other lines are seen from ditch to ditch and lie much nearer to their places: it is
    /// a loose run, not that line.
    /// </summary>
    internal static bool IsLooseRun(TracedLine l, IEnumerable<TracedLine> seen)
    {
        const double mostShare = 0.65, whole = 0.95, plain = 4, alike = 0.9, asStrong = 0.6, fromDitchMm = 10, leastAsideMm = 2, timesAside = 3;
        if (l.AlongMm.Length == 0 || l.Coverage > mostShare || l.AlongMm[0] < fromDitchMm || l.AlongMm[^1] > l.Line.LengthMm - fromDitchMm) return false;
        TracedLine[] others = OthersOfTheFamily(l, seen);
        if (others.Length < 2 || others.Any(s => s.Coverage < whole) || l.Contrast < plain) return false;
        Colour3 colour = UpperMedian.Of((Colour3[])[.. others.Select(s => s.Colour)]);
        if (l.Colour.Cosine(colour) < alike || l.Colour.Norm < asStrong * colour.Norm) return false;
        double place = UpperMedian.Of(others.Select(Place));
        return Math.Abs(Place(l) - place) > Math.Max(leastAsideMm, timesAside * others.Max(s => Math.Abs(Place(s) - place)));
    }

    /// <summary>A long line in a family whose others show even stitches, that shows none and has in its middle hardly half of the peak theirs have.</summary>
    internal static bool HasNoneOfTheirStitches(TracedLine l, IEnumerable<TracedLine> seen)
    {
        const double uneven = 0.1, evenStitches = 0.2, muchLower = 0.65;
        if (l.Line.LengthMm < MarkLengthMm || l.DashCorrelation >= uneven) return false;
        TracedLine[] others = [.. OthersOfTheFamily(l, seen).Where(s => double.IsFinite(s.PeakHeight))];
        return others.Length >= 3 && UpperMedian.Of(others.Select(s => s.DashCorrelation)) > evenStitches && l.PeakHeight < muchLower * UpperMedian.Of(others.Select(s => s.PeakHeight));
    }

    /// <summary>A shorter line is not told to be a mark by what its family's others show, mm.</summary>
    private const double MarkLengthMm = 40;

    /// <summary>The family's other lines that are long enough to compare one with.</summary>
    private static TracedLine[] OthersOfTheFamily(TracedLine l, IEnumerable<TracedLine> seen)
    {
        const double likeLengthMm = 25;
        return [.. seen.Where(s => s.Line.Family == l.Line.Family && s != l && s.Line.LengthMm > likeLengthMm)];
    }

    /// <summary>The stitches in the ditch round the block are as good as any, but no line of the grid: one that should lie well inside and lies there is that ditch, and so is one that should run close beside the edge and lies nearer to the edge than to its place.</summary>
    public static bool RunsInTheDitch(TracedLine l, IntendedGrid grid)
    {
        const double ditchMm = 1.5, wellInsideMm = 3, nearerShare = 0.5;
        LineFamily family = grid.Families[l.Line.Family];
        // A slanting line runs into the edge anyway: close to it, it is no sign of the ditch.
        bool isAlongTheEdge = Math.Min(Math.Abs(family.AlongX), Math.Abs(family.AlongY)) < 0.02;
        return 2 * Enumerable.Range(0, l.AlongMm.Length).Count(i => EdgeMm(l.AlongMm[i], l.DeviationMm[i]) < NearestMm(EdgeMm(l.AlongMm[i], 0))) > l.AlongMm.Length;

        double NearestMm(double intendedMm) => intendedMm > wellInsideMm ? ditchMm : isAlongTheEdge ? nearerShare * intendedMm : double.NegativeInfinity;

        double EdgeMm(double along, double across)
        {
            BlockPoint from = l.Line.From;
            return grid.Size.EdgeDistanceMm(family.At(family.Along(from) + along, family.Across(from) + across));
        }
    }

    /// <summary>Whether what was followed along a family has no thread's profile, no even stitches, and no tall shadow that would explain it: the edges of a print, by and by.</summary>
    private static bool IsFormless(TracedLine[] seen, int family)
    {
        const double misfit = 0.35, undashed = 0.1, tallShadow = 1;
        TracedLine[] own = [.. seen.Where(l => l.Line.Family == family)];
        return own.Length >= 2 && own[0].MisfitShare > misfit && own[0].ShadowShare < tallShadow && UpperMedian.Of(own.Select(l => l.DashCorrelation)) < undashed;
    }

    /// <summary>
    /// Whether a family's lines are drawn ones with the thread beside them unseen: of another colour than another family's, which comes in single
    /// stitches, while here there are none; and it sways as sewing does and these do not, or what changes along these is a band broader than any thread.
    /// </summary>
    private static bool IsDrawn(TracedLine[] seen, int family, int families)
    {
        const double stitched = 0.3, unstitched = 0.1, otherColour = 0.5, calm = 0.4, broadMm = 0.9, leastLengthMm = 40;
        TracedLine[] own = Of(family);
        if (own.Length < 2 || Dash(own) >= unstitched) return false;
        return Enumerable.Range(0, families).Any(f => f != family && Of(f) is { Length: >= 2 } other && Dash(other) >= stitched
            && (UpperMedian.Of(own.Select(Wobble)) < calm * UpperMedian.Of(other.Select(Wobble)) || StitchTexture.Peak([.. own.Select(l => l.Texture).OfType<double[]>()]).WidthMm > broadMm) && Colour(own).Cosine(Colour(other)) < otherColour);

        TracedLine[] Of(int f) => [.. seen.Where(l => l.Line.Family == f && l.Line.LengthMm > leastLengthMm && l.DeviationMm.Length >= 5)];

        double Dash(TracedLine[] lines) => UpperMedian.Of(lines.Select(l => l.DashCorrelation));

        Colour3 Colour(TracedLine[] lines) => UpperMedian.Of((Colour3[])[.. lines.Select(l => l.Colour)]);
    }

    /// <summary>Nearer than this to its place, a very straight line may simply be a very good one, mm.</summary>
    private const double LeastFarMm = 1;

    /// <summary>Lines along a ruler sway by less, r.m.s., mm.</summary>
    private const double DrawnWobbleMm = 0.2;

    internal static double? Sway(TracedLine line) => Core.Deviation.HandSway.Of(line.AlongMm, line.DeviationMm);

    private static double Wobble(TracedLine line) => line.DeviationMm.Length < 5 ? 0 : Core.Deviation.Straightness.Of(line.AlongMm, line.DeviationMm).RmsMm;

    private static double Place(TracedLine line) => UpperMedian.Of(line.DeviationMm);

    private static bool IsStranger(TracedLine line, double contrast, double ratio, double dash)
    {
        // Of a corner line of a few millimetres the ground beside it is mostly ditch: its contrast says little.
        if (line.Line.LengthMm < 20) return line.Contrast < 2 && line.Contrast < StrangerContrast * contrast;
        if (line.Contrast < StrangerContrast * contrast && line.DashRatio < StrangerDash * ratio) return true;
        if (line.Contrast < FaintContrast * contrast && line.Line.LengthMm > 25 && line.DashCorrelation <= Math.Max(ChanceDash, 0.5 * dash)) return true;
        // Where the block's stitches show plainly, a long line without them is none.
        return dash > 0.35 && line.Line.LengthMm > 45 && line.DashCorrelation < 0.08 && line.DashRatio < 0.8 * ratio;
    }
}
