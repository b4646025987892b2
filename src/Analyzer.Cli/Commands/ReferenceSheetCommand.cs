using Analyzer.Cli.Shell;
using Analyzer.Practice.Classroom;
using Analyzer.Reporting.Sheets;
using Analyzer.Vision.Reference;

namespace Analyzer.Cli.Commands;

/// <summary>Writes the printable corner rule.</summary>
internal sealed class ReferenceSheetCommand : ICommand
{
    public string Name => "reference-sheet";

    public string Summary => "Writes a paper corner rule (PDF) that checks the scale of your photos";

    public string Help => """
        reference-sheet --out FILE.pdf [--paper a4|letter] [--replace]

        Writes a PDF with an L-shaped rule to print at actual size and cut out. Laid flat beside the block it tells whether
        the finished block has the size you gave, and whether it is square.

          --out FILE.pdf      where to write it
          --paper a4|letter   paper size (default a4)
          --replace           overwrite the file if it is there already

        Example:
          reference-sheet --paper letter --out corner-rule.pdf

        Print at 100 % ("actual size") and check the two bars with a ruler before you use it.
        """;

    public int Run(IReadOnlyList<string> words, Terminal terminal, CancellationToken cancel)
    {
        Arguments arguments = Arguments.Parse(words, ["--out", "--paper"], ["--replace"]);
        if (arguments.Plain.Count > 0) throw new UserErrorException($"\"{arguments.Plain[0]}\" is not expected here; name the file with --out.");
        string path = arguments.Value("--out") ?? throw new UserErrorException("Say where to write the sheet: --out corner-rule.pdf");
        string paper = (arguments.Value("--paper") ?? "a4").Trim().ToLowerInvariant();
        if (!ReferenceSheetPdf.Papers.ContainsKey(paper))
            throw new UserErrorException($"--paper {paper} is not known; use a4 or letter.");
        if (File.Exists(path) && !arguments.Has("--replace"))
            throw new UserErrorException($"{path} is there already; choose another name or add --replace.");
        byte[] pdf = ReferenceSheetPdf.Draw(paper, ReferenceMarks.CellsOf);
        try
        {
            ClassWriter.WriteAside(path, pdf);
        }
        catch (Exception error) when (error is IOException or UnauthorizedAccessException or NotSupportedException or ArgumentException)
        {
            throw new UserErrorException($"{path} cannot be written; check the folder's name and that you may write there.", ExitCodes.Failed, error);
        }
        terminal.Out.WriteLine($"Wrote {path}. Print it at actual size (100 %), check the bars with a ruler, then cut out the L.");
        return ExitCodes.Done;
    }
}
