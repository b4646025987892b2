using Analyzer.Cli.Shell;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using Analyzer.Practice.Classroom;
using Analyzer.Practice.Comparing;
using Analyzer.Practice.Findings;
using Analyzer.Practice.Pages;

namespace Analyzer.Cli.Commands;

/// <summary>Two blocks, before and after: what changed, and what this pair cannot tell.</summary>
internal sealed class CompareCommand : ICommand
{
    public string Name => "compare";

    public string Summary => "Compares two measured blocks, before and after, and says what the pair can show.";

    public string Help => $"""
        compare BEFORE AFTER [--out FOLDER] [--tolerance L]
        Compares two blocks line by line and says for each measure: better, worse, no difference that this pair can show,
        or cannot tell. BEFORE and AFTER are report.json files (or the folders that hold them) written by the measure command,
        or photos; photos are measured first and need their pattern:

        {GridOptions.Help.TrimEnd()}
          --corners-before, --corners-after   corners of a photo, as in the measure command

          --out FOLDER       writes compare.html (a page with pictures) and compare.json into FOLDER
          --tolerance L      how far from the line counts as on it (0.5mm)
        {UnitsOption.Help}

        Examples
          compare before.jpg after.jpg --size 8in --grid triangle:1in --out out/compared
          compare out/january/report.json out/march/report.json --out out/compared
        """;

    public int Run(IReadOnlyList<string> words, Terminal terminal, CancellationToken cancel)
    {
        Arguments arguments = Arguments.Parse(words, [.. GridOptions.Names, "--out", "--tolerance", "--corners-before", "--corners-after", UnitsOption.Name], []);
        if (arguments.Plain.Count != 2)
            throw new UserErrorException("compare needs two reports, before and after: compare BEFORE AFTER.");
        double tolerance = Tolerance(arguments);
        bool inches = UnitsOption.Inches(arguments);
        (ComparedBlock before, BlockPicture? pictureBefore) = Block(arguments.Plain[0], arguments, "--corners-before", tolerance, terminal, cancel);
        (ComparedBlock after, BlockPicture? pictureAfter) = Block(arguments.Plain[1], arguments, "--corners-after", tolerance, terminal, cancel);
        Comparison comparison = BlockComparer.Compare(before, after, tolerance) with { Inches = inches, PictureBefore = pictureBefore, PictureAfter = pictureAfter };
        FindingList next = FindingReader.Read(after, GridOptions.ReadPlan(arguments)?.LineOrder);
        cancel.ThrowIfCancellationRequested();
        Print(comparison, next, terminal);
        if (arguments.Value("--out") is { } folder)
        {
            UserFiles.Guard(folder, () =>
            {
                Directory.CreateDirectory(folder);
                ClassWriter.WriteAside(Path.Combine(folder, "compare.json"), CompareJson.Write(comparison, next));
                ClassWriter.WriteAside(Path.Combine(folder, "compare.html"), ComparePage.Render(comparison, next));
            });
            terminal.Out.WriteLine($"Page: {Path.Combine(folder, "compare.html")}");
        }
        return ExitCodes.Done;
    }

    private static double Tolerance(Arguments arguments)
    {
        if (arguments.Value("--tolerance") is not { } text) return BlockComparer.DefaultToleranceMm;
        if (!Length.TryParse(text, out Length length) || !(length.Millimetres is > 0 and <= 20))
            throw new UserErrorException($"--tolerance \"{text}\" should be a length above 0 and up to 20 mm, such as 0.5mm.");
        return length.Millimetres;
    }

    private static (ComparedBlock Block, BlockPicture? Picture) Block(string path, Arguments arguments, string corners, double tolerance, Terminal terminal, CancellationToken cancel)
    {
        try
        {
            (AccuracyReport report, BlockPicture? picture) = Report(path, arguments, corners, terminal, cancel);
            return (new ComparedBlock(report, path, tolerance), picture);
        }
        catch (FormatException trouble)
        {
            throw new UserErrorException(trouble.Message, ExitCodes.NotMeasurable, trouble);
        }
    }

    private static (AccuracyReport Report, BlockPicture? Picture) Report(string path, Arguments arguments, string corners, Terminal terminal, CancellationToken cancel)
    {
        if (Directory.Exists(path) || ClassMeasuring.IsReport(path)) return (UserFiles.Report(path), UserFiles.Picture(path));
        if (terminal.IsInteractive) terminal.Error.WriteLine($"Measuring {path} ...");
        (AccuracyReport report, BlockPicture? picture) = ClassMeasuring.MeasurePhoto(path, GridOptions.Parse(arguments), MeasureCorners.Parse(arguments.Value(corners)), true, cancel);
        if (report.Outcome != "not-measurable") return (report, picture);
        string why = report.Reasons.Count > 0 ? $"{report.Reasons[0].Message} {report.Reasons[0].Advice}" : "it cannot be measured.";
        throw new UserErrorException($"{path}: {why}", ExitCodes.NotMeasurable);
    }

    private static void Print(Comparison c, FindingList next, Terminal terminal)
    {
        terminal.Out.WriteLine(ComparePage.Headline(c));
        string Say(string sentence) => LengthSentence.In(sentence, c.Inches);
        foreach (string note in c.Notes) terminal.Out.WriteLine("Note: " + Say(note));
        terminal.Out.WriteLine();
        foreach (ComparisonRow row in c.Rows)
        {
            string name = row.Family is null ? row.Measure.Name : "  " + row.FamilyName;
            terminal.Out.WriteLine($"{name,-26} {Say(row.Sentence)}");
        }
        terminal.Out.WriteLine();
        terminal.Out.WriteLine("What to practise next:");
        if (next.Findings.Count == 0) terminal.Out.WriteLine("  " + FindingList.NothingStandsOut);
        foreach (Finding f in next.Findings)
        {
            terminal.Out.WriteLine("  - " + Say(f.Sentence));
            terminal.Out.WriteLine("    " + Say(f.Drill));
        }
    }
}
