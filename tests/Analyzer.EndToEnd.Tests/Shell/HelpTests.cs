using System.Text.RegularExpressions;
using Analyzer.Cli.Shell;

namespace Analyzer.EndToEnd.Tests.Shell;

public class HelpTests
{
    public static TheoryData<string> CommandNames() => [.. CommandList.All.Select(command => command.Name)];

    [Theory]
    [MemberData(nameof(CommandNames))]
    public void HelpOfEachCommand_EndsWithAnExampleOfItsOwn(string name)
    {
        Ran ran = Ran.Words(name, "--help");
        Assert.Equal(0, ran.ExitCode);
        Assert.Equal("", ran.Error);
        Match example = Regex.Match(ran.Out, @"^Examples?:?\s*$([\s\S]*)", RegexOptions.Multiline);
        Assert.True(example.Success, "the help has no part headed Example");
        Assert.Contains(name + " ", example.Groups[1].Value, StringComparison.Ordinal);
    }

    [Theory]
    [MemberData(nameof(CommandNames))]
    public void EveryOptionInAnExample_IsExplainedAboveIt(string name)
    {
        string help = Ran.Words(name, "--help").Out;
        int start = Regex.Match(help, @"^Examples?:?\s*$", RegexOptions.Multiline).Index;
        foreach (Match option in Regex.Matches(help[start..], @"(?<=\s)--[a-z][a-z-]*"))
            Assert.Contains(option.Value, help[..start], StringComparison.Ordinal);
    }

    [Fact]
    public void HelpOfTheProgram_NamesEveryCommand()
    {
        Ran ran = Ran.Words("--help");
        Assert.Equal(0, ran.ExitCode);
        Assert.All(CommandList.All, command => Assert.Contains("  " + command.Name + " ", ran.Out, StringComparison.Ordinal));
    }

    [Fact]
    public void NoWords_ShowTheHelpAndCountAsWrongUsage()
    {
        Ran ran = Ran.Words();
        Assert.Equal(2, ran.ExitCode);
        Assert.Contains("measure", ran.Out, StringComparison.Ordinal);
    }

    [Fact]
    public void UnknownCommand_IsOneSentence() => Ran.Words("mesure").ShouldFailWithOneSentence(2);

    [Fact]
    public void UnknownOption_IsOneSentence() => Ran.Words("measure", "a.jpg", "--siz", "8in").ShouldFailWithOneSentence(2);
}
