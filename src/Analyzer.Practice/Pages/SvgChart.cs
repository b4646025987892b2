using System.Globalization;
using System.Text;

namespace Analyzer.Practice.Pages;

/// <summary>A small line chart as SVG text: axes with round ticks, lines, points with bars, labels.</summary>
internal sealed class SvgChart
{
    private const double Left = 68, Right = 16, Top = 14, Bottom = 46;

    private readonly StringBuilder _body = new();
    private readonly double _width, _height, _x0, _x1, _y0, _y1;
    private readonly bool _logX;

    public SvgChart(double width, double height, (double Low, double High) x, (double Low, double High) y, bool logX = false)
    {
        (_width, _height, _logX) = (width, height, logX);
        (_x0, _x1) = x.High > x.Low ? x : (x.Low - 1, x.High + 1);
        (_y0, _y1) = y.High > y.Low ? y : (y.Low - 1, y.High + 1);
    }

    public double X(double value)
    {
        double share = _logX ? Math.Log(value / _x0) / Math.Log(_x1 / _x0) : (value - _x0) / (_x1 - _x0);
        return Left + share * (_width - Left - Right);
    }

    public double Y(double value) => _height - Bottom - (value - _y0) / (_y1 - _y0) * (_height - Top - Bottom);

    public void XAxis(string title, IEnumerable<(double Value, string Text)> ticks)
    {
        foreach ((double value, string text) in ticks)
        {
            _body.Append(Inv($"<line x1='{X(value):0.#}' y1='{Top}' x2='{X(value):0.#}' y2='{_height - Bottom}' stroke='#ececf0'/>"));
            Text(X(value), _height - Bottom + 16, text, "middle", 12, "#44444a");
        }
        Text((Left + _width - Right) / 2, _height - 8, title, "middle", 13, "#1d1d1f");
    }

    public void YAxis(string title)
    {
        foreach (double value in Ticks(_y0, _y1, 5))
        {
            _body.Append(Inv($"<line x1='{Left}' y1='{Y(value):0.#}' x2='{_width - Right}' y2='{Y(value):0.#}' stroke='#ececf0'/>"));
            Text(Left - 7, Y(value) + 4, value.ToString("0.###", CultureInfo.InvariantCulture), "end", 12, "#44444a");
        }
        double middle = (Top + _height - Bottom) / 2;
        _body.Append(Inv($"<text x='14' y='{middle:0.#}' font-size='13' fill='#1d1d1f' text-anchor='middle' transform='rotate(-90 14 {middle:0.#})'>{Html.Escape(title)}</text>"));
    }

    public void Line(IEnumerable<(double X, double Y)> points, string colour, double width = 2, string? dash = null, double opacity = 1)
    {
        string path = string.Join(' ', points.Where(p => double.IsFinite(p.Y)).Select(p => Inv($"{X(p.X):0.##},{Y(p.Y):0.##}")));
        if (path.Length == 0) return;
        _body.Append(Inv($"<polyline points='{path}' fill='none' stroke='{colour}' stroke-width='{width}' stroke-linejoin='round' opacity='{opacity}'{(dash is null ? "" : $" stroke-dasharray='{dash}'")}/>"));
    }

    public void Point(double x, double y, string colour, bool square = false, double u = 0)
    {
        if (u > 0)
            _body.Append(Inv($"<line x1='{X(x):0.##}' y1='{Y(Math.Max(_y0, y - u)):0.##}' x2='{X(x):0.##}' y2='{Y(Math.Min(_y1, y + u)):0.##}' stroke='{colour}' stroke-width='1.4'/>"));
        _body.Append(square
            ? Inv($"<rect x='{X(x) - 4:0.##}' y='{Y(y) - 4:0.##}' width='8' height='8' fill='{colour}'/>")
            : Inv($"<circle cx='{X(x):0.##}' cy='{Y(y):0.##}' r='4.3' fill='{colour}'/>"));
    }

    public void Band(double y0, double y1, string colour) =>
        _body.Append(Inv($"<rect x='{Left}' y='{Y(Math.Min(_y1, y1)):0.##}' width='{_width - Left - Right}' height='{Math.Max(0, Y(Math.Max(_y0, y0)) - Y(Math.Min(_y1, y1))):0.##}' fill='{colour}'/>"));

    public void VerticalBand(double x0, double x1, string colour, string label)
    {
        double a = X(Math.Max(_x0, x0)), b = X(Math.Min(_x1, x1));
        if (b - a < 2) return;
        _body.Append(Inv($"<rect x='{a:0.##}' y='{Top}' width='{b - a:0.##}' height='{_height - Top - Bottom}' fill='{colour}'/>"));
        Text((a + b) / 2, Top + 15, label, "middle", 12, "#44444a");
    }

    public void Label(double x, double y, string text, string anchor = "start", string colour = "#1d1d1f") => Text(X(x), Y(y), text, anchor, 12, colour);

    public string Render(string description) => Inv(
        $"<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 {_width} {_height}' width='{_width}' role='img' aria-label='{Html.Escape(description)}' font-family='system-ui,Segoe UI,Roboto,Helvetica,Arial,sans-serif'>")
        + _body + Inv($"<polyline points='{Left},{Top} {Left},{_height - Bottom} {_width - Right},{_height - Bottom}' fill='none' stroke='#8a8a90'/></svg>");

    /// <summary>Round values from low to high, about as many as asked.</summary>
    public static IEnumerable<double> Ticks(double low, double high, int about)
    {
        double raw = (high - low) / about, power = Math.Pow(10, Math.Floor(Math.Log10(raw))), share = raw / power;
        double step = power * (share < 1.5 ? 1 : share < 3.5 ? 2 : share < 7.5 ? 5 : 10);
        for (double v = Math.Ceiling(low / step - 1e-9) * step; v <= high + 1e-9 * step; v += step) yield return Math.Abs(v) < step / 1000 ? 0 : v;
    }

    private void Text(double x, double y, string text, string anchor, double size, string colour) =>
        _body.Append(Inv($"<text x='{x:0.#}' y='{y:0.#}' font-size='{size}' fill='{colour}' text-anchor='{anchor}'>{Html.Escape(text)}</text>"));

    private static string Inv(FormattableString text) => FormattableString.Invariant(text);
}
