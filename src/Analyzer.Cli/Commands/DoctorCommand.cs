using Analyzer.Cli.Shell;

namespace Analyzer.Cli.Commands;

/// <summary>Looks whether this machine has what the program needs.</summary>
internal sealed class DoctorCommand : ICommand
{
    public string Name => "doctor";

    public string Summary => "Looks whether this machine has what the program needs, and says what to do.";

    public string Help => """
        doctor [--out FOLDER]
        Tries the libraries, fonts, folders and memory that the program needs on this machine, in plain words.
        Nothing is installed or changed. Ends with 0 when all that is needed is there, with 1 otherwise.

          --out FOLDER       also tries whether reports can be written there

        Example
          doctor
          doctor --out my-report
        """;

    public int Run(IReadOnlyList<string> words, Terminal terminal, CancellationToken cancel)
    {
        Arguments arguments = Arguments.Parse(words, ["--out"], []);
        if (arguments.Plain.Count > 0) throw new UserErrorException($"doctor takes no \"{arguments.Plain[0]}\".");
        var findings = MachineCheck.All(arguments.Value("--out"));
        foreach (MachineFinding finding in findings)
        {
            string mark = finding.State switch { MachineState.Good => "good   ", MachineState.Lesser => "lesser ", _ => "MISSING" };
            terminal.Out.WriteLine($"{mark}  {finding.What}: {finding.Words}");
            if (finding.Advice is { } advice) terminal.Out.WriteLine($"         {advice}");
        }
        int missing = findings.Count(f => f.State == MachineState.Missing), lesser = findings.Count(f => f.State == MachineState.Lesser);
        terminal.Out.WriteLine(missing > 0 ? "The program cannot do its work here until what is missing is put right."
            : lesser > 0 ? "The program works here; what is lesser limits it as told."
            : "All that the program needs is here.");
        return missing > 0 ? ExitCodes.Failed : ExitCodes.Done;
    }
}
