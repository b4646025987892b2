using System.Text;
using Analyzer.Cli.Shell;
using Analyzer.Core.Pattern;
using Analyzer.Planning;
using Analyzer.Planning.Drawing;
using Analyzer.Planning.Pages;
using Analyzer.Planning.Paper;

namespace Analyzer.Cli.Commands;

/// <summary>Plans a block before a stitch is sewn: grid, travel path, marking template, thread and time.</summary>
internal sealed class PlanCommand : ICommand
{
    public string Name => "plan";

    public string Summary => "Plans a block: grid that fits, travel path, true-scale marking template, thread and time.";

    public string Help => $"""
        plan --size SIZE --grid NAME:SPACE --out FOLDER
        Plans a block before you sew it and writes the plan, drawings and a printable template into FOLDER.

        The grid
        {GridOptions.Help.TrimEnd()}
          --fit              take the nearest spacing whose lines meet on every side
          --fit-number N     take the N-th of the offered spacings
          --middle-lines     from diamonds to triangles: a line across the middle of every diamond
          --upright-middle-lines   the same, up and down
          --no-middle-lines  from triangles back to the coarser diamonds

        The travel path
          --order ORDER      last-family-last (border, diagonals, then horizontals; the default),
                             border-first, any-order (least travel), no-second-pass (cuts the thread
                             rather than sew the ditch twice), lines-only (no ditch)
          --start CORNER     best (the default), lower-left, upper-left, upper-right or lower-right

        The template
          --paper a4|letter  paper size (a4); --landscape turns it
          --line-weight W    width of the printed lines (0.35mm)
          --corner-marks     print a square reference mark outside each corner; plan.json says where they stand
          --bar-measures L   tells the print scale from the 100 mm bar you measured, such as 97.3mm
          --inch-bar-measures L    the same from the 4 in bar

        Thread and time
          --stitch-length L or --stitches-per-inch N   (11 per inch)
          --thickness L      thickness of the sandwich in the stitch (1.5mm)
          --rate N           stitches a minute (400)
          --pace P           your own time divided by the planned time of an earlier block (1)
          --pace-of NAME     the pace of NAME off the practice log (--log FILE for another log file):
                             the stitching minutes of all logged blocks over those planned for them

        Which grid suits me?
          --report FILE      report.json of your last measured block; or --wobble L with --crossing-error L
          --distance L       from how far the block is looked at (60cm)
          --spacings LIST    spacings to compare, such as "3/4in,1in,1 1/4in"

          --units in|mm      units of the texts (those of --size)
          --out FOLDER       writes plan.json, path.svg, path.pdf, path.html, steps.txt, template.pdf, template.svg, summary.html

        Examples
          plan --size 12in --grid triangle:1in --out my-plan
          plan --size 12in --grid diamond:1in --fit --paper letter --out my-plan
          plan --bar-measures 97.3mm
          plan --size 12in --grid triangle:1in --wobble 0.3mm --crossing-error 0.6mm
        """;

    public int Run(IReadOnlyList<string> words, Terminal terminal, CancellationToken cancel)
    {
        Arguments a = Arguments.Parse(words, PlanOptions.WithValue, PlanOptions.Flags);
        if (a.Plain.Count > 0)
            throw new UserErrorException($"\"{a.Plain[0]}\" belongs to no option; --help shows how to write the command.");
        bool scale = TellPrintScale(a, terminal);
        bool hasGrid = a.Value("--size") is not null || a.Value("--grid") is not null || a.Values("--lines").Count > 0 || a.Value("--plan") is not null;
        if (scale && !hasGrid) return ExitCodes.Done;
        bool inches = PlanOptions.Inches(a);
        (IntendedGrid grid, string name, List<string> notes) = PlanOptions.Grid(a, inches);
        PlanSettings settings = PlanOptions.Settings(a, name, inches);
        TemplateSettings template = PlanOptions.Template(a);
        string? advice = PlanAdvice.IsAsked(a) ? PlanAdvice.Text(a, grid, inches) : null;
        string? folder = a.Value("--out");
        if (folder is null && advice is null)
            throw new UserErrorException("--out is missing: give the folder for the plan, such as --out my-plan.");
        BlockPlan plan = BlockPlan.Make(grid, settings);
        cancel.ThrowIfCancellationRequested();
        foreach (string line in PlanText.Overview(plan)) terminal.Out.WriteLine(line);
        foreach (string note in notes) terminal.Out.WriteLine(note);
        if (advice is not null) terminal.Out.Write("\n" + advice);
        if (folder is null) return ExitCodes.Done;
        List<(string Name, byte[] Bytes)> files = Files(plan, template, notes, advice);
        cancel.ThrowIfCancellationRequested();
        MeasureFiles.Write(folder, files.ToDictionary(f => f.Name, f => f.Bytes), cancel);
        terminal.Out.WriteLine($"Written to {folder}: {string.Join(", ", files.Select(f => f.Name))}.");
        terminal.Out.WriteLine("Print template.pdf at 100 % and measure its 100 mm bar before you mark. Try the marker on a scrap first.");
        return ExitCodes.Done;
    }

    private static bool TellPrintScale(Arguments a, Terminal terminal)
    {
        bool told = false;
        foreach ((string option, double bar) in (ReadOnlySpan<(string, double)>)[("--bar-measures", PrintScale.BarMm), ("--inch-bar-measures", PrintScale.InchBarMm)])
        {
            if (a.Value(option) is null) continue;
            terminal.Out.WriteLine(PrintScale.FromBar(PlanOptions.LengthBetween(a, option, bar / 2, 2 * bar), bar).Message);
            told = true;
        }
        return told;
    }

    private static List<(string Name, byte[] Bytes)> Files(BlockPlan plan, TemplateSettings template, List<string> notes, string? advice)
    {
        static byte[] Bytes(string text) => new UTF8Encoding(false).GetBytes(text);
        PaperSize sheet = template.Paper.IsLandscape ? template.Paper with { WidthMm = template.Paper.HeightMm, HeightMm = template.Paper.WidthMm } : template.Paper;
        var files = new List<(string, byte[])>
        {
            ("plan.json", Bytes(PlanWriter.Write(plan))),
            ("path.svg", Bytes(PathSheet.Svg(plan, sheet))),
            ("path.pdf", PathSheet.Pdf(plan, sheet)),
            ("path.html", Bytes(PathPage.Html(plan))),
            ("steps.txt", Bytes(string.Concat(plan.StepTexts.Select((text, i) => $"{i + 1}. {text}\n")))),
            ("template.pdf", TemplateSheet.Pdf(plan, template)),
            ("template.svg", Bytes(TemplateSheet.Svg(plan, template))),
            ("summary.html", Bytes(SummaryPage.Html(plan, notes))),
        };
        if (advice is not null) files.Add(("which-grid.txt", Bytes(advice)));
        return files;
    }
}
