using Analyzer.Cli.Shell;
using Analyzer.Practice.Log;

namespace Analyzer.Cli.Commands;

/// <summary>The practice log: sessions, blocks and progress, kept in one file.</summary>
internal sealed class LogCommand : ICommand
{
    public string Name => "log";

    public string Summary => "Keeps a practice log: add, list, show, remove, export, import, progress.";

    public string Help => $"""
        log add [REPORT ...] --who NAME [--date YYYY-MM-DD] [--minutes N] [--block-minutes N]
                [--machine TEXT] [--foot TEXT] [--thread TEXT] [--fabric TEXT] [--note TEXT] [--plan-file FILE] [--again]
            Stores a practice session with its measured blocks (report.json files or their folders); without a report
            only the minutes. --minutes is the whole session, --block-minutes the stitching of each block alone.
            --plan-file stores a plan.json with the block; --again stores a photo that is in the log already.
        log list [--who NAME]
        log show ID [--out FOLDER]        one session and what to practise next; --out writes its report.json and picture
        log remove ID [--yes]             asks first; log remove --who NAME takes everything of a person out
        log progress --who NAME [--out FOLDER]   trends; --out writes progress.html with charts
        log export FILE.zip               everything, as JSON and CSV
        log import FILE.zip               what is not there yet; doing it twice changes nothing
        log backup                        copies the log into its backups folder now

        {UnitsOption.Help}
          --log FILE         another log file than {PracticeLog.DefaultPath}

        A person is a nickname; nothing else about a person is kept. Photos stay where they are.

        Example
          log add out/monday --who me --minutes 40 --block-minutes 18 --machine "mid-arm" --foot "1/2 in ruler foot"
          log progress --who me --out out/progress
        """;

    public int Run(IReadOnlyList<string> words, Terminal terminal, CancellationToken cancel)
    {
        if (words.Count == 0) throw new UserErrorException("log needs a word after it: add, list, show, remove, progress, export, import or backup.");
        string[] rest = [.. words.Skip(1)];
        try
        {
            return words[0] switch
            {
                "add" => LogAdd.Run(rest, terminal),
                "list" => LogReading.List(rest, terminal),
                "show" => LogReading.Show(rest, terminal),
                "remove" => LogChanging.Remove(rest, terminal),
                "progress" => LogReading.Progress(rest, terminal, cancel),
                "export" => LogChanging.Export(rest, terminal),
                "import" => LogChanging.Import(rest, terminal),
                "backup" => LogChanging.Backup(rest, terminal),
                _ => throw new UserErrorException($"log {words[0]} is not known; the words are add, list, show, remove, progress, export, import and backup."),
            };
        }
        catch (PracticeLogException trouble)
        {
            throw new UserErrorException(trouble.Message, ExitCodes.Failed, trouble);
        }
    }

    public static PracticeLog Open(Arguments arguments) => PracticeLog.Open(arguments.Value("--log") ?? PracticeLog.DefaultPath);

    /// <summary>Opens for reading; a log that does not exist yet is said so rather than made.</summary>
    public static PracticeLog OpenExisting(Arguments arguments)
    {
        string path = arguments.Value("--log") ?? PracticeLog.DefaultPath;
        if (!File.Exists(path)) throw new UserErrorException($"There is no practice log at {path} yet; log add starts one.");
        return PracticeLog.Open(path);
    }
}
