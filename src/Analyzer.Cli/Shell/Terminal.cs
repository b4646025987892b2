namespace Analyzer.Cli.Shell;

/// <summary>Where a command talks to: results to Out, progress and errors to Error.</summary>
internal sealed record Terminal(TextReader In, TextWriter Out, TextWriter Error, bool IsInteractive);
