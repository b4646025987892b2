using Analyzer.Cli.Shell;

namespace Analyzer.Cli.Commands;

/// <summary>--units mm|in: the units of texts and charts. Files for programs are in mm always.</summary>
internal static class UnitsOption
{
    public const string Name = "--units";

    public const string Help = "  --units mm|in      units of texts and charts (those of --size, else mm)";

    public static bool Inches(Arguments a) => a.Value(Name) switch
    {
        "in" => true,
        "mm" => false,
        null => (a.Value("--size") ?? "").Contains("in", StringComparison.OrdinalIgnoreCase),
        string other => throw new UserErrorException($"--units \"{other}\" should be mm or in."),
    };
}
