using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Route;

namespace Analyzer.Planning.Drawing;

/// <summary>The numbered travel path: lines by family, ditch travel drawn beside the border, a numbered badge where each step begins.</summary>
internal sealed class PathDrawing
{
    /// <summary>Room left on each side of the block for the ditch travel and the start and end flags, mm on paper.</summary>
    public const double MarginMm = 19;

    private const double LaneMm = 2.6;

    private readonly Canvas _canvas;
    private readonly BlockPlan _plan;
    private readonly double _x0, _y0, _scale, _badge;
    private readonly List<(double X, double Y)> _badges = [];
    private readonly List<(int Lane, int Side, double Low, double High)> _lanes = [];

    private PathDrawing(Canvas canvas, BlockPlan plan, double x, double y, double width, double height)
    {
        _canvas = canvas;
        _plan = plan;
        BlockSize size = plan.Grid.Size;
        _scale = Math.Min((width - 2 * MarginMm) / size.WidthMm, (height - 2 * MarginMm) / size.HeightMm);
        _x0 = x + (width - size.WidthMm * _scale) / 2;
        _y0 = y + (height - size.HeightMm * _scale) / 2;
        _badge = Math.Clamp(0.2 * Pitch(), 1.3, 2.3);
    }

    /// <summary>Draws the path into a rectangle of the canvas.</summary>
    public static void Draw(Canvas canvas, BlockPlan plan, double x, double y, double width, double height)
    {
        var drawing = new PathDrawing(canvas, plan, x, y, width, height);
        drawing.DrawBlock();
        drawing.DrawDitchSteps();
        drawing.DrawLineSteps();
        drawing.DrawEnds();
    }

    /// <summary>Height of the drawing when it is as wide as given, mm.</summary>
    public static double HeightFor(BlockPlan plan, double width) =>
        2 * MarginMm + (width - 2 * MarginMm) * plan.Grid.Size.HeightMm / plan.Grid.Size.WidthMm;

    /// <summary>A typical distance between turning points on paper, mm.</summary>
    private double Pitch()
    {
        var ring = new BorderRing(_plan.Grid.Size, _plan.Grid.Lines);
        double[] gaps = [.. ring.Gaps.Order()];
        return gaps[gaps.Length / 4] * _scale * 1.15;
    }

    private (double X, double Y) Map(BlockPoint p) => (_x0 + p.Xmm * _scale, _y0 + p.Ymm * _scale);

    private void DrawBlock()
    {
        BlockSize size = _plan.Grid.Size;
        _canvas.Rect(_x0, _y0, size.WidthMm * _scale, size.HeightMm * _scale, null, "#fdfbf5");
        foreach (GridLine line in _plan.Grid.Lines)
        {
            (double ax, double ay) = Map(line.From);
            (double bx, double by) = Map(line.To);
            _canvas.Line(ax, ay, bx, by, FamilyStyle.Of(line.Family).Pen(0.38));
        }
        if (_plan.Route.Rule != RouteRule.LinesOnly)
            _canvas.Rect(_x0, _y0, size.WidthMm * _scale, size.HeightMm * _scale, new Pen(FamilyStyle.Ditch, 0.9));
        else
            _canvas.Rect(_x0, _y0, size.WidthMm * _scale, size.HeightMm * _scale, new Pen("#b0b0b0", 0.25));
    }

    private void DrawLineSteps()
    {
        foreach (RouteStep step in _plan.Route.Steps.Where(s => s.Kind == StepKind.Line))
        {
            GridLine line = _plan.Grid.Line(step.LineId!);
            FamilyStyle style = FamilyStyle.Of(line.Family);
            (double ax, double ay) = Map(step.From);
            (double bx, double by) = Map(step.To);
            double length = Math.Sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay)), ux = (bx - ax) / length, uy = (by - ay) / length;
            double at = FreePlace(step, ax, ay, ux, uy, length);
            double tip = Math.Min(at + _badge * 2.55, length * 0.97);
            _canvas.ArrowHead(ax + ux * tip, ay + uy * tip, ux, uy, _badge * 1.35, style.Color);
            Badge(ax + ux * at, ay + uy * at, step.Number, style.Color);
        }
    }

    /// <summary>The first place along the line, from its start, where the badge hides neither another badge nor a crossing.</summary>
    private double FreePlace(RouteStep step, double ax, double ay, double ux, double uy, double length)
    {
        LineFamily family = _plan.Grid.Families[_plan.Grid.Line(step.LineId!).Family];
        double from = family.Along(step.From), sign = family.Along(step.To) > from ? 1 : -1;
        double[] crossings = [.. _plan.Grid.Nodes.Where(n => n.LineIds.Contains(step.LineId!)).Select(n => (family.Along(n.Position) - from) * sign * _scale)];
        double fallback = double.NaN, most = Math.Max(0.45 * length, 3.2 * _badge);
        for (double at = Math.Min(2.3 * _badge, length / 2); at <= most; at += 0.35 * _badge)
        {
            double x = ax + ux * at, y = ay + uy * at;
            if (_badges.Any(b => Distance(b.X - x, b.Y - y) < 2.15 * _badge)) continue;
            if (double.IsNaN(fallback)) fallback = at;
            if (crossings.All(c => c < at - 1.15 * _badge || c > at + 3.0 * _badge)) return at;
        }
        return double.IsNaN(fallback) ? Math.Min(2.3 * _badge, length / 2) : fallback;
    }

    private void DrawDitchSteps()
    {
        foreach (RouteStep step in _plan.Route.Steps)
        {
            if (step.Kind is not (StepKind.Ditch or StepKind.DitchAgain)) continue;
            bool again = step.Kind == StepKind.DitchAgain;
            int lane = FreeLane(step);
            double off = LaneMm * lane + 0.4;
            var points = new List<(double X, double Y)>();
            int longest = 1;
            for (int i = 1; i < step.Points.Count; i++)
            {
                BlockPoint a = step.Points[i - 1], b = step.Points[i];
                (double nx, double ny) = Outward(a, b);
                (double px, double py) = Map(a);
                (double qx, double qy) = Map(b);
                double back = Math.Min(0.7, Distance(qx - px, qy - py) / 5);
                double ux = (qx - px) / Distance(qx - px, qy - py), uy = (qy - py) / Distance(qx - px, qy - py);
                double startPull = i == 1 ? back : -off, endPull = i == step.Points.Count - 1 ? back : -off;
                points.Add((px + nx * off + ux * startPull, py + ny * off + uy * startPull));
                points.Add((qx + nx * off - ux * endPull, qy + ny * off - uy * endPull));
                if (a.DistanceTo(b) > step.Points[longest - 1].DistanceTo(step.Points[longest]) + 1e-6) longest = i;
            }
            string color = again ? FamilyStyle.Again : FamilyStyle.Ditch;
            _canvas.Path(points, again ? new Pen(color, 0.45, 0.9, 0.7) : new Pen(color, 0.45));
            (double ex, double ey) = points[^1];
            (double fx, double fy) = points[^2];
            _canvas.ArrowHead(ex, ey, ex - fx, ey - fy, Math.Min(_badge * 1.35, 0.6 * Distance(ex - fx, ey - fy) + 0.5), color);
            (double mx, double my) = points[2 * (longest - 1)];
            (double kx, double ky) = points[2 * (longest - 1) + 1];
            double share = step.Points.Count > 3 ? 0.2 : 0.45;
            (double outX, double outY) = Outward(step.Points[longest - 1], step.Points[longest]);
            double bx = mx + (kx - mx) * share, by = my + (ky - my) * share;
            // A badge would hide a short step: it stands outside it then.
            double away = Distance(kx - mx, ky - my) < 4.5 * _badge ? 1.75 * _badge : 0;
            while (away < 6 * _badge && _badges.Any(b => Distance(b.X - bx - outX * away, b.Y - by - outY * away) < 2.1 * _badge)) away += 0.7 * _badge;
            Badge(bx + outX * away, by + outY * away, step.Number, again ? "#6d6d6d" : color);
        }
    }

    /// <summary>The innermost lane beside the border that no earlier step uses here; ditch sewn again stays out of the first.</summary>
    private int FreeLane(RouteStep step)
    {
        var parts = new List<(int Side, double Low, double High)>();
        for (int i = 1; i < step.Points.Count; i++)
        {
            BlockPoint a = step.Points[i - 1], b = step.Points[i];
            bool upright = Math.Abs(a.Xmm - b.Xmm) < 1e-6;
            int side = upright ? (a.Xmm < 1 ? 0 : 1) : a.Ymm < 1 ? 2 : 3;
            double p = upright ? a.Ymm : a.Xmm, q = upright ? b.Ymm : b.Xmm;
            parts.Add((side, Math.Min(p, q), Math.Max(p, q)));
        }
        int lane = step.Kind == StepKind.DitchAgain ? 2 : 1;
        while (_lanes.Any(l => l.Lane == lane && parts.Any(p => p.Side == l.Side && p.Low < l.High - 0.1 && p.High > l.Low + 0.1)) && lane < 4) lane++;
        _lanes.AddRange(parts.Select(p => (lane, p.Side, p.Low, p.High)));
        return lane;
    }

    private (double X, double Y) Outward(BlockPoint a, BlockPoint b)
    {
        if (Math.Abs(a.Xmm - b.Xmm) < 1e-6) return (a.Xmm < _plan.Grid.Size.WidthMm / 2 ? -1 : 1, 0);
        return (0, a.Ymm < _plan.Grid.Size.HeightMm / 2 ? -1 : 1);
    }

    private void DrawEnds()
    {
        Flag(_plan.Route.StartPoint, "START", filled: true);
        bool same = _plan.Route.StartPoint.DistanceTo(_plan.Route.EndPoint) < 1;
        Flag(_plan.Route.EndPoint, "END", filled: false, second: same);
        foreach (RouteStep cut in _plan.Route.Steps.Where(s => s.Kind == StepKind.Cut))
        {
            foreach (BlockPoint p in (BlockPoint[])[cut.From, cut.To])
            {
                (double x, double y) = Map(p);
                double r = 0.9;
                _canvas.Line(x - r, y - r, x + r, y + r, new Pen("#a01020", 0.4));
                _canvas.Line(x - r, y + r, x + r, y - r, new Pen("#a01020", 0.4));
            }
        }
    }

    /// <summary>A round mark on the border and a word in the margin.</summary>
    private void Flag(BlockPoint p, string word, bool filled, bool second = false)
    {
        BlockSize size = _plan.Grid.Size;
        (double x, double y) = Map(p);
        _canvas.Circle(x, y, 1.5, new Pen("#111111", 0.5), filled ? "#111111" : "#ffffff");
        if (!filled) _canvas.Circle(x, y, 0.7, null, "#111111");
        const double letter = 2.9;
        bool left = p.Xmm < 1, right = p.Xmm > size.WidthMm - 1, top = p.Ymm < 1, bottom = p.Ymm > size.HeightMm - 1;
        bool beside = (left || right) && !top && !bottom;
        (double nx, double ny) = beside ? (left ? -1.0 : 1.0, 0.0) : (0.0, top ? -1.0 : 1.0);
        double width = Letters.Width(word, letter, bold: true), half = beside ? width / 2 : letter / 2;
        int lanes = _lanes.Where(l => l.Side == (beside ? (left ? 0 : 1) : top ? 2 : 3)).Select(l => l.Lane).DefaultIfEmpty(0).Max();
        double far = LaneMm * lanes + 2.2 + half + (second ? letter * 1.4 : 0);
        while (far < MarginMm + 4 && _badges.Any(b => Math.Abs(b.X - x - nx * far) < width / 2 + _badge + 0.6 && Math.Abs(b.Y - y - ny * far) < letter / 2 + _badge + 0.6)) far += 0.8;
        _canvas.Text(x + nx * far, y + ny * far + letter * 0.36, word, letter, "#111111", Anchor.Middle, bold: true);
    }

    private void Badge(double x, double y, int number, string color)
    {
        _badges.Add((x, y));
        string text = LengthText(number);
        double letter = _badge * (text.Length > 2 ? 0.88 : 1.15);
        _canvas.Circle(x, y, _badge, new Pen(color, 0.25), "#ffffff");
        _canvas.Text(x, y + letter * 0.36, text, letter, color, Anchor.Middle, bold: true);
    }

    private static string LengthText(int number) => number.ToString(System.Globalization.CultureInfo.InvariantCulture);

    private static double Distance(double x, double y) => Math.Sqrt(x * x + y * y);
}
