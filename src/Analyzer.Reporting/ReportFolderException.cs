namespace Analyzer.Reporting;

/// <summary>A report could not be written into its folder. The message is one sentence for the user; nothing half-written remains.</summary>
public sealed class ReportFolderException : IOException
{
    public ReportFolderException()
    {
    }

    public ReportFolderException(string message)
        : base(message)
    {
    }

    public ReportFolderException(string message, Exception inner)
        : base(message, inner)
    {
    }
}
