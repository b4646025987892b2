using Analyzer.Core.Colour;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Learnt;
using Analyzer.Vision.Rectification;
using OpenCvSharp;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// Light from the side moves what stands out of a thread, its lit side or its shaded one, away from its middle, for all lines of a family alike. The mean cross section of a family's lines shows by how much, far better than a
/// single place does: lines are moved by that, and keep what stays unsure of it.
/// </summary>
internal static class ThreadMiddle
{
    /// <summary>How far what is followed commonly lies beside the middle, mm: what the cross section says counts by how sure it is against this. Photos of three unrelated makers have 0.02 on contrasting thread to 0.1 on thread of the cloth's colour.</summary>
    private const double CommonlyAsideMm = 0.08;

    /// <summary>
    /// The light of photos is not quite that of the net's lessons: where the net is sure it errs by no more than this share of what it says, and the more it is unsure the more it errs, by all it says once more for every so many mm.
    /// Of 472 families of four unrelated makers and of ours 95 % lay within 1 u as the net's u had been given before where that was under 0.025 mm, and 68 % where it was over 0.06 mm.
    /// </summary>
    private const double SureShare = 0.35, MoreUnsureMm = 0.035;

    /// <summary>One or two lines may lie in a seam, with other cloth on either side: that is not told from light.</summary>
    private const int FewestLines = 3;

    /// <summary>A line with fewer places, a quarter of a millimetre apart, says nothing; more of a family's than so many say no more.</summary>
    private const int FewestPlaces = 50, MostPlaces = 4000;

    /// <summary>How many times its scatter from line to line a family's distance must be to count for most of itself.</summary>
    private const double Significant = 2;

    /// <summary>A place nearer than this to another line or to the ditch is left out, mm.</summary>
    private const double FreeOfLinesMm = 2.2, FreeOfDitchMm = 2.5;

    private static readonly float[] Linear = [.. Enumerable.Range(0, 256).Select(v => (float)LabColour.Linear(v / 255.0))];

    /// <summary>The same lines, each family moved onto its thread's middle.</summary>
    public static TracedLine?[] Of(Mat photo, BlockPlane plane, IntendedGrid grid, IReadOnlyList<TracedLine?> lines)
    {
        TracedLine?[] result = [.. lines];
        for (int f = 0; f < grid.Families.Count; f++)
        {
            if (Aside(Sections(photo, plane, grid, lines, f)) is not var (byMm, unsureMm, leftShare)) continue;
            for (int i = 0; i < result.Length; i++)
            {
                if (result[i] is { } line && line.Line.Family == f)
                {
                    // What else spoke for the thread lying aside counts as far as the cross section leaves it open.
                    double rest2 = Math.Max(0, line.CommonUMm * line.CommonUMm - line.AsideUMm * line.AsideUMm), light2 = Math.Min(rest2, line.LightUMm * line.LightUMm);
                    double asideMm = TracedLine.Joined(leftShare * Math.Sqrt(line.AsideUMm * line.AsideUMm + light2), unsureMm);
                    result[i] = line.Moved(-byMm) with { CommonUMm = Math.Sqrt(rest2 - light2 + asideMm * asideMm), AsideUMm = asideMm, MiddleMovedMm = -byMm };
                }
            }
        }
        return result;
    }

    /// <summary>
    /// How far a family's lines lie beside their threads' middle as far as that counts, and what stays unsure, mm; and what share of any other doubt about it the cross section leaves open. Null where nothing can be said.
    /// </summary>
    /// <param name="sections">Of every line: sums of its places' colours, and how many there are.</param>
    internal static (double ByMm, double UMm, double LeftShare)? Aside(IReadOnlyList<(double[] Sums, int Places)> sections)
    {
        if (sections.Count == 0) return null;
        int places = sections.Sum(s => s.Places);
        double[] sums = [.. Enumerable.Range(0, 3 * MiddleNet.Places).Select(j => sections.Sum(s => s.Sums[j]))];
        (double aside, double u) = MiddleNet.Aside([.. sums.Select(v => v / places)]);
        if (sections.Count < FewestLines) return (0, Math.Min(CommonlyAsideMm, Math.Abs(aside)), 1);
        // Each line left out in turn: how much the distance hangs on single lines, on their prints, marks and noise.
        double[] without = [.. sections.Select(s => MiddleNet.Aside([.. sums.Select((v, j) => (v - s.Sums[j]) / (places - s.Places))]).AsideMm)];
        double mean = without.Average(), scatter2 = (without.Length - 1.0) / without.Length * without.Sum(v => (v - mean) * (v - mean));
        double u2 = u * u + scatter2, common2 = CommonlyAsideMm * CommonlyAsideMm, share = common2 / (common2 + u2);
        double counts = share * aside * aside / (aside * aside + Significant * Significant * scatter2 + 1e-12);
        double unsure = u * (SureShare + u / MoreUnsureMm), left = Math.Min(CommonlyAsideMm, Math.Sqrt(share * (unsure * unsure + scatter2)));
        return (counts * aside, left, left / CommonlyAsideMm);
    }

    /// <summary>Sums over a line's places of the colours across it in linear light, for every line of a family that has enough places free of others.</summary>
    private static (double[] Sums, int Places)[] Sections(Mat photo, BlockPlane plane, IntendedGrid grid, IReadOnlyList<TracedLine?> lines, int family)
    {
        LineFamily own = grid.Families[family];
        TracedLine[] traced = [.. lines.Where(l => l is not null && l.Line.Family == family).Select(l => l!)];
        int every = traced.Sum(l => l.FineAlongMm.Length) / MostPlaces + 1;
        var sections = new (double[] Sums, int Places)[traced.Length];
        Parallel.For(0, traced.Length, k =>
        {
            TracedLine line = traced[k];
            double start = own.Along(line.Line.From), middle = own.AcrossOfLine(line.Line.Index);
            var pixels = new BgrPixels(photo);
            var sums = new double[3 * MiddleNet.Places];
            Span<byte> row = stackalloc byte[3 * MiddleNet.Places];
            int places = 0;
            for (int i = k % every; i < line.FineAlongMm.Length; i += every)
            {
                double along = start + line.FineAlongMm[i], across = middle + line.FineDeviationMm[i];
                BlockPoint place = own.At(along, across);
                if (grid.Size.EdgeDistanceMm(place) < FreeOfDitchMm || !IsFree(place, family, grid, lines)) continue;
                plane.Row(own.At(along, across - MiddleNet.ReachMm), own.AcrossX * MiddleNet.StepMm, own.AcrossY * MiddleNet.StepMm).Read(pixels, row);
                for (int j = 0; j < sums.Length; j++) sums[j] += Linear[row[j]];
                places++;
            }
            sections[k] = (sums, places);
        });
        return [.. sections.Where(s => s.Places * every >= FewestPlaces)];
    }

    private static bool IsFree(BlockPoint p, int family, IntendedGrid grid, IReadOnlyList<TracedLine?> lines)
    {
        for (int f = 0; f < grid.Families.Count; f++)
        {
            if (f == family) continue;
            LineFamily other = grid.Families[f];
            double across = other.Across(p), along = other.Along(p);
            for (int i = 0; i < lines.Count; i++)
            {
                GridLine line = grid.Lines[i];
                if (line.Family != f) continue;
                double from = across - other.AcrossOfLine(line.Index);
                if (Math.Abs(from) > FreeOfLinesMm + other.SpacingMm / 2) continue;
                if (lines[i] is { AlongMm.Length: > 0 } traced) from -= traced.At(along - other.Along(line.From));
                if (Math.Abs(from) < FreeOfLinesMm) return false;
            }
        }
        return true;
    }
}
