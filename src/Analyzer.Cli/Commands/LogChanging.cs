using System.Globalization;
using Analyzer.Cli.Shell;
using Analyzer.Practice.Log;

namespace Analyzer.Cli.Commands;

/// <summary>"log remove", "log export", "log import" and "log backup".</summary>
internal static class LogChanging
{
    public static int Remove(string[] words, Terminal terminal)
    {
        Arguments arguments = Arguments.Parse(words, ["--log", "--who"], ["--yes"]);
        using PracticeLog log = LogCommand.OpenExisting(arguments);
        if (arguments.Value("--who") is { } who)
        {
            if (arguments.Plain.Count > 0) throw new UserErrorException("Give either the number of a session or --who, not both.");
            IReadOnlyList<PracticeSession> all = log.Sessions(who);
            if (all.Count == 0) throw new UserErrorException($"The log holds nothing of {who}.", ExitCodes.Failed);
            if (!Agreed(arguments, terminal, $"Remove everything of {who}: {all.Count} sessions with {all.Sum(s => s.Blocks.Count)} blocks?")) return ExitCodes.Failed;
            log.RemovePerson(who);
            terminal.Out.WriteLine($"Removed everything of {who}. Backups made earlier still hold it.");
            return ExitCodes.Done;
        }
        long id = LogReading.Id(arguments);
        PracticeSession session = log.Session(id) ?? throw new UserErrorException($"The log holds no session {id}; log list shows the numbers.", ExitCodes.Failed);
        if (!Agreed(arguments, terminal, string.Create(CultureInfo.InvariantCulture, $"Remove session {id} of {session.Who} on {session.HeldOn:yyyy-MM-dd} with {session.Blocks.Count} blocks?"))) return ExitCodes.Failed;
        log.Remove(id);
        terminal.Out.WriteLine($"Removed session {id}.");
        return ExitCodes.Done;
    }

    public static int Export(string[] words, Terminal terminal)
    {
        Arguments arguments = Arguments.Parse(words, ["--log"], []);
        string zip = OneFile(arguments, "export");
        using PracticeLog log = LogCommand.OpenExisting(arguments);
        LogArchive.Export(log, zip);
        terminal.Out.WriteLine($"Wrote {zip}: {log.Sessions().Count} sessions.");
        return ExitCodes.Done;
    }

    public static int Import(string[] words, Terminal terminal)
    {
        Arguments arguments = Arguments.Parse(words, ["--log"], []);
        string zip = OneFile(arguments, "import");
        if (!File.Exists(zip)) throw new UserErrorException($"{zip} is not there; give the zip that log export wrote.");
        using PracticeLog log = LogCommand.Open(arguments);
        (int added, int all) = LogArchive.Import(log, zip);
        terminal.Out.WriteLine($"{added} of {all} sessions were new and are in the log now.");
        return ExitCodes.Done;
    }

    public static int Backup(string[] words, Terminal terminal)
    {
        Arguments arguments = Arguments.Parse(words, ["--log"], []);
        using PracticeLog log = LogCommand.OpenExisting(arguments);
        terminal.Out.WriteLine($"Copied to {log.BackUp()}.");
        return ExitCodes.Done;
    }

    private static string OneFile(Arguments arguments, string word) =>
        arguments.Plain.Count == 1 ? arguments.Plain[0] : throw new UserErrorException($"log {word} needs the name of one zip file.");

    private static bool Agreed(Arguments arguments, Terminal terminal, string question)
    {
        if (arguments.Has("--yes")) return true;
        terminal.Error.Write(question + " Type yes to go on: ");
        bool agreed = string.Equals(terminal.In.ReadLine()?.Trim(), "yes", StringComparison.OrdinalIgnoreCase);
        if (!agreed) terminal.Error.WriteLine("Nothing was removed.");
        return agreed;
    }
}
