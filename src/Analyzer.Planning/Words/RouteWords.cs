using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Planning.Route;

namespace Analyzer.Planning.Words;

/// <summary>A route as sentences, one for each step.</summary>
public sealed class RouteWords(IntendedGrid grid, LengthWords lengths)
{
    private const double SamePlaceMm = 0.6;

    public IReadOnlyList<string> Steps(StitchRoute route)
    {
        var texts = new List<string>();
        for (int i = 0; i < route.Steps.Count; i++)
        {
            string text = Say(route.Steps[i], i > 0 ? route.Steps[i - 1] : null);
            if (i == 0) text = $"Begin at the {Place(route.StartPoint)}. {text}";
            if (i == route.Steps.Count - 1) text += " This is the end: lock the thread.";
            texts.Add(text);
        }
        return texts;
    }

    /// <summary>"lower left corner", "left side, 3 in up", "top side, 4 in from the left".</summary>
    public string Place(BlockPoint p)
    {
        double w = grid.Size.WidthMm, h = grid.Size.HeightMm;
        bool left = p.Xmm < SamePlaceMm, right = p.Xmm > w - SamePlaceMm, top = p.Ymm < SamePlaceMm, bottom = p.Ymm > h - SamePlaceMm;
        if ((left || right) && (top || bottom)) return $"{(top ? "upper" : "lower")} {(left ? "left" : "right")} corner";
        if (left || right) return $"{(left ? "left" : "right")} side, {lengths.Say(h - p.Ymm)} up";
        return $"{(top ? "top" : "bottom")}, {lengths.Say(p.Xmm)} from the left";
    }

    public static string Corner(BlockCorner corner) => corner switch
    {
        BlockCorner.LowerLeft => "lower left",
        BlockCorner.UpperLeft => "upper left",
        BlockCorner.UpperRight => "upper right",
        _ => "lower right",
    };

    public static string Rule(RouteRule rule) => rule switch
    {
        RouteRule.BorderThenLastFamily => "border first, last family last",
        RouteRule.BorderFirst => "border first, lines in any order",
        RouteRule.AnyOrder => "border and lines in any order",
        RouteRule.NoSecondPass => "no ditch sewn twice",
        _ => "lines only, no ditch",
    };

    /// <summary>"horizontals", "uprights", "diagonals rising at 60°", "diagonals falling at 60°".</summary>
    public static string Family(LineFamily family)
    {
        double angle = family.AngleDeg;
        while (angle > 90) angle -= 180;
        while (angle <= -90) angle += 180;
        if (Math.Abs(angle) < 0.005) return "horizontals";
        if (Math.Abs(angle) > 89.995) return "uprights";
        return $"diagonals {(angle > 0 ? "rising" : "falling")} at {LengthWords.Number(Math.Abs(angle))}°";
    }

    private string Say(RouteStep step, RouteStep? before)
    {
        switch (step.Kind)
        {
            case StepKind.Cut:
                return $"Cut the thread. Begin again at the {Place(step.To)}.";
            case StepKind.Line:
                string turn = before?.Kind == StepKind.Line ? "Bounce onto" : "Sew";
                return $"{turn} line {step.LineId} {Direction(step.From, step.To)} to the {Place(step.To)}.";
            case StepKind.Ditch when step.Points.Count > 5 || (step.Points.Count == 5 && step.From.DistanceTo(step.To) < SamePlaceMm):
                return $"Sew once round the block in the ditch, {(IsClockwise(step) ? "clockwise" : "anticlockwise")}, back to the {Place(step.To)}.";
            case StepKind.Ditch:
                return $"Sew the ditch {Along(step)}, to {Stop(step.To)}.";
            default:
                return $"Travel over the stitched ditch, {Along(step)}, to {Stop(step.To)}.";
        }
    }

    /// <summary>Where a walk along one side ends: "11 in up", "4 in from the left", "the lower left corner".</summary>
    private string Stop(BlockPoint p)
    {
        string place = Place(p);
        int comma = place.IndexOf(", ", StringComparison.Ordinal);
        return comma < 0 ? "the " + place : place[(comma + 2)..];
    }

    private string Along(RouteStep step)
    {
        var parts = new List<string>();
        for (int i = 1; i < step.Points.Count; i++)
        {
            BlockPoint a = step.Points[i - 1], b = step.Points[i];
            bool upright = Math.Abs(a.Xmm - b.Xmm) < 1e-6;
            string side = upright ? (a.Xmm < grid.Size.WidthMm / 2 ? "left side" : "right side") : a.Ymm < grid.Size.HeightMm / 2 ? "top" : "bottom";
            string way = upright ? (b.Ymm < a.Ymm ? "up the" : "down the") : b.Xmm > a.Xmm ? "right along the" : "left along the";
            parts.Add($"{way} {side} for {lengths.Say(a.DistanceTo(b))}");
        }
        return string.Join(", round the corner, ", parts);
    }

    private static string Direction(BlockPoint a, BlockPoint b)
    {
        double dx = b.Xmm - a.Xmm, dy = b.Ymm - a.Ymm;
        string upDown = dy < 0 ? "up" : "down", side = dx > 0 ? "right" : "left";
        if (Math.Abs(dx) < 0.02 * Math.Abs(dy)) return $"straight {upDown}";
        if (Math.Abs(dy) < 0.02 * Math.Abs(dx)) return "across";
        return $"{upDown} and {side}";
    }

    private static bool IsClockwise(RouteStep step)
    {
        double area = 0;
        for (int i = 1; i < step.Points.Count; i++)
            area += step.Points[i - 1].Xmm * step.Points[i].Ymm - step.Points[i].Xmm * step.Points[i - 1].Ymm;
        return area > 0;
    }
}
