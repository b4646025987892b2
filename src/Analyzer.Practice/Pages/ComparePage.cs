using System.Text;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Practice.Simulation;

namespace Analyzer.Practice.Pages;

/// <summary>The page of a comparison: verdicts first, then pictures, then how it was done.</summary>
public static class ComparePage
{
    public static string Render(Comparison c, FindingList next) => Html.Page("Before and after", Body(c, next) + Script);

    /// <summary>The page's content alone, without head and script, for showing inside another page.</summary>
    public static string Body(Comparison c, FindingList next)
    {
        int size = BlockDrawing.Exaggeration(c.Before, c.After);
        var page = new StringBuilder();
        page.Append("<h1>Before and after</h1>").Append($"<p class=\"lead\">{Html.Escape(Headline(c))}</p>");
        page.Append(Html.InventedMark(IsInvented(c.Before) || IsInvented(c.After)));
        page.Append($"<p class=\"small\">Before: {Html.Escape(c.Before.Name)} ({c.Before.Lines.Count} lines). After: {Html.Escape(c.After.Name)} ({c.After.Lines.Count} lines).</p>");
        page.Append(Html.List(c.Notes.Select(n => LengthSentence.In(n, c.Inches))));
        page.Append("<h2>What changed</h2>").Append(Table(c));
        page.Append(Pictures(c, size));
        page.Append("<h2>Line by line</h2><div class=\"pair\">").Append(PairedPlot.Render(c, Measure.Offset)).Append(PairedPlot.Render(c, Measure.Wobble)).Append("</div>");
        page.Append("<h2>What kind of wobble</h2>").Append(SpectrumPlot(c));
        page.Append("<h2>What to practise next</h2>").Append(FindingCards(next, c.Inches));
        page.Append("<h2>How this was worked out</h2><p class=\"small\">").Append(Html.Escape(Comparison.Method))
            .Append(Html.Escape($" \"Would have shown\" is the change that would have been called whatever the other rows do. Tolerance for stitched length: {LengthSentence.In(FormattableString.Invariant($"{c.ToleranceMm:0.0##} mm"), c.Inches)} on either side.")).Append("</p>");
        return page.ToString();
    }

    /// <summary>One sentence for the whole pair.</summary>
    public static string Headline(Comparison c)
    {
        string[] better = [.. c.Overall.Where(r => r.Verdict == Verdict.Better).Select(r => r.Measure.Name.ToLowerInvariant())];
        string[] worse = [.. c.Overall.Where(r => r.Verdict == Verdict.Worse).Select(r => r.Measure.Name.ToLowerInvariant())];
        int family = c.Rows.Count(r => r.Family is not null && r.Verdict is Verdict.Better or Verdict.Worse);
        if (better.Length + worse.Length == 0)
            return family == 0 ? "This pair shows no difference: what changed may be chance from line to line, or what the photos got wrong."
                : "Over the whole block this pair shows no difference; in single directions of lines it does (see the table).";
        var parts = new List<string>();
        if (better.Length > 0) parts.Add("Better: " + string.Join(", ", better));
        if (worse.Length > 0) parts.Add("Worse: " + string.Join(", ", worse));
        return string.Join(". ", parts) + ". For the rest this pair shows no difference.";
    }

    internal static string FindingCards(FindingList next, bool inches = false)
    {
        if (next.Findings.Count == 0) return $"<p>{Html.Escape(FindingList.NothingStandsOut)}</p>";
        var cards = new StringBuilder();
        foreach (Finding f in next.Findings)
        {
            string share = f.SharePercent is { } s ? $"{Math.Min(100, s):0} % of the squared error; " : "";
            cards.Append($"<div class=\"card\"><p><strong>{Html.Escape(LengthSentence.In(f.Sentence, inches))}</strong></p><p>{Html.Escape(LengthSentence.In(f.Drill, inches))}</p><p class=\"small\">{Html.Escape(share)}{Html.Escape(Chance(f.AdjustedP))}.</p></div>");
        }
        return cards.Append($"<p class=\"small\">{Html.Escape(FindingList.Safety)}</p>").ToString();
    }

    private static string Chance(double p) => p < 0.001 ? "chance alone would show this in fewer than 1 of 1000 blocks" : FormattableString.Invariant($"chance alone would show this in {Math.Max(1, 1000 * p):0} of 1000 blocks");

    private static string Table(Comparison c)
    {
        var table = new StringBuilder("<div class=\"scroll\"><table class=\"rows\"><thead><tr><th>Measure</th><th class=\"n\">Before</th><th class=\"n\">After</th><th class=\"n\">Change (95 %)</th><th class=\"n\">Would have shown</th><th>Verdict</th></tr></thead><tbody>");
        foreach (ComparisonRow row in c.Rows)
        {
            Measure m = row.Measure;
            if (row.Family is null) table.Append($"<tr class=\"head\"><td colspan=\"6\"><strong>{Html.Escape(m.Name)}</strong> <span class=\"small\">{Html.Escape(m.Explanation)}</span></td></tr>");
            string name = row.Family is null ? $"<strong>{Html.Escape(row.FamilyName)}</strong>" : Html.Escape(row.FamilyName);
            string interval = double.IsNaN(row.Low) ? "" : $"<br><span class=\"small\">{m.Text(row.Low, sign: true, inches: c.Inches)} to {m.Text(row.High, sign: true, inches: c.Inches)}</span>";
            table.Append($"<tr{(row.Family is null ? "" : " class=\"part\"")}><td>{name}</td><td class=\"n\" data-label=\"Before\">{m.Text(row.Before, true, inches: c.Inches)}</td><td class=\"n\" data-label=\"After\">{m.Text(row.After, true, inches: c.Inches)}</td>")
                .Append($"<td class=\"n\" data-label=\"Change (95 %)\">{m.Text(row.Difference, true, true, c.Inches)}{interval}</td><td class=\"n\" data-label=\"Would have shown\">{m.Text(row.DetectableChange, true, inches: c.Inches)}</td><td class=\"full-row\">{VerdictCell(row)}</td></tr>");
        }
        return table.Append("</tbody></table></div>").ToString();
    }

    private static string VerdictCell(ComparisonRow row) => row.Verdict switch
    {
        Verdict.Better => "<span class=\"verdict\">✔ better</span>",
        Verdict.Worse => "<span class=\"verdict\">✘ worse</span>",
        Verdict.CannotTell => $"<span class=\"verdict\">? cannot tell</span><br><span class=\"small\">{(double.IsNaN(row.DetectableChange) ? "too few lines" : "the photos could explain it")}</span>",
        _ => $"<span>– no difference that this pair can show</span>{(row.PhotoU > row.LinesU ? "<br><span class=\"small\">mostly limited by the photos</span>" : "")}",
    };

    private static string Pictures(Comparison c, int size)
    {
        string before = BlockDrawing.Svg(c.Before, size, Html.BeforeColour, null, "The block before, deviations enlarged");
        string after = BlockDrawing.Svg(c.After, size, Html.AfterColour, null, "The block after, deviations enlarged");
        // The photos themselves where both are at hand and show the same size of block; otherwise the drawings.
        bool photos = c.PictureBefore is not null && c.PictureAfter is not null
            && Math.Abs(c.Before.Block.WidthMm * c.After.Block.HeightMm - c.After.Block.WidthMm * c.Before.Block.HeightMm) < 0.01 * c.Before.Block.WidthMm * c.After.Block.HeightMm;
        string left = photos ? BlockDrawing.Photo(c.Before, c.PictureBefore!, "Photo of the block before, straightened") : before;
        string right = photos ? BlockDrawing.Photo(c.After, c.PictureAfter!, "Photo of the block after, straightened") : after;
        string caption = size == 1 ? "deviations at true size" : $"deviations drawn {size} times as large";
        return $"""
            <h2>Both blocks, {caption}</h2>
            <div class="pair"><figure>{before}<figcaption>Before</figcaption></figure><figure>{after}<figcaption>After</figcaption></figure></div>
            <div class="noprint"><h3>Swipe between them</h3>{(photos ? "<p class=\"small\">The photos, straightened to the block's own square.</p>" : "")}
            <div class="swipe" id="swipe"><div>{left}</div><div class="top">{right}</div><div class="bar"></div></div>
            <div class="swipe-control"><span>before</span><input id="cut" type="range" min="0" max="100" value="50" aria-label="Left of this place: before; right of it: after"><span>after</span></div>
            <p class="small middle">Left of the bar: before. Right of it: after.</p></div>
            """;
    }

    private const string Script = "<script>(function(){var r=document.getElementById('cut'),s=document.getElementById('swipe');if(r&&s)r.addEventListener('input',function(){s.style.setProperty('--cut',r.value+'%')})})()</script>";

    private static string SpectrumPlot(Comparison c)
    {
        double longest = c.Before.Lines.Concat(c.After.Lines).Max(l => l.LengthMm);
        double[] waves = WobbleSpectrum.Wavelengths(longest);
        WobbleSpectrum before = WobbleSpectrum.Of(c.Before, waves), after = WobbleSpectrum.Of(c.After, waves);
        int told = Enumerable.Range(0, waves.Length).Count(i => double.IsFinite(before.AmplitudeMm[i]) || double.IsFinite(after.AmplitudeMm[i]));
        waves = waves[..Math.Max(2, told)];
        double k = c.Inches ? 1 / Length.MillimetresPerInch : 1;
        string unit = c.Inches ? "in" : "mm";
        double top = k * before.AmplitudeMm.Concat(after.AmplitudeMm).Where(double.IsFinite).DefaultIfEmpty(1).Max() * 1.15;
        var chart = new SvgChart(960, 340, (k * waves[0], k * waves[^1]), (0, top), logX: true);
        chart.VerticalBand(k * waves[0], k * 8, "#f6f6f9", "stitch jitter");
        chart.VerticalBand(k * 8, k * 20, "#ffffff", "mid: corrections");
        chart.VerticalBand(k * 20, k * waves[^1], "#f6f6f9", "slow steering waves");
        double[] marks = c.Inches ? [0.2, 0.3, 0.5, 0.8, 1, 1.5, 2, 3, 4, 6, 8] : [5, 8, 10, 15, 20, 30, 40, 60, 100, 200];
        chart.XAxis($"length of the wave, {unit}", marks.Where(v => v >= k * waves[0] && v <= k * waves[^1]).Select(v => (v, Html.Number(v))));
        chart.YAxis($"height of the wave, {unit}");
        chart.Line(waves.Zip(before.AmplitudeMm, (w, a) => (k * w, k * a)), Html.BeforeColour, 2.4, "7 5");
        chart.Line(waves.Zip(after.AmplitudeMm, (w, a) => (k * w, k * a)), Html.AfterColour, 2.4);
        return $"<figure>{chart.Render("Height of the wobble by wavelength, before and after")}<figcaption>Dashed blue: before. Solid orange: after. Waves shorter than two stitches are not steering and are left out; waves longer than half of most lines cannot be told.</figcaption></figure>";
    }

    private static bool IsInvented(ComparedBlock block) => block.Report.Settings.ContainsKey("invented") || block.Block.Notes.Contains(InventedBlock.Remark);
}
