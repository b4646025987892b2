using System.Diagnostics;
using System.Text.RegularExpressions;
using Analyzer.Cli.Shell;

namespace Analyzer.EndToEnd.Tests.Shell;

/// <summary>What one call of the program gave.</summary>
internal sealed record Ran(int ExitCode, string Out, string Error)
{
    private const int LongestSentence = 500;

    /// <summary>The whole program but the process.</summary>
    public static Ran Words(params string[] words) => Words(CancellationToken.None, words);

    public static Ran Words(CancellationToken cancel, params string[] words)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        int code = CommandShell.Run(words, new Terminal(TextReader.Null, output, error, IsInteractive: false), cancel);
        return new Ran(code, output.ToString(), error.ToString());
    }

    /// <summary>The built program, in a process of its own.</summary>
    public static Ran Program(params string[] words) => Started(ProgramStart(words));

    public static ProcessStartInfo ProgramStart(params string[] words)
    {
        var start = new ProcessStartInfo("dotnet") { RedirectStandardOutput = true, RedirectStandardError = true };
        start.ArgumentList.Add(Path.Combine(AppContext.BaseDirectory, "analyzer.dll"));
        foreach (string word in words) start.ArgumentList.Add(word);
        return start;
    }

    /// <summary>Any program, both streams redirected, waited for.</summary>
    public static Ran Started(ProcessStartInfo start)
    {
        using Process process = Process.Start(start)!;
        Task<string> error = process.StandardError.ReadToEndAsync();
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return new Ran(process.ExitCode, output, error.Result);
    }

    /// <summary>One sentence on one line, no stack trace, no type name of the program's inside.</summary>
    public Ran ShouldFailWithOneSentence(int exitCode)
    {
        Assert.InRange(Error.Trim().Length, 15, LongestSentence);
        return ShouldFailWithOneSentenceOfAnyLength(exitCode);
    }

    /// <summary>The same where the sentence repeats a long name of the user's.</summary>
    public Ran ShouldFailWithOneSentenceOfAnyLength(int exitCode)
    {
        Assert.Equal(exitCode, ExitCode);
        string[] lines = Error.Split('\n', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries);
        string sentence = Assert.Single(lines);
        Assert.EndsWith(".", sentence, StringComparison.Ordinal);
        Assert.DoesNotMatch(@"[.!?]\s+[A-Z]", sentence);
        ShouldShowNoInsides();
        return this;
    }

    public Ran ShouldShowNoInsides()
    {
        foreach (string text in (string[])[Out, Error])
        {
            Assert.DoesNotContain("Exception", text, StringComparison.Ordinal);
            Assert.DoesNotMatch(new Regex(@"^\s+at ", RegexOptions.Multiline), text);
            Assert.DoesNotContain("(Parameter", text, StringComparison.Ordinal);
        }
        return this;
    }
}
