using System.Globalization;
using Analyzer.Cli.Shell;
using Analyzer.Practice.Classroom;

namespace Analyzer.Cli.Commands;

/// <summary>A whole class at once: measure everyone's photos, a page for the teacher, a sheet for each person.</summary>
internal sealed class ClassCommand : ICommand
{
    public string Name => "class";

    public string Summary => "Measures a whole class: a page for the teacher, a printable sheet for each person.";

    public string Help => $"""
        class FOLDER --size SIZE --grid NAME:SPACE --out FOLDER
        Takes the photos (or report.json files) of a class. Who sewed what is read from sub-folders named after people,
        from the part of a file name before the first "-" or "_" (ann-1.jpg), or from a CSV list.

          --list FILE        CSV with the columns person, photo and, if wanted, size and grid, instead of FOLDER
          --at-once N        photos measured at the same time (at most 4 unless given); each needs about 1 GB

        What was meant to be stitched, for every photo whose list says nothing else
        {GridOptions.Help.TrimEnd()}

        {UnitsOption.Help}
          --out FOLDER       writes class.html, class.csv and a folder of sheets; what is measured is kept there,
                             so that a stopped run goes on where it was

        Example
          class photos/tuesday --size 8in --grid triangle:1in --out out/tuesday
        """;

    public int Run(IReadOnlyList<string> words, Terminal terminal, CancellationToken cancel)
    {
        Arguments arguments = Arguments.Parse(words, [.. GridOptions.Names, "--list", "--out", "--at-once", UnitsOption.Name], []);
        string folder = arguments.Value("--out") ?? throw new UserErrorException("--out is missing: give the folder for the class page and the sheets.");
        IReadOnlyList<ClassItem> items = Items(arguments);
        int atOnce = AtOnce(arguments);
        bool inches = UnitsOption.Inches(arguments);
        IReadOnlyList<string>? order = GridOptions.ReadPlan(arguments)?.LineOrder;
        var measurer = new ClassMeasuring(arguments);
        string settings = string.Join('|', new[] { arguments.Value("--size"), arguments.Value("--grid"), arguments.Value("--plan") }.Concat(arguments.Values("--lines")));
        IReadOnlyList<ClassResult> results = [];
        UserFiles.Guard(folder, () => results = ClassRun.Run(items, measurer.Measure, settings, Path.Combine(folder, "measured"), atOnce, new Bar(terminal), cancel));
        if (terminal.IsInteractive) terminal.Error.WriteLine();
        ClassSummary summary = ClassSummary.Of(results, stitchedOrder: order is { Count: > 0 } ? order : null, inches: inches);
        UserFiles.Guard(folder, () => ClassWriter.Write(summary, folder));
        terminal.Out.WriteLine($"{results.Count(r => r.Report is not null)} of {results.Count} photos measured, {results.Count(r => r.Kept)} of them kept from an earlier run; {summary.Measured} of {summary.People.Count} people have a measured block.");
        foreach (ClassResult bad in results.Where(r => r.Problem is not null))
            terminal.Out.WriteLine($"{bad.Item.Person}: {bad.ProblemOfFile}");
        foreach ((string, int) common in summary.Common) terminal.Out.WriteLine(summary.CommonSentence(common));
        terminal.Out.WriteLine($"Page: {Path.Combine(folder, "class.html")}");
        return summary.Measured > 0 ? ExitCodes.Done : ExitCodes.NotMeasurable;
    }

    private static IReadOnlyList<ClassItem> Items(Arguments arguments)
    {
        try
        {
            if (arguments.Value("--list") is { } list)
                return arguments.Plain.Count == 0 ? ClassFolder.ReadList(list) : throw new UserErrorException("Give either a folder or --list, not both.");
            return arguments.Plain.Count == 1 ? ClassFolder.Read(arguments.Plain[0])
                : throw new UserErrorException("class needs one folder with the class's photos, or --list FILE.");
        }
        catch (ClassListException trouble)
        {
            throw new UserErrorException(trouble.Message, inner: trouble);
        }
    }

    private static int AtOnce(Arguments arguments)
    {
        if (arguments.Value("--at-once") is not { } text) return ClassRun.DefaultParallel;
        if (!int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out int n) || n is < 1 or > 64)
            throw new UserErrorException($"--at-once \"{text}\" should be a whole number from 1 to 64.");
        return n;
    }

    /// <summary>"[######----] 6 of 10" on one line; silent where nobody watches.</summary>
    private sealed class Bar(Terminal terminal) : IProgress<(int Done, int All)>
    {
        private readonly Lock _gate = new();
        private int _shown;

        public void Report((int Done, int All) value)
        {
            lock (_gate)
            {
                if (!terminal.IsInteractive || value.Done < _shown) return;
                _shown = value.Done;
                int full = 20 * value.Done / Math.Max(1, value.All);
                terminal.Error.Write($"\r[{new string('#', full)}{new string('-', 20 - full)}] {value.Done} of {value.All}");
            }
        }
    }
}
