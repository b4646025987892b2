using Analyzer.Cli.Shell;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Pipeline;
using Analyzer.Planning;

namespace Analyzer.Cli.Commands;

/// <summary>What the measure command was asked to do, read and checked.</summary>
internal sealed record MeasureOptions
{
    public static readonly string[] WithValue = [.. GridOptions.Names, "--corners", "--turn", "--units", "--stages", "--reference", "--out"];

    public static readonly string[] Flags = ["--corners-exact", "--no-pictures"];

    public required IReadOnlyList<string> Photos { get; init; }

    public required IntendedGrid Grid { get; init; }

    /// <summary>Ids in the order of sewing, from the plan; null when no plan tells it.</summary>
    public IReadOnlyList<string>? StitchingOrder { get; init; }

    /// <summary>Ids of lines sewn from their far end to their near one, from the plan; null when it does not tell.</summary>
    public IReadOnlyList<string>? Backward { get; init; }

    /// <summary>The plan's template bears corner marks.</summary>
    public bool CornerMarksExpected { get; init; }

    /// <summary>--grid unknown: the grid given holds the block's size only.</summary>
    public bool GridUnknown { get; init; }

    public BlockCorners? Corners { get; init; }

    public bool CornersExact { get; init; }

    public int TurnDeg { get; init; }

    public ReferenceChoice Reference { get; init; }

    public bool Inches { get; init; }

    public string? StagesFolder { get; init; }

    public required string OutFolder { get; init; }

    public bool WithPictures { get; init; }

    /// <summary>The options as they were typed, for repeating the run: no photo and no folder names.</summary>
    public required string Typed { get; init; }

    public static MeasureOptions Parse(IReadOnlyList<string> words)
    {
        Arguments a = Arguments.Parse(words, WithValue, Flags);
        if (a.Plain.Count == 0) throw new UserErrorException("The photo is missing: name it after measure, such as measure block.jpg --size 8in --grid square:1in --out report.");
        (IntendedGrid grid, StitchPlan? plan) = ReadGrid(a);
        BlockCorners? corners = MeasureCorners.Parse(a.Value("--corners"));
        bool exact = a.Has("--corners-exact");
        if (exact && corners is null) throw new UserErrorException("--corners-exact needs --corners with the four corners.");
        if (corners is not null && a.Plain.Count > 1) throw new UserErrorException("--corners fits one photo only; measure the photos one by one, or leave it out.");
        return new MeasureOptions
        {
            Photos = a.Plain,
            Grid = grid,
            GridUnknown = IsUnknown(a),
            StitchingOrder = plan is { LineOrder.Count: > 0 } ? plan.LineOrder : null,
            Backward = plan?.Backward,
            CornerMarksExpected = plan is { CornerMarks.Count: > 0 },
            Corners = corners,
            CornersExact = exact,
            TurnDeg = Turn(a.Value("--turn")),
            Reference = ReferenceOf(a.Value("--reference")),
            Inches = IsInches(a, plan),
            StagesFolder = a.Value("--stages"),
            OutFolder = a.Value("--out") ?? throw new UserErrorException("--out is missing: give the folder for the report, such as --out report."),
            WithPictures = !a.Has("--no-pictures"),
            Typed = AsTyped(a),
            SizeTyped = a.Value("--size") ?? string.Create(System.Globalization.CultureInfo.InvariantCulture, $"{grid.Size.WidthMm}mm x {grid.Size.HeightMm}mm"),
            CornersTyped = a.Value("--corners") is { } typed && typed != "auto" ? typed : null,
        };
    }

    private static (IntendedGrid Grid, StitchPlan? Plan) ReadGrid(Arguments a)
    {
        if (IsUnknown(a)) return (GridOptions.UnknownGrid(a), null);
        return GridOptions.ReadPlan(a) is { } plan ? (plan.Grid, plan) : (GridOptions.Parse(a), null);
    }

    private static bool IsUnknown(Arguments a) => string.Equals(a.Value("--grid")?.Trim(), "unknown", StringComparison.OrdinalIgnoreCase);

    /// <summary>The whole call that measures the same photo against another grid, ready to be copied.</summary>
    public string Again(string photo, string gridOptions)
    {
        var words = new List<string> { "measure", Quoted(photo), "--size", Quoted(SizeTyped), gridOptions };
        if (CornersTyped is { } corners) words.AddRange(["--corners", Quoted(corners)]);
        if (CornersExact) words.Add("--corners-exact");
        if (TurnDeg != 0) words.Add($"--turn {TurnDeg}");
        words.AddRange(["--out", Quoted(OutFolder)]);
        return string.Join(' ', words);
    }

    private static string Quoted(string word) => word.Any(c => char.IsWhiteSpace(c) || c == ',') ? $"\"{word}\"" : word;

    private string SizeTyped { get; init; } = "";

    private string? CornersTyped { get; init; }

    private static int Turn(string? text) => text switch
    {
        null or "0" => 0,
        "90" => 90,
        "180" => 180,
        "270" => 270,
        _ => throw new UserErrorException($"--turn \"{text}\" should be 0, 90, 180 or 270: how far the block's own top is turned clockwise in the photo."),
    };

    private static ReferenceChoice ReferenceOf(string? text) => text switch
    {
        null or "auto" => ReferenceChoice.Auto,
        "card" => ReferenceChoice.Card,
        "sheet" => ReferenceChoice.Sheet,
        "none" => ReferenceChoice.None,
        _ => throw new UserErrorException($"--reference \"{text}\" should be auto, card, sheet or none: what of known size lies beside the block."),
    };

    private static bool IsInches(Arguments a, StitchPlan? plan) => a.Value("--units") switch
    {
        "in" => true,
        "mm" => false,
        null when plan is not null => plan.Inches,
        null => (a.Value("--size") ?? "").Contains("in", StringComparison.OrdinalIgnoreCase),
        string other => throw new UserErrorException($"--units \"{other}\" should be mm or in."),
    };

    private static string AsTyped(Arguments a)
    {
        var text = new List<string>();
        foreach (string name in (string[])["--size", "--grid", "--lines", "--corners", "--turn", "--reference", "--units"])
            foreach (string value in a.Values(name)) text.Add(value.Contains(' ', StringComparison.Ordinal) ? $"{name} \"{value}\"" : $"{name} {value}");
        if (a.Value("--plan") is { } plan) text.Add($"--plan {Path.GetFileName(plan)}");
        text.AddRange(Flags.Where(a.Has));
        return string.Join(' ', text);
    }
}
