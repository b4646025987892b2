using System.Diagnostics;
using System.Globalization;
using Analyzer.Fuzz;

// Fuzz image 0 20000 | Fuzz all 1000: damaged inputs in child processes, so that a crash of a native decoder is seen and counted.
CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
string samples = Path.Combine(AppContext.BaseDirectory, "samples");
if (args is ["child", string childKind, string childFrom, string childTo])
{
    using var cases = new Cases(Environment.GetEnvironmentVariable("FUZZ_SAMPLES") ?? samples);
    for (int seed = int.Parse(childFrom); seed < int.Parse(childTo); seed++)
    {
        TimeSpan before = Process.GetCurrentProcess().TotalProcessorTime;
        string said = "ok";
        try
        {
            cases.Run(childKind, seed);
        }
#pragma warning disable CA1031 // Whatever comes out is the finding.
        catch (Exception trouble)
#pragma warning restore CA1031
        {
            said = $"{trouble.GetType().Name} {trouble.Message} {trouble.StackTrace}".ReplaceLineEndings(" ");
        }
        Process self = Process.GetCurrentProcess();
        Console.WriteLine($"{seed} {(self.TotalProcessorTime - before).TotalMilliseconds:0} {self.PeakWorkingSet64 >> 20} {said}");
    }
    return 0;
}
if (args.Length is not (2 or 3) || !(args[0] == "all" || Cases.Kinds.Contains(args[0])))
{
    Console.WriteLine($"Give a kind ({string.Join(", ", Cases.Kinds)} or all), the number of inputs, and if wanted the first seed.");
    return 2;
}
int count = int.Parse(args[1]), first = args.Length > 2 ? int.Parse(args[2]) : 0;
bool clean = true;
foreach (string kind in args[0] == "all" ? Cases.Kinds : [args[0]]) clean &= new Overseer(kind, first, count).Run();
return clean ? 0 : 1;
