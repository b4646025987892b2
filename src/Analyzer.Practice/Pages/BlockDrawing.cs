using System.Text;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Practice.Comparing;

namespace Analyzer.Practice.Pages;

/// <summary>A block drawn from its report: intended lines thin, stitched lines with their deviation enlarged.</summary>
internal static class BlockDrawing
{
    private static readonly int[] Sizes = [1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20];

    /// <summary>One enlargement for all blocks of a page: the 95 % largest deviation becomes about a quarter of the spacing.</summary>
    public static int Exaggeration(params ComparedBlock[] blocks)
    {
        double[] all = [.. blocks.SelectMany(b => b.Lines).SelectMany(l => l.DeviationMm).Select(Math.Abs).Order()];
        double spacing = blocks.SelectMany(b => b.Families).Min(f => f.SpacingMm);
        double large = all.Length == 0 ? 1 : Math.Max(0.02, all[(int)(0.95 * (all.Length - 1))]);
        return Sizes.LastOrDefault(s => s * large <= spacing / 4, 1);
    }

    public static string Svg(ComparedBlock block, int exaggeration, string colour, string? dash, string description)
    {
        double w = block.Block.WidthMm, h = block.Block.HeightMm, pad = 0.04 * Math.Max(w, h), thin = Math.Max(w, h) / 700;
        var svg = new StringBuilder(Inv($"<svg xmlns='http://www.w3.org/2000/svg' viewBox='{-pad:0.##} {-pad:0.##} {w + 2 * pad:0.##} {h + 2 * pad:0.##}' width='620' role='img' aria-label='{Html.Escape(description)}'>"));
        svg.Append(Inv($"<rect x='0' y='0' width='{w:0.##}' height='{h:0.##}' fill='#fbfaf6' stroke='#6a6a70' stroke-width='{1.5 * thin:0.###}'/>"));
        foreach (LineReport line in block.Report.Lines)
            svg.Append(Inv($"<line x1='{line.FromMm[0]:0.##}' y1='{line.FromMm[1]:0.##}' x2='{line.ToMm[0]:0.##}' y2='{line.ToMm[1]:0.##}' stroke='#b4b4ba' stroke-width='{thin:0.###}'/>"));
        foreach (ComparedLine line in block.Lines)
        {
            LineFamily f = block.Families[line.Family];
            double[] from = block.Report.Lines[line.Number].FromMm;
            svg.Append("<polyline fill='none' points='");
            for (int i = 0; i < line.SampleCount; i++)
            {
                double s = line.AlongMm[i], d = exaggeration * line.DeviationMm[i];
                svg.Append(Inv($"{from[0] + f.AlongX * s + f.AcrossX * d:0.##},{from[1] + f.AlongY * s + f.AcrossY * d:0.##} "));
            }
            svg.Append(Inv($"' stroke='{colour}' stroke-width='{2.2 * thin:0.###}' stroke-linejoin='round'{(dash is null ? "" : $" stroke-dasharray='{dash}'")}/>"));
        }
        return svg.Append("</svg>").ToString();
    }

    /// <summary>The rectified photo in the same frame as the drawing, so that both can be swiped over each other.</summary>
    public static string Photo(ComparedBlock block, BlockPicture picture, string description)
    {
        double w = block.Block.WidthMm, h = block.Block.HeightMm, pad = 0.04 * Math.Max(w, h), m = picture.MarginMm;
        return Inv($"<svg xmlns='http://www.w3.org/2000/svg' viewBox='{-pad:0.##} {-pad:0.##} {w + 2 * pad:0.##} {h + 2 * pad:0.##}' width='620' role='img' aria-label='{Html.Escape(description)}'>")
            + Inv($"<image x='{-m:0.##}' y='{-m:0.##}' width='{w + 2 * m:0.##}' height='{h + 2 * m:0.##}' preserveAspectRatio='none' href='data:{Html.Escape(picture.MediaType)};base64,{Convert.ToBase64String(picture.Encoded)}'/></svg>");
    }

    private static string Inv(FormattableString text) => FormattableString.Invariant(text);
}
