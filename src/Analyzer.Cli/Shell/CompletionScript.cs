using System.Text;
using System.Text.RegularExpressions;

namespace Analyzer.Cli.Shell;

/// <summary>Completion for a shell, made from the command list: the words after the program, and each command's own options as its help names them.</summary>
internal static partial class CompletionScript
{
    public static readonly string[] Shells = ["bash", "zsh", "fish", "powershell"];

    /// <summary>The options a command's help names, in their order.</summary>
    public static IReadOnlyList<string> Options(ICommand command) =>
        [.. OptionPattern().Matches(command.Help).Select(match => match.Value).Append("--help").Distinct()];

    /// <summary>The words that may follow a command whose help shows them at the start of a line, such as "log add".</summary>
    public static IReadOnlyList<string> SecondWords(ICommand command) =>
        [.. Regex.Matches(command.Help, $@"^{Regex.Escape(command.Name)} ([a-z]+)\b", RegexOptions.Multiline).Select(match => match.Groups[1].Value).Distinct()];

    public static string For(string shell, IReadOnlyList<ICommand> commands) => shell switch
    {
        "bash" => Bash(commands, ""),
        "zsh" => Bash(commands, "autoload -U +X bashcompinit && bashcompinit\n"),
        "fish" => Fish(commands),
        _ => PowerShell(commands),
    };

    private static string Bash(IReadOnlyList<ICommand> commands, string first)
    {
        var text = new StringBuilder(first).Append("_analyzer() {\n    local word=${COMP_WORDS[COMP_CWORD]} words=\n");
        text.Append("    if [ \"$COMP_CWORD\" -eq 1 ]; then words=\"").AppendJoin(' ', commands.Select(c => c.Name)).Append(" help\"\n    else case ${COMP_WORDS[1]} in\n");
        foreach (ICommand command in commands)
            text.Append("        ").Append(command.Name).Append(") words=\"").AppendJoin(' ', Words(command)).Append("\" ;;\n");
        text.Append("    esac; fi\n    COMPREPLY=($(compgen -W \"$words\" -- \"$word\"))\n}\n");
        return text.Append("complete -o default -F _analyzer analyzer\n").ToString();
    }

    private static string Fish(IReadOnlyList<ICommand> commands)
    {
        var text = new StringBuilder();
        foreach (ICommand command in commands)
        {
            text.Append("complete -c analyzer -n __fish_use_subcommand -a ").Append(command.Name).Append(" -d '").Append(command.Summary.Replace("'", "\\'", StringComparison.Ordinal)).Append("'\n");
            foreach (string word in SecondWords(command))
                text.Append("complete -c analyzer -n '__fish_seen_subcommand_from ").Append(command.Name).Append("' -a ").Append(word).Append('\n');
            foreach (string option in Options(command))
                text.Append("complete -c analyzer -n '__fish_seen_subcommand_from ").Append(command.Name).Append("' -l ").Append(option[2..]).Append('\n');
        }
        return text.ToString();
    }

    private static string PowerShell(IReadOnlyList<ICommand> commands)
    {
        var text = new StringBuilder("Register-ArgumentCompleter -Native -CommandName analyzer -ScriptBlock {\n    param($word, $line, $at)\n    $words = @{\n");
        foreach (ICommand command in commands)
            text.Append("        '").Append(command.Name).Append("' = @(").AppendJoin(", ", Words(command).Select(w => $"'{w}'")).Append(")\n");
        text.Append("    }\n    $typed = @($line.CommandElements | ForEach-Object { \"$_\" })\n");
        text.Append("    $offer = if ($typed.Count -lt 2 -or ($typed.Count -eq 2 -and $word)) { $words.Keys } else { $words[$typed[1]] }\n");
        return text.Append("    $offer | Where-Object { $_ -like \"$word*\" } | Sort-Object\n}\n").ToString();
    }

    private static IEnumerable<string> Words(ICommand command) => SecondWords(command).Concat(Options(command));

    [GeneratedRegex(@"(?<![\w-])--[a-z][a-z-]*")]
    private static partial Regex OptionPattern();
}
