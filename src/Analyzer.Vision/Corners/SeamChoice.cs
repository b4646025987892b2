using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using OpenCvSharp;

namespace Analyzer.Vision.Corners;

/// <summary>Rough corners on chosen seams.</summary>
/// <param name="BowsMm">Bow of each side's seam (third coefficient of <see cref="SideCourse"/>), NaN where no seam was found near.</param>
/// <param name="ClearMm">How near the nearest other seam as strong runs to each side's; infinite where there is none.</param>
/// <param name="Lead">By how much the choice leads the best other one that lies elsewhere by <see cref="SeamChoice.ElsewhereMm"/> or more at some corner.</param>
internal sealed record ChosenSeams(PhotoPoint[] Corners, double[] BowsMm, double[] ClearMm, double Lead);

/// <summary>Of the seams that run side by side near every side of a place (ditch, cloth's edge, inner side of a binding), chooses the four that the stitched lines speak for.</summary>
/// <remarks>
/// All combinations are weighed together: the lines lie where the grid has them, they end at the seams, the seams are seen, one cloth lies within them, and the four make a shape a camera can see.
/// A cloth's cut edge is often far stronger than the stitched ditch a few millimetres within, so strength counts little once a seam is seen at all.
/// </remarks>
internal static class SeamChoice
{
    /// <summary>Another choice is another place from this distance on, mm.</summary>
    public const double ElsewhereMm = 1.5;

    /// <summary>Seams of one side that are weighed; the look is taken once more when the first choice lies this far from the rough place, mm.</summary>
    private const int MostSeams = 7, MostRounds = 2;
    private const double AgainFromMm = 0.8;

    /// <summary>Weights of the mean of the four sides' ends and strengths (logarithm of energy, no more than is seen plainly), of the misfit of shape, and of how unlike in strength the four are.</summary>
    private const double EndsWeight = 0.5, EnergyWeight = 0.35, PlainEnergy = 5, ShapeWeight = 2, AlikeWeight = 0.1;

    /// <summary>What a millimetre of distance, of bow, and of lying farther out costs a side: of two nested seams the ditch is the inner one.</summary>
    private const double DistanceCost = 0.01, BowCost = 0.12, OuterCost = 0.04;

    public static ChosenSeams Choose(Mat bgr, EvidenceMap map, PhotoPoint[] rough, IntendedGrid grid, double reachMm)
    {
        var chosen = new ChosenSeams(rough, [double.NaN, double.NaN, double.NaN, double.NaN], [.. Enumerable.Repeat(double.PositiveInfinity, 4)], 1);
        for (int round = 0; round < MostRounds; round++)
        {
            if (Look.At(bgr, map, chosen.Corners, grid, reachMm) is not { } look) break;
            (chosen, double movedMm) = look.Best();
            if (movedMm < AgainFromMm) break;
        }
        return chosen;
    }

    /// <summary>One seam near a side: outward offsets at its start and end and its bow (mm), what speaks for it alone, and what the cloth inside it has in common with the block's middle and with the cloth outside it.</summary>
    private readonly record struct Seam(double Start, double End, double Bow, double Energy, double Own, double Within, double Across, bool IsCrossed)
    {
        public bool IsElsewhere(Seam other) => Math.Max(Math.Abs(Start - other.Start), Math.Abs(End - other.End)) > ElsewhereMm;

        /// <summary>Least distance of two seams at their ends and in the middle, mm.</summary>
        public double GapTo(Seam other) => Math.Min(Math.Min(Math.Abs(Start - other.Start), Math.Abs(End - other.End)), Math.Abs((Start + End - other.Start - other.End) / 2 - (Bow - other.Bow)));

        public SideCourse Course(double lengthMm) => new(lengthMm, [(Start + End) / 2, (End - Start) / 2, 0], new double[3, 3], 0, 1, 1);
    }

    /// <summary>The seams about one rough place.</summary>
    private sealed class Look(EvidenceMap map, BlockSize size, Homography photoFromBlock, GridSight sight, Seam[][] seams)
    {
        public static Look? At(Mat bgr, EvidenceMap map, PhotoPoint[] rough, IntendedGrid grid, double reachMm)
        {
            BlockSize size = grid.Size;
            Homography photoFromBlock;
            try
            {
                photoFromBlock = Homography.FromFourPoints([.. size.Corners().Select(p => (p.Xmm, p.Ymm))], [.. rough.Select(p => (p.X, p.Y))]);
            }
            catch (ArgumentException)
            {
                return null;
            }
            double pixelsPerMm = CornerFit.PixelsPerMmAt(photoFromBlock, size.WidthMm / 2, size.HeightMm / 2);
            if (!(pixelsPerMm > 0.5) || GridSight.Of(map, [.. rough.Select(map.ToSmall)], grid) is not { } sight) return null;
            var cloth = new ClothBands(map.Cloths, Homography.FromFourPoints([.. size.Corners().Select(p => (p.Xmm, p.Ymm))], [.. rough.Select(map.ToSmall)]), size);
            var seams = new Seam[4][];
            Parallel.For(0, 4, side =>
            {
                SideStrip strip = SideStrip.Take(bgr, photoFromBlock, size, side, reachMm + 2.2, pixelsPerMm);
                seams[side] = [.. SideFit.Seams(strip, SideStrip.Side(size, side).Length, reachMm, MostSeams).Select(s => Told(sight, cloth, side, s.Energy, s.Path, s.IsCrossed))];
                if (seams[side].Length == 0) seams[side] = [new Seam(0, 0, double.NaN, 0, 0, 0, 0, false)];
            });
            return new Look(map, size, photoFromBlock, sight, seams);
        }

        private static Seam Told(GridSight sight, ClothBands cloth, int side, double energy, double[] path, bool isCrossed)
        {
            double start = path[0] - path[1] + path[2] * 2 / 3, end = path[0] + path[1] + path[2] * 2 / 3, middle = (start + end) / 2;
            double clear = Math.Max(0, sight.OnLines - sight.Background) + 0.15;
            (double within, double beyond, double across) = cloth.Beside(side, start, end, path[2]);
            double ends = (Ends(start) + Ends(middle) + Ends(end)) / 3;
            if (ends < 0) ends *= beyond;
            double own = EndsWeight * ends + EnergyWeight * Math.Log(1 + Math.Clamp(energy, 0, PlainEnergy));
            return new Seam(start, end, path[2], energy, own - DistanceCost * Math.Abs(middle) - BowCost * Math.Abs(path[2]) - OuterCost * middle, within, across, isCrossed);

            double Ends(double at) => Math.Clamp(sight.EndsAt(side, at) / clear, -1, 1.5);
        }

        /// <summary>The best four, and how far they lie from the rough place at most, mm.</summary>
        public (ChosenSeams Chosen, double MovedMm) Best()
        {
            var byFirst = new List<(double Score, Seam[] Four)>[seams[0].Length];
            float[][][] moves = [.. seams.Select((ofSide, side) => ofSide.Select(s => sight.Moves(side, s.Start, s.End, double.IsFinite(s.Bow) ? -s.Bow : 0)).ToArray())];
            (double X, double Y)[][,] meets = [.. Enumerable.Range(0, 4).Select(Meets)];
            Parallel.For(0, byFirst.Length, a =>
            {
                byFirst[a] = [];
                for (int b = 0; b < seams[1].Length; b++)
                    for (int c = 0; c < seams[2].Length; c++)
                        for (int d = 0; d < seams[3].Length; d++)
                        {
                            Seam[] four = [seams[0][a], seams[1][b], seams[2][c], seams[3][d]];
                            double misfit = ShapeCheck.Misfit([meets[0][d, a], meets[1][a, b], meets[2][b, c], meets[3][c, d]], size.WidthMm / size.HeightMm, map, null);
                            double contrast = sight.Contrast(moves[0][a], moves[1][b], moves[2][c], moves[3][d]);
                            byFirst[a].Add((contrast + (four[0].Own + four[1].Own + four[2].Own + four[3].Own) / 4 + Cloth(four) - ShapeWeight * misfit - AlikeWeight * Unlike(four), four));
                        }
            });
            List<(double Score, Seam[] Four)> all = [.. byFirst.SelectMany(x => x)];
            (double top, Seam[] best) = all.MaxBy(x => x.Score);
            double second = top - 1;
            foreach ((double score, Seam[] four) in all)
                if (score > second && (four[0].IsElsewhere(best[0]) || four[1].IsElsewhere(best[1]) || four[2].IsElsewhere(best[2]) || four[3].IsElsewhere(best[3]))) second = score;
            // Where two rival seams cross, the lines tell poorly which of them is the block's.
            if (best.Any(s => s.IsCrossed)) second = top;
            return (new ChosenSeams(Corners(best), [.. best.Select(s => s.Bow)], [.. best.Select(Clear)], top - second), best.Max(s => Math.Max(Math.Abs(s.Start), Math.Abs(s.End))));
        }

        /// <summary>How unlike the four are in strength, as a logarithm: one block's sides are sewn alike.</summary>
        private static double Unlike(Seam[] four) => Math.Log((1 + four.Max(s => s.Energy)) / (1 + four.Min(s => s.Energy)));

        /// <summary>What the cloths say for four seams together.</summary>
        private static double Cloth(Seam[] four)
        {
            double within = Math.Min(Math.Min(four[0].Within, four[1].Within), Math.Min(four[2].Within, four[3].Within));
            double most = Math.Max(Math.Max(four[0].Across, four[1].Across), Math.Max(four[2].Across, four[3].Across)), least = Math.Min(Math.Min(four[0].Across, four[1].Across), Math.Min(four[2].Across, four[3].Across));
            return ClothSight.ScoreOf(within, most - least);
        }

        /// <summary>How near the nearest other seam of the side that is as strong runs, mm.</summary>
        private double Clear(Seam seam, int side) =>
            seams[side].Where(other => other != seam && other.Energy > SideFit.AsStrong * seam.Energy).Select(seam.GapTo).DefaultIfEmpty(double.PositiveInfinity).Min();

        /// <summary>Where every seam of the side before a corner meets every seam of the side after it, in the small picture.</summary>
        private (double X, double Y)[,] Meets(int corner)
        {
            int before = (corner + 3) & 3;
            var meets = new (double X, double Y)[seams[before].Length, seams[corner].Length];
            for (int i = 0; i < seams[before].Length; i++)
                for (int j = 0; j < seams[corner].Length; j++)
                {
                    var courses = new SideCourse?[4];
                    courses[before] = Course(before, seams[before][i]);
                    courses[corner] = Course(corner, seams[corner][j]);
                    meets[i, j] = map.ToSmall(Corner(courses, corner));
                }
            return meets;
        }

        private SideCourse Course(int side, Seam seam) => seam.Course(SideStrip.Side(size, side).Length);

        private PhotoPoint[] Corners(Seam[] four)
        {
            SideCourse[] courses = [.. four.Select((seam, k) => Course(k, seam))];
            return [.. Enumerable.Range(0, 4).Select(k => Corner(courses, k))];
        }

        private PhotoPoint Corner(SideCourse?[] courses, int k)
        {
            (double x, double y) = CornerFit.CornerMm(size, courses, k);
            (double px, double py) = photoFromBlock.Map(x, y);
            return new PhotoPoint(px, py);
        }
    }
}
