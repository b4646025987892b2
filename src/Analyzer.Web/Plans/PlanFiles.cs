using System.IO.Compression;
using System.Text;
using Analyzer.Planning;
using Analyzer.Planning.Drawing;
using Analyzer.Planning.Grids;
using Analyzer.Planning.Pages;
using Analyzer.Planning.Paper;

namespace Analyzer.Web.Plans;

/// <summary>The files of a plan as the command line writes them, made when asked for.</summary>
internal static class PlanFiles
{
    public const string All = "my-plan.zip";

    public static IReadOnlyList<(string Name, string Words)> Names { get; } =
    [
        ("template.pdf", "the marking template at true scale, to print at 100 %"),
        ("summary.html", "the plan on one printed page"),
        ("path.pdf", "the travel path with its steps in words"),
        ("path.html", "the path that draws itself, as a page to keep"),
        ("steps.txt", "the steps in words"),
        ("path.svg", "the travel path as a drawing"),
        ("template.svg", "the template as a drawing"),
        ("plan.json", "the plan for measuring and for the log"),
        (All, "all of these in one file"),
    ];

    public static byte[]? Make(string name, BlockPlan plan, PlanAsk ask)
    {
        PaperSize sheet = ask.Template.Paper.IsLandscape ? ask.Template.Paper with { WidthMm = ask.Template.Paper.HeightMm, HeightMm = ask.Template.Paper.WidthMm } : ask.Template.Paper;
        return name switch
        {
            "plan.json" => Text(PlanWriter.Write(plan)),
            "path.svg" => Text(PathSheet.Svg(plan, sheet)),
            "path.pdf" => PathSheet.Pdf(plan, sheet),
            "path.html" => Text(PathPage.Html(plan)),
            "steps.txt" => Text(string.Concat(plan.StepTexts.Select((text, i) => $"{i + 1}. {text}\n"))),
            "template.pdf" => TemplateSheet.Pdf(plan, ask.Template),
            "template.svg" => Text(TemplateSheet.Svg(plan, ask.Template)),
            "summary.html" => Text(SummaryPage.Html(plan, Notes(ask.Fit))),
            All => Zip(plan, ask),
            _ => null,
        };
    }

    private static IReadOnlyList<string> Notes(FitResult? fit) => fit switch
    {
        null => [],
        { WishCloses: true } => ["This grid closes: the lines meet on every side of the block."],
        _ => ["The lines of the wished spacing do not meet on every side of this block."],
    };

    private static byte[] Zip(BlockPlan plan, PlanAsk ask)
    {
        using var bytes = new MemoryStream();
        using (var zip = new ZipArchive(bytes, ZipArchiveMode.Create, leaveOpen: true))
            foreach ((string name, _) in Names.Where(n => n.Name != All))
            {
                using Stream entry = zip.CreateEntry(name).Open();
                entry.Write(Make(name, plan, ask));
            }
        return bytes.ToArray();
    }

    private static byte[] Text(string text) => new UTF8Encoding(false).GetBytes(text);
}
