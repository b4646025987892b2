using Analyzer.Cli.Shell;

namespace Analyzer.Cli.Commands;

/// <summary>Prints what a shell needs to complete the program's words.</summary>
internal sealed class CompletionCommand : ICommand
{
    public string Name => "completion";

    public string Summary => "Prints a script with which your shell completes commands and options.";

    public string Help => """
        completion SHELL
        Prints a script for bash, zsh, fish or powershell. With it the shell completes the commands and options of analyzer
        when the Tab key is pressed. The program has to be reachable under the name analyzer.

        Examples
          completion bash > ~/.local/share/bash-completion/completions/analyzer
          completion zsh >> ~/.zshrc
          completion fish > ~/.config/fish/completions/analyzer.fish
          completion powershell >> $PROFILE
        """;

    public int Run(IReadOnlyList<string> words, Terminal terminal, CancellationToken cancel)
    {
        Arguments arguments = Arguments.Parse(words, [], []);
        if (arguments.Plain.Count != 1 || !CompletionScript.Shells.Contains(arguments.Plain[0]))
            throw new UserErrorException($"completion needs the name of one shell: {string.Join(", ", CompletionScript.Shells)}.");
        terminal.Out.Write(CompletionScript.For(arguments.Plain[0], CommandList.All));
        return ExitCodes.Done;
    }
}
