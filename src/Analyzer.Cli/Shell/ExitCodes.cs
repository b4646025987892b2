namespace Analyzer.Cli.Shell;

internal static class ExitCodes
{
    public const int Done = 0;
    public const int Failed = 1;
    public const int WrongUsage = 2;
    public const int NotMeasurable = 3;
    public const int Interrupted = 130;
}

/// <summary>The caller's mistake or a file's trouble, told in one clear sentence: what is wrong, where, what to do.</summary>
internal sealed class UserErrorException : Exception
{
    public UserErrorException(string message, int exitCode = ExitCodes.WrongUsage, Exception? inner = null)
        : base(message, inner) => ExitCode = exitCode;

    public int ExitCode { get; }
}
