using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;
using OpenCvSharp;

namespace Analyzer.Vision.Ends;

/// <summary>How a bounce at the ditch was sewn.</summary>
/// <param name="At">Where the two straight runs would meet, block mm.</param>
/// <param name="AngleDeg">Angle between the two runs as sewn.</param>
/// <param name="CutOffMm">Distance from there to the thread, along the bisector: 0 for a sharp corner.</param>
/// <param name="CutOffUMm">Standard uncertainty of it.</param>
/// <param name="RadiusMm">Radius of the circle that touches both runs and is cut off by so much: cut-off / (1/sin(angle/2) - 1).</param>
public readonly record struct ThreadTurn(BlockPoint At, double AngleDeg, double CutOffMm, double CutOffUMm, double RadiusMm, double RadiusUMm);

/// <summary>Reads from the photo how far each bounce at the ditch was rounded.</summary>
/// <remarks>
/// Both runs are followed straight from where they are well seen; between them every circle's arc within reach is tried, with the meeting point moved a little as
/// well. Each such path is weighed by the likelihood of the heights along it (thread: the runs' usual height and unevenness; ground: none), as the ends of lines are;
/// the cut-off is the mean over all paths, its u their spread. The ditch's own seam is left out.
/// </remarks>
public static class TurnFinder
{
    /// <summary>Stretch of each run that tells its straight course and the thread's looks, mm from the ditch; and how far the path goes back along it.</summary>
    private const double NearMm = 4.5, FarMm = 14, PathMm = 7;

    private const double StepMm = 0.1, DitchMm = 0.5;

    /// <summary>Heights of neighbouring steps hang together over about this many (half a stitch).</summary>
    private const double Persistence = 10;

    /// <summary>Meeting point tried so far off the runs' own, and how far off it usually is, mm.</summary>
    private const double ShiftMm = 0.45, ShiftStepMm = 0.15, UsualShiftMm = 0.15;

    /// <summary>What stitches that run straight from hole to hole leave open in the cut-off, mm, from comparison with known truth (large ones come out a tenth too small); and the largest u worth telling.</summary>
    private const double FloorUMm = 0.1, LargestUMm = 0.35;

    private const double CutOffStepMm = 0.05, LargestCutOffMm = 2.5, LeastContrast = 2.5, LeastHeight = 0.5;

    /// <summary>One entry per bounce of the grid, in order; null where it cannot be read.</summary>
    public static IReadOnlyList<ThreadTurn?> Read(Photo photo, BlockPlane plane, IReadOnlyList<DitchTurn> turns, IntendedGrid grid, IReadOnlyList<TracedLine?> lines)
    {
        Dictionary<string, TracedLine> traced = lines.OfType<TracedLine>().Where(l => l.Coverage > 0.4).ToDictionary(l => l.Line.Id);
        var result = new ThreadTurn?[turns.Count];
        Parallel.For(0, turns.Count, i =>
        {
            DitchTurn t = turns[i];
            if (!traced.TryGetValue(t.A.Id, out TracedLine? a) || !traced.TryGetValue(t.B.Id, out TracedLine? b)) return;
            if (Run.Of(a, grid, t.AtEndOfA) is { } runA && Run.Of(b, grid, t.AtEndOfB) is { } runB) result[i] = Read(photo.Bgr, plane, runA, runB);
        });
        return result;
    }

    private static ThreadTurn? Read(Mat photo, BlockPlane plane, Run a, Run b)
    {
        if (Looks.Of(photo, plane, a, b) is not { } looks) return null;
        double det = a.X * b.Y - a.Y * b.X, s = ((b.At.Xmm - a.At.Xmm) * b.Y - (b.At.Ymm - a.At.Ymm) * b.X) / det;
        var meeting = new BlockPoint(a.At.Xmm + s * a.X, a.At.Ymm + s * a.Y);
        double half = Math.Acos(Math.Clamp(a.X * b.X + a.Y * b.Y, -1, 1)) / 2, share = 1 / Math.Sin(half) - 1;
        // The arc must leave a piece of each run, and its circle must not be out of reach.
        double most = Math.Min(LargestCutOffMm, share * (PathMm - 1.5) * Math.Tan(half));
        int count = (int)(most / CutOffStepMm) + 1;
        var logs = new double[count];
        double top = double.NegativeInfinity, topHeight = 0;
        for (int k = 0; k < count; k++)
        {
            var own = new List<double>();
            for (double dx = -ShiftMm; dx <= ShiftMm + 1e-9; dx += ShiftStepMm)
                for (double dy = -ShiftMm; dy <= ShiftMm + 1e-9; dy += ShiftStepMm)
                {
                    var corner = new BlockPoint(meeting.Xmm + dx, meeting.Ymm + dy);
                    (double log, double height) = looks.Weigh(Path(corner, a, b, k * CutOffStepMm), plane.Size);
                    log -= (dx * dx + dy * dy) / (2 * UsualShiftMm * UsualShiftMm);
                    own.Add(log);
                    if (log > top) (top, topHeight) = (log, height);
                }
            double best = own.Max();
            logs[k] = best + Math.Log(own.Sum(l => Math.Exp(l - best)));
        }
        if (topHeight < LeastHeight) return null;
        double peak = logs.Max(), sum = logs.Sum(l => Math.Exp(l - peak)), mean = 0, variance = 0;
        for (int k = 0; k < count; k++) mean += k * CutOffStepMm * Math.Exp(logs[k] - peak) / sum;
        for (int k = 0; k < count; k++) variance += Math.Pow(k * CutOffStepMm - mean, 2) * Math.Exp(logs[k] - peak) / sum;
        double u = Math.Sqrt(variance + FloorUMm * FloorUMm);
        if (u > LargestUMm || mean > most - 2 * u) return null;
        return new ThreadTurn(meeting, 2 * half * 180 / Math.PI, mean, u, mean / share, u / share);
    }

    /// <summary>Points every tenth of a millimetre from one run round the arc to the other.</summary>
    private static List<BlockPoint> Path(BlockPoint corner, Run a, Run b, double cutOffMm)
    {
        (double X, double Y) ua = Toward(corner, a.Back), ub = Toward(corner, b.Back);
        double half = Math.Acos(Math.Clamp(ua.X * ub.X + ua.Y * ub.Y, -1, 1)) / 2, radius = cutOffMm / (1 / Math.Sin(half) - 1), back = radius / Math.Tan(half);
        double ix = ua.X + ub.X, iy = ua.Y + ub.Y, norm = Math.Sqrt(ix * ix + iy * iy), mid = radius / Math.Sin(half);
        (ix, iy) = (ix / norm, iy / norm);
        var path = new List<BlockPoint>();
        for (double t = PathMm; t > back; t -= StepMm) path.Add(new BlockPoint(corner.Xmm + t * ua.X, corner.Ymm + t * ua.Y));
        double turned = Math.PI - 2 * half, side = Math.Sign(ix * -ua.Y + iy * ua.X);
        int steps = (int)(turned * radius / StepMm);
        for (int i = 0; i <= steps; i++)
        {
            (double sin, double cos) = Math.SinCos(side * turned * (steps == 0 ? 0 : (double)i / steps - 0.5));
            path.Add(new BlockPoint(corner.Xmm + mid * ix + radius * (-ix * cos + iy * sin), corner.Ymm + mid * iy + radius * (-ix * sin - iy * cos)));
        }
        for (double t = back + StepMm; t <= PathMm; t += StepMm) path.Add(new BlockPoint(corner.Xmm + t * ub.X, corner.Ymm + t * ub.Y));
        return path;
    }

    private static (double X, double Y) Toward(BlockPoint from, BlockPoint to)
    {
        double length = from.DistanceTo(to);
        return ((to.Xmm - from.Xmm) / length, (to.Ymm - from.Ymm) / length);
    }

    /// <summary>One run toward the ditch: its straight course near there.</summary>
    /// <param name="At">A point of the course at the intended end.</param>
    /// <param name="X">Direction from the ditch into the block.</param>
    /// <param name="Back">The course a little farther than the path goes back.</param>
    private sealed record Run(BlockPoint At, double X, double Y, BlockPoint Back)
    {
        private const int Fewest = 4;

        public static Run? Of(TracedLine line, IntendedGrid grid, bool atEnd)
        {
            LineFamily f = grid.Families[line.Line.Family];
            double length = line.Line.LengthMm;
            double FromDitch(double along) => atEnd ? length - along : along;
            (double D, double Y)[] own = [.. line.AlongMm.Select((s, i) => (D: FromDitch(s), Y: line.DeviationMm[i])).Where(p => p.D is >= NearMm and <= FarMm)];
            // The nearer half of it tells most of where the line is bound: the thread sways over longer stretches.
            (double D, double Y)[] near = [.. own.Where(p => p.D <= (NearMm + FarMm) / 2)];
            if (near.Length < Fewest || own.Length < 2 * Fewest - 2) return null;
            double md = near.Average(p => p.D), my = near.Average(p => p.Y), sdd = near.Sum(p => (p.D - md) * (p.D - md));
            double slope = near.Sum(p => (p.D - md) * (p.Y - my)) / sdd;
            BlockPoint On(double d)
            {
                double along = atEnd ? length - d : d, across = my + slope * (d - md);
                return new BlockPoint(line.Line.From.Xmm + f.AlongX * along + f.AcrossX * across, line.Line.From.Ymm + f.AlongY * along + f.AcrossY * across);
            }
            BlockPoint at = On(0), back = On(PathMm + 0.5);
            (double x, double y) = Toward(at, back);
            return new Run(at, x, y, back);
        }
    }

    /// <summary>What thread and ground look like near one bounce, and the photo there, turned into heights: 1 = the runs' usual thread, 0 = ground.</summary>
    private sealed class Looks
    {
        private const double CellMm = 0.1, CoreMm = 0.12, FlankFromMm = 0.6, FlankToMm = 1.0;

        private readonly float[] _height;
        private readonly int _cols, _rows;
        private readonly double _left, _top, _thread, _ground;

        private Looks(float[] height, int cols, int rows, double left, double top, double thread, double ground) =>
            (_height, _cols, _rows, _left, _top, _thread, _ground) = (height, cols, rows, left, top, thread, ground);

        public static Looks? Of(Mat photo, BlockPlane plane, Run a, Run b)
        {
            const double margin = 1.5;
            BlockPoint[] ends = [a.At, b.At, On(a, FarMm, 0), On(b, FarMm, 0)];
            double left = ends.Min(p => p.Xmm) - margin, top = ends.Min(p => p.Ymm) - margin;
            int cols = (int)((ends.Max(p => p.Xmm) + margin - left) / CellMm) + 1, rows = (int)((ends.Max(p => p.Ymm) + margin - top) / CellMm) + 1;
            Homography h = plane.PhotoFromBlock;
            using var map = new Mat(rows, cols, MatType.CV_32FC2);
            var line = new float[2 * cols];
            for (int r = 0; r < rows; r++)
            {
                for (int c = 0; c < cols; c++)
                {
                    (double x, double y) = h.Map(left + c * CellMm, top + r * CellMm);
                    if (x < 0 || y < 0 || x > photo.Cols - 1 || y > photo.Rows - 1) return null;
                    (line[2 * c], line[2 * c + 1]) = ((float)x, (float)y);
                }
                System.Runtime.InteropServices.Marshal.Copy(line, 0, map.Ptr(r), line.Length);
            }
            using Mat patch = new(), none = new();
            Cv2.Remap(photo, patch, map, none, InterpolationFlags.Linear, BorderTypes.Replicate);
            var bgr = new byte[rows * cols * 3];
            System.Runtime.InteropServices.Marshal.Copy(patch.Data, bgr, 0, bgr.Length);
            Colour3 At(BlockPoint p)
            {
                int c = Math.Clamp((int)Math.Round((p.Xmm - left) / CellMm), 0, cols - 1), r = Math.Clamp((int)Math.Round((p.Ymm - top) / CellMm), 0, rows - 1), k = 3 * (r * cols + c);
                return Colour3.OfBgr(bgr[k], bgr[k + 1], bgr[k + 2]);
            }
            List<Colour3> core = [], flank = [];
            foreach (Run run in (Run[])[a, b])
                for (double d = NearMm; d < FarMm; d += CellMm)
                {
                    core.Add(1 / 3.0 * (At(On(run, d, -CoreMm)) + At(On(run, d, 0)) + At(On(run, d, CoreMm))));
                    for (double u = FlankFromMm; u <= FlankToMm; u += 2 * CellMm) flank.AddRange([At(On(run, d, -u)), At(On(run, d, u))]);
                }
            Colour3 ground = UpperMedian.Of(flank), difference = Mean(core) - ground;
            if (difference.Norm < 1) return null;
            Colour3 q = 1 / difference.Dot(difference) * difference;
            double level = q.Dot(ground), unevenness = Spread(core.Select(c => q.Dot(c) - level)), noise = Math.Max(0.08, Spread(flank.Select(c => q.Dot(c) - level)));
            if (1 < LeastContrast * noise) return null;
            var height = new float[rows * cols];
            for (int i = 0; i < height.Length; i++) height[i] = (float)(q.Dot(Colour3.OfBgr(bgr[3 * i], bgr[3 * i + 1], bgr[3 * i + 2])) - level);
            return new Looks(height, cols, rows, left, top, Math.Max(noise, unevenness), noise);
        }

        /// <summary>Log likelihood of thread along the path against ground, and the mean height over its middle third.</summary>
        public (double Log, double Height) Weigh(List<BlockPoint> path, BlockSize size)
        {
            double log = 0, middle = 0;
            int count = 0;
            for (int i = 0; i < path.Count; i++)
            {
                BlockPoint p = path[i];
                if (Math.Min(Math.Min(p.Xmm, p.Ymm), Math.Min(size.WidthMm - p.Xmm, size.HeightMm - p.Ymm)) < DitchMm) continue;
                double v = At(p), z = Math.Clamp((v - 1) / _thread, -3.5, 3.5), g = Math.Clamp(v / _ground, -3.5, 3.5);
                log += 0.5 * (g * g - z * z) - Math.Log(_thread / _ground);
                if (i < path.Count / 3 || i > 2 * path.Count / 3) continue;
                middle += v;
                count++;
            }
            return (log / Persistence, count == 0 ? 0 : middle / count);
        }

        private double At(BlockPoint p)
        {
            double x = (p.Xmm - _left) / CellMm, y = (p.Ymm - _top) / CellMm;
            int c = (int)x, r = (int)y;
            if (x < 0 || y < 0 || c + 1 >= _cols || r + 1 >= _rows) return 0;
            double fx = x - c, fy = y - r;
            int i = r * _cols + c;
            return (1 - fy) * ((1 - fx) * _height[i] + fx * _height[i + 1]) + fy * ((1 - fx) * _height[i + _cols] + fx * _height[i + _cols + 1]);
        }

        private static BlockPoint On(Run run, double d, double across) => new(run.At.Xmm + run.X * d - run.Y * across, run.At.Ymm + run.Y * d + run.X * across);

        private static Colour3 Mean(List<Colour3> all) => 1.0 / all.Count * all.Aggregate(default(Colour3), (s, c) => s + c);

        private static double Spread(IEnumerable<double> values)
        {
            double[] v = [.. values];
            double mean = v.Average();
            return Math.Sqrt(v.Average(x => (x - mean) * (x - mean)));
        }
    }
}
