using System.Diagnostics;
using Analyzer.Cli.Shell;

namespace Analyzer.EndToEnd.Tests.Shell;

public class DoctorAndCompletionTests
{
    [Fact]
    public void Doctor_FindsThisMachineFit()
    {
        using var scratch = new Scratch();
        Ran ran = Ran.Words("doctor", "--out", scratch.Report).ShouldShowNoInsides();
        Assert.True(ran.ExitCode == 0, ran.Out);
        Assert.Contains("Image library", ran.Out, StringComparison.Ordinal);
        scratch.ShouldHoldNoReport();
    }

    [SkippableFact]
    public void Doctor_TellsAFolderThatCannotBeWritten()
    {
        Skip.IfNot(OperatingSystem.IsLinux(), "needs /proc, where nobody may make a folder");
        Ran ran = Ran.Words("doctor", "--out", "/proc/report");
        Assert.Equal(1, ran.ExitCode);
        Assert.Contains("MISSING  Output folder", ran.Out, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("bash")]
    [InlineData("zsh")]
    [InlineData("fish")]
    [InlineData("powershell")]
    public void Completion_NamesEveryCommandAndItsOptions(string shell)
    {
        string script = Ran.Words("completion", shell).Out;
        foreach (ICommand command in CommandList.All)
        {
            Assert.Contains(command.Name, script, StringComparison.Ordinal);
            Assert.All(CompletionScript.Options(command), option => Assert.Contains(option.TrimStart('-'), script, StringComparison.Ordinal));
        }
    }

    /// <summary>bash itself is asked what it would offer.</summary>
    [SkippableTheory]
    [InlineData("analyzer mea", 1, "measure")]
    [InlineData("analyzer measure --cor", 2, "--corners --corners-exact --corner-marks")]
    [InlineData("analyzer log exp", 2, "export")]
    public void Bash_OffersWhatFits(string line, int word, string offered)
    {
        Skip.IfNot(File.Exists("/bin/bash"), "needs bash");
        using var scratch = new Scratch();
        string script = scratch.File("completion", System.Text.Encoding.UTF8.GetBytes(Ran.Words("completion", "bash").Out));
        var start = new ProcessStartInfo("/bin/bash") { RedirectStandardOutput = true };
        foreach (string text in (string[])["-c", $"source '{script}'; COMP_WORDS=({line}); COMP_CWORD={word}; _analyzer; echo \"${{COMPREPLY[*]}}\""]) start.ArgumentList.Add(text);
        using Process bash = Process.Start(start)!;
        Assert.Equal(offered, bash.StandardOutput.ReadToEnd().Trim());
    }

    [Fact]
    public void Completion_OfAnUnknownShell_IsOneSentence() => Ran.Words("completion", "sh").ShouldFailWithOneSentence(2);
}
