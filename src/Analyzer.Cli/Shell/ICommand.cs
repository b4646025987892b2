namespace Analyzer.Cli.Shell;

/// <summary>One command of the program. Register it in <see cref="CommandList"/>.</summary>
internal interface ICommand
{
    string Name { get; }

    /// <summary>One line for the list of commands.</summary>
    string Summary { get; }

    /// <summary>What "--help" prints: what it does, each option, and an example.</summary>
    string Help { get; }

    /// <summary>Sorts its words with <see cref="Arguments.Parse"/>, runs, and returns the exit code.</summary>
    int Run(IReadOnlyList<string> words, Terminal terminal, CancellationToken cancel);
}
