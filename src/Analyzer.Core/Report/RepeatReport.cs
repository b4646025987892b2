namespace Analyzer.Core.Report;

/// <summary>Several photos of one block taken together: means, and how well a photo repeats (ISO 5725-2 formulas).</summary>
/// <param name="Photos">File names of the photos that were pooled, in the order given.</param>
/// <param name="Measures">One entry for each kind of number.</param>
/// <param name="Remarks">What the maker should know, in plain words.</param>
public sealed record RepeatReport(IReadOnlyList<string> Photos, IReadOnlyList<RepeatMeasure> Measures, IReadOnlyList<string> Remarks)
{
    public const string SchemaName = "stitch-accuracy-repeats/1";

    public string Schema { get; init; } = SchemaName;

    /// <summary>Whether the photos show one block: otherwise nothing is pooled.</summary>
    public bool IsOneBlock { get; init; } = true;
}

/// <summary>One kind of number over all lines or crossings that every photo measured.</summary>
/// <param name="Name">"wobble", "whole width", "offset", "angle" or "crossing".</param>
/// <param name="Unit">"mm" or "deg".</param>
/// <param name="RepeatabilitySd">s_r: spread of one line's number from photo to photo, the square root of the mean square within lines.</param>
/// <param name="SmallestChangeOnePhoto">2.8 s_r: two single photos of an unchanged block differ by less in 95 of 100 cases (ISO 5725-6, 4.1).</param>
/// <param name="SmallestChangeMean">The same for the means of as many photos as were pooled here.</param>
/// <param name="Reliability">Intraclass correlation (3,1) of Shrout and Fleiss: 1 = the photos rank the lines alike; null where it cannot be told.</param>
public sealed record RepeatMeasure(
    string Name, string Unit, double RepeatabilitySd, double SmallestChangeOnePhoto, double SmallestChangeMean, double? Reliability, IReadOnlyList<RepeatItem> Items);

/// <param name="Id">Line or crossing.</param>
/// <param name="Values">One value a photo.</param>
/// <param name="Sd">Standard deviation of these values.</param>
public sealed record RepeatItem(string Id, double Mean, double Sd, IReadOnlyList<double> Values);
