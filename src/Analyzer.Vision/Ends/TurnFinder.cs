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
        (double Log, BlockPoint Corner, double CutOffMm) top = (double.NegativeInfinity, meeting, 0);
        int shifts = 2 * (int)Math.Round(ShiftMm / ShiftStepMm) + 1;
        var own = new double[count, shifts * shifts];
        for (int i = 0; i < shifts * shifts; i++)
        {
            double dx = (i / shifts) * ShiftStepMm - ShiftMm, dy = (i % shifts) * ShiftStepMm - ShiftMm, unlikely = (dx * dx + dy * dy) / (2 * UsualShiftMm * UsualShiftMm);
            var corner = new BlockPoint(meeting.Xmm + dx, meeting.Ymm + dy);
            var bend = new Bend(corner, a, b);
            // The straight parts of all arcs about one corner are the same but for their ends: summed once.
            double[] straight = looks.Summed(bend);
            for (int k = 0; k < count; k++)
            {
                double log = looks.Weigh(bend, k * CutOffStepMm, straight) - unlikely;
                own[k, i] = log;
                if (log > top.Log) top = (log, corner, k * CutOffStepMm);
            }
        }
        for (int k = 0; k < count; k++)
        {
            double best = double.NegativeInfinity, rest = 0;
            for (int i = 0; i < shifts * shifts; i++) best = Math.Max(best, own[k, i]);
            for (int i = 0; i < shifts * shifts; i++) rest += Math.Exp(own[k, i] - best);
            logs[k] = best + Math.Log(rest);
        }
        double topHeight = looks.MiddleHeight(new Bend(top.Corner, a, b).Path(top.CutOffMm));
        if (topHeight < LeastHeight) return null;
        double peak = logs.Max(), sum = logs.Sum(l => Math.Exp(l - peak)), mean = 0, variance = 0;
        for (int k = 0; k < count; k++) mean += k * CutOffStepMm * Math.Exp(logs[k] - peak) / sum;
        for (int k = 0; k < count; k++) variance += Math.Pow(k * CutOffStepMm - mean, 2) * Math.Exp(logs[k] - peak) / sum;
        double u = Math.Sqrt(variance + FloorUMm * FloorUMm);
        if (u > LargestUMm || mean > most - 2 * u) return null;
        return new ThreadTurn(meeting, 2 * half * 180 / Math.PI, mean, u, mean / share, u / share);
    }

    /// <summary>Both runs from one corner, and the arcs that join them.</summary>
    private readonly struct Bend
    {
        /// <summary>Points of each run: from <see cref="PathMm"/> before the corner towards it, a step apart.</summary>
        public const int RunSteps = (int)(PathMm / StepMm + 0.5);

        private readonly BlockPoint _corner;
        private readonly (double X, double Y) _a, _b, _inward;
        private readonly double _half, _sin, _tan, _side;

        public Bend(BlockPoint corner, Run a, Run b)
        {
            _corner = corner;
            (_a, _b) = (Toward(corner, a.Back), Toward(corner, b.Back));
            _half = Math.Acos(Math.Clamp(_a.X * _b.X + _a.Y * _b.Y, -1, 1)) / 2;
            (_sin, _tan) = (Math.Sin(_half), Math.Tan(_half));
            double x = _a.X + _b.X, y = _a.Y + _b.Y, norm = Math.Sqrt(x * x + y * y);
            _inward = (x / norm, y / norm);
            _side = Math.Sign(_inward.X * -_a.Y + _inward.Y * _a.X);
        }

        public BlockPoint OnA(int step) => new(_corner.Xmm + (PathMm - step * StepMm) * _a.X, _corner.Ymm + (PathMm - step * StepMm) * _a.Y);

        public BlockPoint OnB(int step) => new(_corner.Xmm + (PathMm - step * StepMm) * _b.X, _corner.Ymm + (PathMm - step * StepMm) * _b.Y);

        private double Radius(double cutOffMm) => cutOffMm / (1 / _sin - 1);

        /// <summary>How many points of each run lie before the arc.</summary>
        public int StepsToArc(double cutOffMm) => Math.Clamp((int)Math.Ceiling((PathMm - Radius(cutOffMm) / _tan) / StepMm - 1e-9), 0, RunSteps);

        /// <summary>The arc's first point from its circle's centre, the centre, and the turn from one point to the next, as cosine and sine.</summary>
        public (BlockPoint Centre, double X, double Y, double Cos, double Sin, int Steps) Arc(double cutOffMm)
        {
            double radius = Radius(cutOffMm), mid = radius / _sin, turned = Math.PI - 2 * _half;
            int steps = (int)(turned * radius / StepMm);
            (double sin, double cos) = Math.SinCos(-0.5 * _side * turned);
            (double turnSin, double turnCos) = Math.SinCos(steps == 0 ? 0 : _side * turned / steps);
            return (new BlockPoint(_corner.Xmm + mid * _inward.X, _corner.Ymm + mid * _inward.Y),
                radius * (-_inward.X * cos + _inward.Y * sin), radius * (-_inward.X * sin - _inward.Y * cos), turnCos, turnSin, steps);
        }

        /// <summary>Points every tenth of a millimetre from one run round the arc to the other.</summary>
        public List<BlockPoint> Path(double cutOffMm)
        {
            var path = new List<BlockPoint>();
            int before = StepsToArc(cutOffMm);
            for (int i = 0; i < before; i++) path.Add(OnA(i));
            (BlockPoint centre, double x, double y, double cos, double sin, int steps) = Arc(cutOffMm);
            for (int i = 0; i <= steps; i++)
            {
                path.Add(new BlockPoint(centre.Xmm + x, centre.Ymm + y));
                (x, y) = (cos * x - sin * y, sin * x + cos * y);
            }
            for (int i = before - 1; i >= 0; i--) path.Add(OnB(i));
            return path;
        }
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
        private readonly double _left, _top, _thread, _ground, _wider;
        private readonly BlockSize _size;

        private Looks(float[] height, int cols, int rows, double left, double top, double thread, double ground, BlockSize size)
        {
            (_height, _cols, _rows, _left, _top, _thread, _ground, _size) = (height, cols, rows, left, top, thread, ground, size);
            _wider = Math.Log(thread / ground);
        }

        public static Looks? Of(Mat photo, BlockPlane plane, Run a, Run b)
        {
            if (!Box.Round([On(a, FarMm, 0), On(b, FarMm, 0), a.At, b.At]).IsIn(photo, plane)) return null;
            List<BlockPoint> onThread = [], beside = [];
            foreach (Run run in (Run[])[a, b])
                for (double d = NearMm; d < FarMm; d += CellMm)
                {
                    onThread.AddRange([On(run, d, -CoreMm), On(run, d, 0), On(run, d, CoreMm)]);
                    for (double u = FlankFromMm; u <= FlankToMm; u += 2 * CellMm) beside.AddRange([On(run, d, -u), On(run, d, u)]);
                }
            Colour3[] points = Sample(photo, plane, onThread), flank = Sample(photo, plane, beside);
            Colour3[] core = [.. Enumerable.Range(0, points.Length / 3).Select(i => 1 / 3.0 * (points[3 * i] + points[3 * i + 1] + points[3 * i + 2]))];
            Colour3 ground = UpperMedian.Of(flank), difference = Mean(core) - ground;
            if (difference.Norm < 1) return null;
            Colour3 q = 1 / difference.Dot(difference) * difference;
            double level = q.Dot(ground), unevenness = Spread(core.Select(c => q.Dot(c) - level)), noise = Math.Max(0.08, Spread(flank.Select(c => q.Dot(c) - level)));
            if (1 < LeastContrast * noise) return null;
            // The paths themselves stay nearer to the ditch than what tells the thread's looks.
            Box box = Box.Round([a.Back, b.Back, a.At, b.At]);
            (int rows, int cols) = (box.Rows, box.Cols);
            var pixels = new BgrPixels(photo);
            var bgr = new byte[3 * cols];
            var height = new float[rows * cols];
            (double wb, double wg, double wr) = q.AsBgrWeights();
            for (int r = 0; r < rows; r++)
            {
                plane.Row(new BlockPoint(box.LeftMm, box.TopMm + r * CellMm), CellMm, 0).Read(pixels, bgr);
                for (int c = 0; c < cols; c++) height[r * cols + c] = (float)(wb * bgr[3 * c] + wg * bgr[3 * c + 1] + wr * bgr[3 * c + 2] - level);
            }
            return new Looks(height, cols, rows, box.LeftMm, box.TopMm, Math.Max(noise, unevenness), noise, plane.Size);
        }

        /// <summary>Log likelihood of thread against ground over the first points of both runs: entry i is the sum over i points of each.</summary>
        public double[] Summed(in Bend bend)
        {
            var sum = new double[Bend.RunSteps + 1];
            for (int i = 0; i < Bend.RunSteps; i++) sum[i + 1] = sum[i] + LogAt(bend.OnA(i)) + LogAt(bend.OnB(i));
            return sum;
        }

        /// <summary>Log likelihood of thread along one path against ground.</summary>
        public double Weigh(in Bend bend, double cutOffMm, double[] straight)
        {
            double log = straight[bend.StepsToArc(cutOffMm)];
            (BlockPoint centre, double x, double y, double cos, double sin, int steps) = bend.Arc(cutOffMm);
            for (int i = 0; i <= steps; i++)
            {
                log += LogAt(new BlockPoint(centre.Xmm + x, centre.Ymm + y));
                (x, y) = (cos * x - sin * y, sin * x + cos * y);
            }
            return log / Persistence;
        }

        /// <summary>Mean height over the path's middle third.</summary>
        public double MiddleHeight(List<BlockPoint> path)
        {
            double[] middle = [.. path.Take((path.Count / 3)..(2 * path.Count / 3 + 1)).Where(p => !InDitch(p)).Select(At)];
            return middle.Length == 0 ? 0 : middle.Average();
        }

        private double LogAt(BlockPoint p)
        {
            if (InDitch(p)) return 0;
            double v = At(p), z = Math.Clamp((v - 1) / _thread, -3.5, 3.5), g = Math.Clamp(v / _ground, -3.5, 3.5);
            return 0.5 * (g * g - z * z) - _wider;
        }

        private bool InDitch(BlockPoint p) => _size.EdgeDistanceMm(p) < DitchMm;

        private double At(BlockPoint p)
        {
            double x = (p.Xmm - _left) / CellMm, y = (p.Ymm - _top) / CellMm;
            int c = (int)x, r = (int)y;
            if (x < 0 || y < 0 || c + 1 >= _cols || r + 1 >= _rows) return 0;
            double fx = x - c, fy = y - r;
            int i = r * _cols + c;
            return (1 - fy) * ((1 - fx) * _height[i] + fx * _height[i + 1]) + fy * ((1 - fx) * _height[i + _cols] + fx * _height[i + _cols + 1]);
        }

        /// <summary>A piece of the block, its sides along the block's.</summary>
        private readonly record struct Box(double LeftMm, double TopMm, double RightMm, double BottomMm)
        {
            private const double MarginMm = 1.5;

            public static Box Round(BlockPoint[] points) => new(
                points.Min(p => p.Xmm) - MarginMm, points.Min(p => p.Ymm) - MarginMm, points.Max(p => p.Xmm) + MarginMm, points.Max(p => p.Ymm) + MarginMm);

            public bool IsIn(Mat photo, BlockPlane plane) => ((BlockPoint[])[new(LeftMm, TopMm), new(RightMm, TopMm), new(LeftMm, BottomMm), new(RightMm, BottomMm)])
                .All(p => plane.ToPhoto(p) is var (x, y) && x >= 0 && y >= 0 && x <= photo.Cols - 1 && y <= photo.Rows - 1);

            public int Cols => (int)((RightMm - LeftMm) / CellMm) + 1;

            public int Rows => (int)((BottomMm - TopMm) / CellMm) + 1;
        }

        /// <summary>The photo's colours at single points.</summary>
        private static unsafe Colour3[] Sample(Mat photo, BlockPlane plane, List<BlockPoint> points)
        {
            using var map = new Mat(1, points.Count, MatType.CV_32FC2);
            var xy = new Span<float>((float*)map.Ptr(0), 2 * points.Count);
            for (int i = 0; i < points.Count; i++)
            {
                (double x, double y) = plane.PhotoFromBlock.Map(points[i].Xmm, points[i].Ymm);
                (xy[2 * i], xy[2 * i + 1]) = ((float)x, (float)y);
            }
            using Mat seen = new(), none = new();
            Cv2.Remap(photo, seen, map, none, InterpolationFlags.Linear, BorderTypes.Replicate);
            var colours = new Colour3[points.Count];
            var bgr = new ReadOnlySpan<byte>((byte*)seen.Ptr(0), 3 * points.Count);
            for (int i = 0; i < colours.Length; i++) colours[i] = Colour3.OfBgr(bgr[3 * i], bgr[3 * i + 1], bgr[3 * i + 2]);
            return colours;
        }

        private static BlockPoint On(Run run, double d, double across) => new(run.At.Xmm + run.X * d - run.Y * across, run.At.Ymm + run.Y * d + run.X * across);

        private static Colour3 Mean(Colour3[] all) => 1.0 / all.Length * all.Aggregate(default(Colour3), (s, c) => s + c);

        private static double Spread(IEnumerable<double> values)
        {
            double[] v = [.. values];
            double mean = v.Average();
            return Math.Sqrt(v.Average(x => (x - mean) * (x - mean)));
        }
    }
}
