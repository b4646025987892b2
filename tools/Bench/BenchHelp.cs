namespace Analyzer.Bench;

/// <summary>What every bench measures, the words it takes, and an example.</summary>
internal static class BenchHelp
{
    private sealed record Entry(string Name, string What, string[] Words, string Example);

    private static readonly Entry[] All =
    [
        new("accuracy", "Lines found, false lines, errors and how often truth lies within 2u, against rendered truth.",
        [
            "[photos a tier] [first seed] [side of the block in mm, 0 = the scene's own] [easy,ordinary,hard] [verbose]",
            "images [folder]      the sample photos, true corners given and corners found",
            "ablation [photos a tier] [first seed] [side]      what each step buys",
        ], "tools/bench accuracy 16 64100 110 ordinary,hard"),
        new("coverage", "The table of accuracy and how often truth lies within 2u, with the errors in units of u, one photo for each seed and tier.", ["[photos a tier] (200) [first seed] [side in mm] [easy,ordinary,hard] [found]      found: the program finds the corners itself"], "tools/bench coverage 60 170000 110"),
        new("corners", "The corner finder on photos of our two makers in turn: share found, error, honesty of confidence and of the stated uncertainty, marks refined, time.",
        [
            "--count N            photos (30)",
            "--seed S             first seed (1)",
            "--rendered           the first maker of photos alone",
            "--drawn              the second maker of photos alone (--tier and --side are the first one's)",
            "--tier easy|ordinary|hard      photos of one tier instead of widely different set-ups",
            "--side MM            side of the block (the scene's own)",
            "--only 12,15         of these seeds only",
            "--pictures FOLDER    the corners found, drawn on each photo",
            "--keep FOLDER        rendered photos are kept there and taken from there the next time",
            "--log FILE           each photo's row is added to it",
            "--quiet              the summary only",
        ], "tools/bench corners --count 100 --seed 9700 --quiet"),
        new("path", "Time of the travel path from all four corners, by the number of lines.", ["[runs] (15)"], "tools/bench path 5"),
        new("pairs", "False alarms and interval coverage of the comparison on invented pairs of blocks.",
        [
            "[pairs] (1000)",
            "--seed S             first seed (1)",
            "--case NAME          one kind of pair only",
            "--out FILE           the table is written there too",
        ], "tools/bench pairs 200 --seed 5"),
        new("web", "The workbench in a real browser: photo dropped to overlay drawn, script time of a redraw, weight of the first page.", ["[runs] (3)"], "tools/bench web 3"),
        new("speed", "Time of each stage against decoding the same JPEG, growth with pixels and lines, and the plain way beside it.",
        [
            "[runs] (5) [stages] [pixels] [lines] [plain]      without names all four parts",
            "one FILE SIDE-MM GRID:SPACING-MM      one photo's time and peak memory",
        ], "tools/bench speed 5 stages"),
        new("memory", "Growth of memory over many measures of a small photo.", ["[measures] (2000)"], "tools/bench memory 400"),
        new("peak", "Peak memory of one photo of 12 to 192 megapixels, each in a process of its own.", ["[megapixels ...] (12 48 100 192)"], "tools/bench peak 12 48"),
        new("batch", "Throughput of a batch on one core and on two.", ["[photos] (60)"], "tools/bench batch 60"),
        new("marks", "Drawn marks against rendered truth: error of place and coverage, and marks claimed where there are none.",
            ["[marked scenes] (10) [unmarked scenes] (10) [first seed] (30000) [side in mm] (110) [verbose [lines]]"], "tools/bench marks 4 4 31000"),
        new("refusals", "Invented bad photos of every kind, which must be refused or cautioned, and good ones, which must not be refused.",
            ["[bad] (60) [good] (60) [first seed] (50000) [side in mm] (100)"], "tools/bench refusals 12 12 51000"),
    ];

    /// <summary>One line for each bench.</summary>
    public static string List =>
        "tools/bench NAME [words]; tools/bench NAME --help tells the words.\n" + string.Concat(All.Select(e => $"  {e.Name,-10} {e.What}\n"));

    /// <summary>What a call asks to be told instead of a bench being run; null where one is to be run.</summary>
    public static string? Asked(string[] args)
    {
        if (args.Length == 0) return null;
        if (args is ["--help" or "-h" or "help"]) return List;
        if (!args.Skip(1).Any(a => a is "--help" or "-h" or "help")) return null;
        return All.FirstOrDefault(e => e.Name == args[0]) is not { } entry ? null
            : $"tools/bench {entry.Name}: {entry.What}\n\n" + string.Concat(entry.Words.Select(w => $"  {w}\n")) + $"\nIn round brackets what is taken without a word.\nExample: {entry.Example}\n";
    }
}
