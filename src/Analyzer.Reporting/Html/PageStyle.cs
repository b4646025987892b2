using Analyzer.Reporting.Pictures;

namespace Analyzer.Reporting.Html;

/// <summary>The page's one style sheet. No style attributes, no scripts: its hash is all the content policy has to allow.</summary>
internal static class PageStyle
{
    public static string Css { get; } = Main.ReplaceLineEndings("\n") + string.Concat(FamilyStyle.All.Select((s, i) => $".f{i}{{fill:none;stroke:{s.Colour};stroke-linejoin:round}}.t{i}{{fill:{s.Colour}}}\n"));

    /// <summary>For the content policy: sha256 of the style sheet, base64.</summary>
    public static string Hash { get; } = Convert.ToBase64String(System.Security.Cryptography.SHA256.HashData(System.Text.Encoding.UTF8.GetBytes(Css)));

    private const string Main = """

        *{box-sizing:border-box}
        html{-webkit-text-size-adjust:100%}
        body{margin:0;background:#f6f4ef;color:#1d2430;font:16px/1.55 system-ui,-apple-system,"Segoe UI","Helvetica Neue","DejaVu Sans",sans-serif}
        main,header,footer{max-width:1120px;margin:0 auto;padding:0 24px}
        header{padding-top:32px;padding-bottom:8px}
        header p{margin:0;color:#4c5563}
        h1{font-size:1.9rem;line-height:1.2;margin:.25rem 0 .5rem;letter-spacing:-.01em;text-wrap:balance}
        h2{font-size:1.25rem;margin:0 0 .35rem;line-height:1.3}
        h3{font-size:1rem;margin:1.3rem 0 .4rem}
        p{margin:.35rem 0 .7rem;max-width:72ch}
        section{background:#fff;border:1px solid #e1dccf;border-radius:10px;padding:22px 24px;margin:18px 0}
        .muted{color:#4c5563}
        .small{font-size:.875rem}
        .file{overflow-wrap:anywhere}
        .tiles{display:grid;grid-template-columns:repeat(auto-fit,minmax(150px,1fr));gap:12px;margin:16px 0 6px;padding:0;list-style:none}
        .tiles li{border-top:3px solid #1d2430;padding:8px 0 0}
        .tiles b{display:block;font-size:1.5rem;line-height:1.25;font-weight:650;font-variant-numeric:tabular-nums}
        .tiles span{color:#4c5563;font-size:.875rem}
        .next{border-left:4px solid #0b4f9e;background:#f1f5fa;padding:10px 14px;border-radius:0 6px 6px 0;margin:12px 0 0}
        .next p{margin:.15rem 0}
        .caution{border:1px solid #8a6100;border-left-width:6px;background:#fff8e6}
        .refused{border:1px solid #8a1538;border-left-width:6px}
        .caution ul,.refused ul{margin:.4rem 0 0;padding-left:1.2rem}
        .caution li,.refused li{margin:.35rem 0;max-width:78ch}
        .pair{display:grid;grid-template-columns:1fr 1fr;gap:24px;align-items:start}
        figure{margin:0}
        figcaption{color:#4c5563;font-size:.875rem;margin-top:6px;max-width:68ch}
        svg{display:block;width:100%;height:auto}
        svg text{font-family:system-ui,-apple-system,"Segoe UI","Helvetica Neue","DejaVu Sans",sans-serif}
        .legend{list-style:none;margin:12px 0 0;padding:0;display:flex;flex-wrap:wrap;gap:6px 26px;font-size:.875rem}
        .legend li{display:flex;align-items:center;gap:8px}
        svg.swatch{width:56px;flex:none;display:inline-block;vertical-align:middle}
        .cloth{fill:#faf8f3;stroke:#6b6558}
        .seam{fill:none;stroke:#fff;stroke-opacity:.7}
        .halo{fill:none;stroke:#fff;stroke-opacity:.8}
        .intended{fill:none;stroke:#1d2430}
        .extra{fill:none;stroke:#8a1538}
        .name{paint-order:stroke;stroke:#fff;stroke-linejoin:round;font-weight:600}
        .ink{fill:#1d2430}
        .bar,.arrow,.missing,.whisker{fill:none;stroke:#1d2430}
        .arrow{stroke:#0b4f9e}.head{fill:#0b4f9e}.dot{fill:#1d2430}
        .missing{stroke:#8a1538}
        .faint{fill:none;stroke:#b9b2a2}
        .triangle{fill:#0b4f9e;fill-opacity:.12;stroke:#0b4f9e;stroke-opacity:.7}
        .frame{fill:#faf8f3}
        .zero{fill:none;stroke:#1d2430}
        .reference{fill:none;stroke:#1d2430;stroke-opacity:.65}
        .tick{fill:none;stroke:#6b6558}
        .grid{fill:none;stroke:#ddd7c9}
        .band{fill:#66758a;fill-opacity:.5}
        .count{fill:#3d5a80}.track{fill:#ece8de}
        .axis{fill:#4c5563;font-size:11.5px;font-variant-numeric:tabular-nums}
        .strips{display:grid;grid-template-columns:repeat(auto-fill,minmax(min(100%,430px),1fr));gap:10px 28px}
        .strips h4{margin:0;font-size:.875rem;display:flex;justify-content:space-between;gap:10px}
        .strips h4 span{font-weight:400;color:#4c5563;font-variant-numeric:tabular-nums}
        .strip{break-inside:avoid}
        .strip .none{margin:4px 0 0;padding:14px 12px;background:#f3f1ec;border-radius:4px;font-size:.875rem}
        .scroll{overflow-x:auto;margin:8px 0 0}
        .scroll:focus-visible,summary:focus-visible{outline:3px solid #0b4f9e;outline-offset:2px}
        table{border-collapse:collapse;width:100%;font-size:.875rem;font-variant-numeric:tabular-nums}
        caption{text-align:left;color:#4c5563;padding:0 0 8px}
        th,td{text-align:left;padding:6px 12px 6px 0;border-bottom:1px solid #e6e1d6;vertical-align:top}
        thead th{border-bottom:2px solid #1d2430;vertical-align:bottom;line-height:1.3}
        tbody th{font-weight:600;white-space:nowrap}
        td.n,th.n{text-align:right;white-space:nowrap}
        thead th.n{white-space:normal}
        .causes{list-style:none;margin:10px 0 0;padding:0}
        .causes li{display:grid;grid-template-columns:minmax(170px,1.1fr) minmax(150px,1.4fr) minmax(190px,1fr);gap:2px 18px;align-items:center;padding:9px 0;border-bottom:1px solid #e6e1d6}
        .causes p{grid-column:1/-1;margin:0;color:#4c5563;font-size:.875rem;max-width:88ch}
        .causes b{font-weight:600}
        .causes .n{font-variant-numeric:tabular-nums;font-size:.9rem}
        dl{display:grid;grid-template-columns:minmax(150px,auto) 1fr;gap:6px 20px;margin:8px 0 0;font-size:.925rem}
        dt{font-weight:600}
        dd{margin:0;overflow-wrap:anywhere;max-width:78ch}
        pre{background:#f3f1ec;border-radius:6px;padding:10px 12px;white-space:pre-wrap;overflow-wrap:anywhere;font-size:.85rem}
        summary{cursor:pointer;font-weight:600;padding:4px 0}
        footer{padding-top:4px;padding-bottom:36px;color:#4c5563;font-size:.875rem}
        @media screen and (max-width:760px){
        main,header,footer{padding-left:14px;padding-right:14px}
        section{padding:16px 14px}
        h1{font-size:1.5rem}
        .pair{grid-template-columns:1fr}
        .causes li{grid-template-columns:1fr}
        dl{grid-template-columns:1fr;gap:0}
        dd{margin-bottom:8px}
        }
        @page{margin:14mm 13mm}
        @media print{
        body{background:#fff;font-size:9.5pt;line-height:1.4}
        main,header,footer{max-width:none;padding-left:0;padding-right:0}
        header{padding-top:0}
        section{border:0;border-top:1px solid #b9b2a2;border-radius:0;padding:10pt 0 4pt;margin:8pt 0 0}
        .caution,.refused{border:1px solid #8a6100;border-left-width:6px;padding:8pt 10pt}
        h1{font-size:18pt}h2{font-size:13pt;break-after:avoid}h3,h4,caption{break-after:avoid}
        .pair{gap:14pt;grid-template-columns:1fr 1fr}
        .strips{grid-template-columns:1fr 1fr;gap:6pt 14pt}
        figure,.causes li,.next,.tiles,tr,dt{break-inside:avoid}
        .scroll{overflow:visible}
        table{font-size:7.8pt}th,td{padding:2.5pt 6pt 2.5pt 0}
        thead{display:table-header-group;break-after:avoid}.keep{break-inside:avoid}
        .tiles{grid-template-columns:repeat(4,1fr)}.tiles b{font-size:15pt}
        svg,.next{print-color-adjust:exact;-webkit-print-color-adjust:exact}
        details::details-content{content-visibility:visible;display:block;height:auto;opacity:1}
        summary{list-style:none}
        }

        """;
}
