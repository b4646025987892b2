using Analyzer.Core.Pattern;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing.Scene;

/// <summary>How light falls on the puffed layers: one brightness factor per cell of a coarse raster over the plane.</summary>
internal sealed class ReliefMap
{
    private const double CellsPerMm = 5;
    private readonly PlaneArea _area;
    private readonly int _width, _height;
    private readonly float[] _factor;
    private readonly SceneSettings _settings;
    private readonly StitchPlan _plan;
    private readonly PlaneDistortion _distortion;
    private readonly FamilyLines[] _families;
    private readonly uint _seed;
    private readonly float[] _puff;
    private const double PuffStepMm = 0.05;

    public ReliefMap(SceneSettings settings, StitchPlan plan, PlaneDistortion distortion, PlaneArea area)
    {
        (_settings, _plan, _distortion, _area) = (settings, plan, distortion, area);
        _seed = new SeededRandom(settings.Seed, "relief").NextSeed();
        ReliefSettings r = settings.Relief;
        _puff = [.. Enumerable.Range(0, 800).Select(i => (float)(1 - Math.Exp(-Math.Pow(i * PuffStepMm / r.RiseMm, r.Roundness))))];
        _width = (int)Math.Ceiling(area.WidthMm * CellsPerMm) + 2;
        _height = (int)Math.Ceiling(area.HeightMm * CellsPerMm) + 2;
        _families = [.. plan.Grid.Families.Select((f, i) => new FamilyLines(f, plan.Lines.Where(l => l.Intended!.Family == i && !l.IsMissing)))];
        var height = new float[_width * _height];
        var shadow = new float[_width * _height];
        Parallel.For(0, _height, row => FillRow(row, height, shadow));
        _factor = new float[_width * _height];
        Parallel.For(0, _height, row => LightRow(row, height, shadow));
    }

    /// <summary>How far the layers have risen at a distance from one line, 0 to 1. Products over all lines near make a round pillow.</summary>
    private double Puff(double distanceMm)
    {
        double at = distanceMm / PuffStepMm;
        int i = (int)at;
        return i >= _puff.Length - 1 ? 1 : _puff[i] + (at - i) * (_puff[i + 1] - _puff[i]);
    }

    /// <summary>Brightness factor at a point of the plane, about 1 on flat cloth.</summary>
    public float At(double xMm, double yMm)
    {
        double gx = (xMm - _area.LeftMm) * CellsPerMm, gy = (yMm - _area.TopMm) * CellsPerMm;
        int ix = Math.Clamp((int)gx, 0, _width - 2), iy = Math.Clamp((int)gy, 0, _height - 2);
        float fx = (float)(gx - ix), fy = (float)(gy - iy);
        int i = iy * _width + ix;
        float top = _factor[i] + (_factor[i + 1] - _factor[i]) * fx;
        float bottom = _factor[i + _width] + (_factor[i + _width + 1] - _factor[i + _width]) * fx;
        return top + (bottom - top) * fy;
    }

    private void FillRow(int row, float[] height, float[] shadow)
    {
        ReliefSettings r = _settings.Relief;
        double light = _settings.Light.FromDeg * Math.PI / 180, lx = Math.Cos(light), ly = -Math.Sin(light);
        (double w, double h) = (_plan.Grid.Size.WidthMm, _plan.Grid.Size.HeightMm);
        double y = _area.TopMm + row / CellsPerMm;
        (double X, double Y)[] pattern = _distortion.UndoRow(_area.LeftMm, 1 / CellsPerMm, _width, y);
        for (int col = 0; col < _width; col++)
        {
            double x = _area.LeftMm + col / CellsPerMm;
            (double px, double py) = pattern[col];
            bool inside = px >= 0 && py >= 0 && px <= w && py <= h;
            var near = new NearLines();
            double edge = EdgeDistance(px, py, w, h, out double edgeTowardLight, lx, ly);
            near.See(edge, edgeTowardLight);
            double puff = inside ? Puff(px) * Puff(w - px) * Puff(py) * Puff(h - py) : Puff(edge);
            if (inside)
                foreach (FamilyLines family in _families) puff *= family.Nearest(this, px, py, lx, ly, ref near);
            foreach (StitchedLine extra in _plan.Extra) puff *= Puff(NearestOf(extra, x, y, lx, ly, ref near));
            double nearest = near.Distance;
            double wrinkle = r.WrinkleMm * (SmoothNoise.Octaves(x / 5, y / 5, _seed, 3) + 2.5 * SmoothNoise.Octaves(x / 28, y / 28, _seed + 7, 2));
            height[row * _width + col] = (float)(r.HeightMm * puff + wrinkle);
            // Half-way between two lines neither throws a shadow of its own.
            double apart = Math.Clamp((near.Second - nearest) / 0.7, 0, 1), side = Math.Max(0, near.TowardLight) * apart * apart * (3 - 2 * apart);
            double furrow = r.FurrowShadow * side * Math.Exp(-Math.Pow((nearest - 0.45) / 0.5, 2));
            double depth = r.FurrowDepth * Math.Exp(-nearest / 0.8);
            shadow[row * _width + col] = (float)((1 - furrow) * (1 - depth));
        }
    }

    private void LightRow(int row, float[] height, float[] shadow)
    {
        LightSettings light = _settings.Light;
        double direction = light.FromDeg * Math.PI / 180, cot = 1 / Math.Tan(light.ElevationDeg * Math.PI / 180);
        double lx = Math.Cos(direction) * cot, ly = -Math.Sin(direction) * cot, other = direction + light.SecondTurnDeg * Math.PI / 180;
        double share = light.Second / (1 + light.Second);
        (lx, ly) = ((1 - share) * lx + share * Math.Cos(other), (1 - share) * ly - share * Math.Sin(other));
        for (int col = 0; col < _width; col++)
        {
            int left = Math.Max(0, col - 1), right = Math.Min(_width - 1, col + 1), up = Math.Max(0, row - 1), down = Math.Min(_height - 1, row + 1);
            double gx = (height[row * _width + right] - height[row * _width + left]) * CellsPerMm / Math.Max(1, right - left);
            double gy = (height[down * _width + col] - height[up * _width + col]) * CellsPerMm / Math.Max(1, down - up);
            // Lambert's law against flat cloth: cloth that rises toward the light turns away from it and is darker.
            double lambert = Math.Max(0, (1 - gx * lx - gy * ly) / Math.Sqrt(1 + gx * gx + gy * gy));
            _factor[row * _width + col] = (float)((light.Ambient + (1 - light.Ambient) * lambert) * shadow[row * _width + col]);
        }
    }

    /// <summary>Distance to the finished edge and how far the point lies on the light's side of it (-1 to 1).</summary>
    private static double EdgeDistance(double x, double y, double w, double h, out double towardLight, double lx, double ly)
    {
        double cx = Math.Clamp(x, 0, w), cy = Math.Clamp(y, 0, h);
        if (cx == x && cy == y)
        {
            double l = x, r = w - x, t = y, b = h - y, m = Math.Min(Math.Min(l, r), Math.Min(t, b));
            towardLight = m == l ? lx : m == r ? -lx : m == t ? ly : -ly;
            return m;
        }
        double dx = x - cx, dy = y - cy, d = Math.Sqrt(dx * dx + dy * dy);
        towardLight = (dx * lx + dy * ly) / d;
        return d;
    }

    /// <summary>The nearest and second nearest line to a point: distance, and how far the point lies on the light's side (-1 to 1).</summary>
    private struct NearLines
    {
        public NearLines()
        {
        }

        public double Distance { get; private set; } = 1000;

        public double Second { get; private set; } = 1000;

        public double TowardLight { get; private set; }

        public void See(double distance, double towardLight)
        {
            if (distance < Distance) (Second, Distance, TowardLight) = (Distance, distance, towardLight);
            else if (distance < Second) Second = distance;
        }
    }

    private static double NearestOf(StitchedLine line, double x, double y, double lx, double ly, ref NearLines near)
    {
        double nearest = 40, towardLight = 0;
        (double X, double Y)[] p = line.Holes;
        for (int i = 0; i + 1 < p.Length; i++)
        {
            double ex = p[i + 1].X - p[i].X, ey = p[i + 1].Y - p[i].Y, length2 = ex * ex + ey * ey;
            if (Math.Abs(x - p[i].X) > nearest + 4 || Math.Abs(y - p[i].Y) > nearest + 4 || length2 == 0) continue;
            double t = Math.Clamp(((x - p[i].X) * ex + (y - p[i].Y) * ey) / length2, 0, 1);
            double dx = x - p[i].X - t * ex, dy = y - p[i].Y - t * ey, d = Math.Sqrt(dx * dx + dy * dy);
            if (d >= nearest) continue;
            nearest = d;
            towardLight = d < 1e-9 ? 0 : (dx * lx + dy * ly) / d;
        }
        near.See(nearest, towardLight);
        return nearest;
    }

    /// <summary>The stitched lines of one family, looked up by place along and across.</summary>
    private sealed class FamilyLines
    {
        private readonly LineFamily _family;
        private readonly Dictionary<int, (StitchedLine Line, double StartAlong, float[] Across)> _byIndex = [];
        private const double StepMm = 0.5;

        public FamilyLines(LineFamily family, IEnumerable<StitchedLine> lines)
        {
            _family = family;
            foreach (StitchedLine line in lines)
            {
                double length = line.Intended!.LengthMm;
                var across = new float[(int)(length / StepMm) + 2];
                for (int i = 0; i < across.Length; i++)
                    across[i] = (float)(line.AcrossAt(Math.Clamp(i * StepMm, line.HoleAlongMm[0], line.HoleAlongMm[^1])) ?? 0);
                _byIndex[line.Intended.Index] = (line, family.Along(line.Intended.From), across);
            }
        }

        public double Nearest(ReliefMap map, double x, double y, double lx, double ly, ref NearLines near)
        {
            double along = _family.AlongX * x + _family.AlongY * y, across = _family.AcrossX * x + _family.AcrossY * y;
            int k = (int)Math.Round((across - _family.AcrossOfLine(0)) / _family.SpacingMm);
            double lightAcross = _family.AcrossX * lx + _family.AcrossY * ly, puff = 1;
            for (int j = k - 1; j <= k + 1; j++)
            {
                if (!_byIndex.TryGetValue(j, out (StitchedLine Line, double StartAlong, float[] Across) line)) continue;
                double s = (along - line.StartAlong) / StepMm;
                int i = Math.Clamp((int)s, 0, line.Across.Length - 2);
                double t = Math.Clamp(s - i, 0, 1), deviation = line.Across[i] + t * (line.Across[i + 1] - line.Across[i]);
                double signed = across - _family.AcrossOfLine(j) - deviation, beyond = Math.Max(0, Math.Max(-s, s - line.Across.Length + 1) * StepMm);
                double d = Math.Sqrt(signed * signed + beyond * beyond);
                puff *= map.Puff(d);
                near.See(d, Math.Sign(signed) * lightAcross);
            }
            return puff;
        }
    }
}
