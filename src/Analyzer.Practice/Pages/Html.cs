using System.Globalization;
using System.Net;

namespace Analyzer.Practice.Pages;

/// <summary>A self-contained page: no network, one style, printable.</summary>
internal static class Html
{
    public const string BeforeColour = "#1f5fa8", AfterColour = "#b4470e";

    private const string Style = """
        :root{color-scheme:light}
        body{font:16px/1.5 system-ui,"Segoe UI",Roboto,Helvetica,Arial,sans-serif;color:#1d1d1f;background:#fff;max-width:1040px;margin:0 auto;padding:24px 20px 60px}
        h1{font-size:1.7rem;line-height:1.25;margin:0 0 .3rem}h2{font-size:1.2rem;margin:2.2rem 0 .5rem;border-bottom:1px solid #d5d5da;padding-bottom:.25rem}h3{font-size:1rem;margin:1.2rem 0 .3rem}
        p{margin:.45rem 0}.lead{font-size:1.15rem}.small{font-size:.87rem;color:#55555b}.invented{border:2px dashed #8a6d00;background:#fff8dc;padding:.5rem .8rem;border-radius:6px;margin:.8rem 0}
        table{border-collapse:collapse;width:100%;font-size:.93rem}th,td{text-align:left;padding:.35rem .55rem;border-bottom:1px solid #e3e3e8;vertical-align:top}th{font-weight:600;background:#f5f5f8}td.n,th.n{text-align:right;font-variant-numeric:tabular-nums}td.n{white-space:nowrap}
        tr.part td:first-child{padding-left:1.6rem}tr.part{color:#44444a}
        .scroll{overflow-x:auto}.verdict{white-space:nowrap;font-weight:600}.card{border:1px solid #d5d5da;border-radius:8px;padding:.7rem 1rem;margin:.7rem 0;break-inside:avoid}
        .pair{display:grid;grid-template-columns:1fr 1fr;gap:18px}.pair figure,.one figure{margin:0}figure{break-inside:avoid}figcaption{font-size:.87rem;color:#55555b;margin-top:.3rem}svg{max-width:100%;height:auto;display:block}
        .swipe{position:relative;max-width:640px;margin:0 auto}.swipe>div.top{position:absolute;inset:0;background:#fff;clip-path:inset(0 0 0 var(--cut,50%))}.swipe .bar{position:absolute;top:0;bottom:0;left:var(--cut,50%);width:0;border-left:3px solid #1d1d1f}
        .swipe-control{max-width:640px;margin:.4rem auto 0;display:flex;gap:.8rem;align-items:center}.swipe-control input{flex:1;min-height:32px}.middle{text-align:center}.tight{margin:0;padding-left:1.2rem}
        .rows td:first-child{min-width:6.5rem}.rows td.full-row{min-width:10rem}.keep{break-inside:avoid}.rows tr.head td{border-bottom:0;padding-bottom:0}.rows tr.head+tr td{padding-top:.1rem}
        @media screen and (max-width:640px){.pair{grid-template-columns:1fr}.rows thead{display:none}.rows tr{display:grid;grid-template-columns:1fr 1fr;border-bottom:1px solid #e3e3e8}.rows td,.rows td.n{border:0;text-align:left;white-space:normal}.rows td:first-child,.rows td.full-row{grid-column:1/-1}.rows tr.part td:first-child{padding-left:.55rem}.rows tr.head{border:0}.rows td[data-label]::before{content:attr(data-label);display:block;font-size:.8rem;color:#55555b}}
        @page{margin:14mm}
        @media print{body{max-width:none;padding:0;font-size:9.5pt;line-height:1.35}p{margin:.2rem 0}ol,ul{margin:.2rem 0}.noprint{display:none}h1{font-size:1.5rem}h2{margin-top:.8rem}h3{margin-top:.5rem}h2,h3{break-after:avoid}tr{break-inside:avoid}tr.head{break-after:avoid}th,td{padding:.14rem .45rem}.scroll{overflow:visible}.card{padding:.3rem .8rem;margin:.4rem 0}}
        """;

    public static string Escape(string? text) => WebUtility.HtmlEncode(text ?? "");

    public static string Page(string title, string body) => $"""
        <!doctype html>
        <html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">
        <meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:">
        <title>{Escape(title)}</title><style>{Style}</style></head>
        <body>
        {body}
        </body></html>

        """;

    public static string Number(double value) => value.ToString("0.##", CultureInfo.InvariantCulture);

    public static string List(IEnumerable<string> items)
    {
        string[] all = [.. items];
        return all.Length == 0 ? "" : "<ul>" + string.Concat(all.Select(i => $"<li>{Escape(i)}</li>")) + "</ul>";
    }

    public static string InventedMark(bool invented) => invented
        ? "<p class=\"invented\"><strong>Invented data.</strong> These blocks were made by a program to show the page; nobody sewed them.</p>" : "";
}
