using System.Globalization;
using Analyzer.Core.Pattern;
using Analyzer.Planning;
using Analyzer.Planning.Grids;
using Analyzer.Planning.Pages;
using Analyzer.Planning.Route;
using Analyzer.Planning.Words;

namespace Analyzer.Cli.Commands;

/// <summary>What the plan command says in plain words.</summary>
internal static class PlanText
{
    public static IEnumerable<string> Overview(BlockPlan plan)
    {
        LengthWords lengths = plan.Lengths;
        StitchRoute route = plan.Route;
        yield return $"{plan.Title}: {SummaryPage.GridWords(plan)}";
        yield return $"Path: from the {new RouteWords(plan.Grid, lengths).Place(route.StartPoint)} to the {new RouteWords(plan.Grid, lengths).Place(route.EndPoint)}, {Count(route.Cuts, "thread cut")}, {Count(route.Pivots, "turn")}, {lengths.Say(route.DitchAgainMm)} of ditch sewn again, {lengths.SayLong(route.StitchedMm)} in all.";
        StitchRoute free = BlockPlan.Best(plan.Routes, RouteRule.AnyOrder);
        if (route.Rule is RouteRule.BorderThenLastFamily or RouteRule.BorderFirst && free.DitchAgainMm < route.DitchAgainMm - 1)
            yield return $"      In any order ({PlanWriter.Code(RouteRule.AnyOrder)}) it would be {lengths.Say(free.DitchAgainMm)} of ditch again, starting {RouteWords.Corner(free.Start)}.";
        yield return $"Thread: {SummaryPage.Band(plan.Thread.TopMm, plan.Thread, lengths)} on top and as much on the bobbin. Time: about {SummaryPage.Minutes(plan.Time.TotalMin)}, the needle running for {SummaryPage.Minutes(plan.Time.NeedleMin)}.";
        if (plan.Settings.Time.PaceBlocks > 0)
            yield return string.Create(CultureInfo.InvariantCulture, $"      The time is at your own pace, off {Count(plan.Settings.Time.PaceBlocks, "logged block")}: {plan.Time.Pace:0.00} times the plain estimate.");
    }

    /// <summary>How a named grid fits, in sentences.</summary>
    /// <param name="taken">Number of the offer that the plan takes, from 1; 0 when it takes the wished grid.</param>
    public static IEnumerable<string> FitNotes(FitResult fit, LengthWords lengths, int taken)
    {
        if (fit.WishCloses)
        {
            yield return "This grid closes: the lines meet on every side of the block.";
            yield break;
        }
        string offers = string.Join("; ", fit.Offers.Take(Math.Max(3, taken)).Select((o, i) => $"({i + 1}) {Offer(fit, o, lengths)}"));
        string angle = LengthWords.Number(fit.WishedAngleDeg);
        string why = fit.AngleCloses
            ? $"At {lengths.Say(fit.WishedSpacingMm)} the lines do not meet on every side of this block."
            : $"An angle of {angle}° cannot close on both sides of this block.";
        if (fit.Offers.Count == 0) yield return why + " No spacing near it does.";
        else if (taken > 0) yield return $"{why} Nearest that close: {offers}. This plan takes number {taken}.";
        else if (fit.Offers.Count == 1) yield return $"{why} Nearest that closes: {offers}. Add --fit to take it.";
        else yield return $"{why} Nearest that close: {offers}. Add --fit to take the first, --fit-number 2 for the second.";
    }

    private static string Offer(FitResult fit, FittedGrid offer, LengthWords lengths)
    {
        string count = $"{offer.Columns} across, {offer.Rows} up";
        return fit.AngleCloses ? $"{lengths.Say(offer.SpacingMm)} apart, {count}" : $"{offer.AngleDeg.ToString("0.0#", CultureInfo.InvariantCulture)}°, {lengths.Say(offer.SpacingMm)} apart, {count}";
    }

    /// <summary>The families as --lines options that any command takes.</summary>
    public static string LinesOptions(IEnumerable<LineFamily> families) => string.Join(' ', families.Select(f => string.Create(
        CultureInfo.InvariantCulture, $"--lines \"{f.AngleDeg:0.####}deg {f.SpacingMm:0.####}mm {f.Through.Xmm:0.####}mm,{f.Through.Ymm:0.####}mm\"")));

    private static string Count(int count, string noun) => count == 1 ? $"1 {noun}" : $"{count} {noun}s";
}
