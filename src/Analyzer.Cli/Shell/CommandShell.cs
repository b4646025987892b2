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
        if (terminal.Out is not CleanWriter) terminal = terminal with { Out = new CleanWriter(terminal.Out), Error = new CleanWriter(terminal.Error) };
        if (words is ["help", string asked]) return Run([asked, "--help"], terminal, cancel);
        if (words is ["--version"] or ["version"])
        {
            terminal.Out.WriteLine($"Stitch Accuracy Analyzer {typeof(CommandShell).Assembly.GetName().Version?.ToString(3)}");
            return ExitCodes.Done;
        }
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

    /// <summary>Laid out as a page of a manual: name, how to call, commands, exit codes, files, examples.</summary>
    private static string Overview()
    {
        var text = new System.Text.StringBuilder();
        text.AppendLine("NAME").AppendLine("  analyzer - measures how straight you quilted, from a photo of a practice block").AppendLine();
        text.AppendLine("HOW TO CALL IT").AppendLine("  analyzer COMMAND [OPTIONS]").AppendLine("  analyzer COMMAND --help    (or analyzer help COMMAND)").AppendLine("  analyzer --version").AppendLine();
        text.AppendLine("COMMANDS");
        foreach (ICommand command in CommandList.All)
            text.Append("  ").Append(command.Name.PadRight(18)).AppendLine(command.Summary);
        return text.AppendLine().Append(Rest).ToString();
    }

    private const string Rest = """
        EXIT CODES
          0    done
          1    trouble that was not foreseen, or a file that could not be written
          2    something about the call is wrong; one sentence says what
          3    the photo cannot be measured; the report says why
          130  stopped with Ctrl-C; nothing is left half-written

        FILES
          Reports go where --out says. The practice log lies in your own data folder (log --help shows the path).
          When something unforeseen happens, the details are written to the system's folder for temporary files.

        EXAMPLES
          analyzer measure block.jpg --size 8in --grid triangle:1in --out my-report
          analyzer serve
          analyzer doctor

        Each command explains itself with --help.

        """;
}
