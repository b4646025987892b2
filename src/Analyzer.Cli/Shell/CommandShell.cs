namespace Analyzer.Cli.Shell;

/// <summary>Finds the command, runs it, and turns trouble into one sentence and an exit code.</summary>
internal static class CommandShell
{
    public static int Start(string[] words)
    {
        using var cancel = new CancellationTokenSource();
        Console.CancelKeyPress += (_, e) =>
        {
            // The first Ctrl-C asks for an orderly end, a second one does not wait for it.
            e.Cancel = !cancel.IsCancellationRequested;
            cancel.Cancel();
        };
        var terminal = new Terminal(Console.In, Console.Out, Console.Error, !Console.IsErrorRedirected);
        return Run(words, terminal, cancel.Token);
    }

    /// <summary>The whole program but the process: used by the tests too.</summary>
    public static int Run(IReadOnlyList<string> words, Terminal terminal, CancellationToken cancel)
    {
        if (words.Count == 0 || words[0] is "--help" or "-h" or "help")
        {
            terminal.Out.Write(Overview());
            return words.Count == 0 ? ExitCodes.WrongUsage : ExitCodes.Done;
        }
        ICommand? command = CommandList.All.FirstOrDefault(c => c.Name == words[0]);
        if (command is null)
        {
            terminal.Error.WriteLine($"There is no command \"{words[0]}\"; the commands are {string.Join(", ", CommandList.All.Select(c => c.Name))}.");
            return ExitCodes.WrongUsage;
        }
        if (words.Skip(1).Any(w => w is "--help" or "-h"))
        {
            terminal.Out.WriteLine(command.Help.Trim());
            return ExitCodes.Done;
        }
        try
        {
            return command.Run(words.Skip(1).ToList(), terminal, cancel);
        }
        catch (UserErrorException error)
        {
            terminal.Error.WriteLine(error.Message);
            return error.ExitCode;
        }
        catch (OperationCanceledException)
        {
            terminal.Error.WriteLine("Stopped; nothing was left half-written.");
            return ExitCodes.Interrupted;
        }
        catch (Exception trouble)
        {
            terminal.Error.WriteLine(TroubleLog.Sentence(trouble, words));
            return ExitCodes.Failed;
        }
    }

    private static string Overview()
    {
        var text = new System.Text.StringBuilder();
        text.AppendLine("Measures how straight you quilted, from a photo of a practice block.").AppendLine();
        text.AppendLine("Commands:");
        foreach (ICommand command in CommandList.All)
            text.Append("  ").Append(command.Name.PadRight(18)).AppendLine(command.Summary);
        return text.AppendLine().AppendLine("Each command explains itself with --help.").ToString();
    }
}
