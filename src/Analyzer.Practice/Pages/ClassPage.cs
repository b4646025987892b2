using System.Text;
using Analyzer.Core.Units;
using Analyzer.Practice.Classroom;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Practice.Simulation;

namespace Analyzer.Practice.Pages;

/// <summary>The teacher's page and the sheet for each person. Names appear as given; nobody is ranked.</summary>
public static class ClassPage
{
    public static string Render(ClassSummary c, Func<ClassPerson, string> sheetFile) => Html.Page("The class", Body(c, sheetFile));

    /// <summary>The page's content alone, for showing inside another page.</summary>
    public static string Body(ClassSummary c, Func<ClassPerson, string> sheetFile)
    {
        var page = new StringBuilder("<h1>The class</h1>");
        int bad = c.People.Count - c.Measured;
        page.Append($"<p class=\"lead\">{c.Measured} of {c.People.Count} people have a measured block.{(bad > 0 ? " The others' photos need to be taken again; the reason stands with the name." : "")}</p>");
        page.Append(Html.InventedMark(c.People.Any(p => p.Latest?.Report.Settings.ContainsKey("invented") == true)));
        page.Append("<h2>In common</h2>");
        page.Append(c.Common.Count == 0 ? "<p>No finding is shared by two people or more.</p>" : "<ul>" + string.Concat(c.Common.Select(x => $"<li><strong>{Html.Escape(c.CommonSentence(x))}</strong></li>")) + "</ul>");
        page.Append("<h2>Everyone</h2><p class=\"small\">In the order of names; this is no ranking.</p><div class=\"scroll\"><table class=\"rows\"><thead><tr><th>Name</th><th class=\"n\">Ruler placement</th><th class=\"n\">Wobble r.m.s.</th><th class=\"n\">Crossing error</th><th>Practise next</th><th>Since last time</th></tr></thead><tbody>");
        foreach (ClassPerson p in c.People)
        {
            string name = $"<a href=\"{Html.Escape(sheetFile(p))}\">{Html.Escape(p.Name)}</a>";
            string problem = p.Problems.Count == 0 ? "" : $"<p class=\"small\">Not measured: {Html.Escape(string.Join(" ", p.Problems))}</p>";
            page.Append($"<tr><td>{name}</td>{Cell(p, Measure.Offset, true)}{Cell(p, Measure.Wobble, true)}{Cell(p, Measure.Crossing, true)}<td class=\"full-row\" data-label=\"Practise next\">{Next(p)}{problem}</td><td class=\"full-row\" data-label=\"Since last time\">{Html.Escape(p.SinceLast is { } change ? ComparePage.Headline(change) : p.Latest is null ? "–" : "first block")}</td></tr>");
        }
        page.Append("</tbody></table></div>");
        page.Append($"<p class=\"small\">± is two standard uncertainties. {Html.Escape(FindingList.Safety)}</p>");
        return page.ToString();
    }

    /// <summary>One printable page for one person.</summary>
    public static string Sheet(ClassPerson p) => Html.Page(p.Name, SheetBody(p));

    /// <summary>The sheet's content alone, for showing inside another page.</summary>
    public static string SheetBody(ClassPerson p)
    {
        var page = new StringBuilder($"<h1>{Html.Escape(p.Name)}</h1>");
        page.Append(Html.InventedMark(p.Latest?.Report.Settings.ContainsKey("invented") == true || p.Latest?.Block.Notes.Contains(InventedBlock.Remark) == true));
        if (p.Latest is null || p.Numbers is null)
            return page.Append("<p class=\"lead\">No block could be measured yet.</p>").Append(Html.List(p.Problems)).ToString();
        int size = BlockDrawing.Exaggeration(p.Latest);
        page.Append("<div class=\"pair\"><figure>").Append(BlockDrawing.Svg(p.Latest, size, Html.BeforeColour, null, "The block with its deviations enlarged"))
            .Append($"<figcaption>Your block; deviations drawn {size} times as large.</figcaption></figure><div><h3>Your numbers</h3><table><tbody>");
        foreach (Measure m in Measure.All)
            if (p.Numbers.Of(m).Value is not null) page.Append($"<tr><td>{Html.Escape(m.Name)}</td>{Cell(p, m, false)}</tr>");
        page.Append("</tbody></table>");
        if (p.SinceLast is not null) page.Append($"<h3>Since last time</h3><p>{Html.Escape(ComparePage.Headline(p.SinceLast))}</p>");
        page.Append("</div></div><h2>What to practise next</h2>").Append(ComparePage.FindingCards(p.Next!, p.Inches)).Append(Html.List(p.Problems));
        page.Append("<p class=\"small\">± is two standard uncertainties: lines differ among themselves, and a photo has its limits.</p>");
        return page.ToString();
    }

    private static string Cell(ClassPerson p, Measure m, bool labelled)
    {
        string cell = labelled ? $"<td class=\"n\" data-label=\"{Html.Escape(m.Name)}\">" : "<td class=\"n\">";
        return p.Numbers?.Of(m) is { Value: { } value } v ? $"{cell}{m.Text(value, true, inches: p.Inches)}{(v.U is { } u ? $"{(labelled ? "<br>" : " ")}<span class=\"small\">± {m.Unsure(u, inches: p.Inches)}</span>" : "")}</td>" : cell + "–</td>";
    }

    private static string Next(ClassPerson p) => p.Next switch
    {
        null => "",
        { Findings.Count: 0 } => "Nothing stands out.",
        _ => "<ol class=\"tight\">" + string.Concat(p.Next.Findings.Select(f => $"<li>{Html.Escape(LengthSentence.In(f.Sentence, p.Inches))}</li>")) + "</ol>",
    };
}
