using Analyzer.Cli.Commands;

namespace Analyzer.Cli.Shell;

/// <summary>Every command of the program, in the order the help shows them.</summary>
internal static class CommandList
{
    public static IReadOnlyList<ICommand> All { get; } =
    [
        new MeasureCommand(),
        new CompareCommand(),
        new LogCommand(),
        new ClassCommand(),
        new ServeCommand(),
        new PlanCommand(),
        new ReferenceSheetCommand(),
        new DoctorCommand(),
        new CompletionCommand(),
    ];
}
