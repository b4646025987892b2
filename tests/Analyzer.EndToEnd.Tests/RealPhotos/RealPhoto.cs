using System.Text.Json;
using System.Text.Json.Serialization;
using Analyzer.Cli.Shell;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.EndToEnd.Tests.RealPhotos;

/// <summary>
/// A photograph, or a part of one, with what a person marked on it by hand. The photographs themselves are not kept here: other people took them.
/// Their scale is not known; the size is chosen so that the thread is about half a millimetre wide, as sewing thread is.
/// </summary>
public sealed record RealPhoto
{
    public required string Name { get; init; }

    /// <summary>Path within the folder of photographs.</summary>
    public required string File { get; init; }

    /// <summary>"measured" or "refused": what the product does with it today.</summary>
    public required string Expect { get; init; }


    /// <summary>The code of the reason for a refusal.</summary>
    public string? Reason { get; init; }

    /// <summary>Corners of the part that is measured, photo px, marked by hand on enlarged cuttings.</summary>
    public required double[][] CornersPx { get; init; }

    public required double[] SizeMm { get; init; }

    /// <summary>The families of lines that were meant, as --lines takes them.</summary>
    public required string[] Lines { get; init; }

    /// <summary>Points on stitched lines, photo px, marked by hand before the photograph was measured; those of the jeans after it, on cuttings without traces.</summary>
    public double[][] MarksPx { get; init; } = [];

    /// <summary>Points on the stitched row where a loose thread lies beside it, photo px; marked after the product's picture was seen.</summary>
    public double[][] BesideLoosePx { get; init; } = [];

    /// <summary>Twenty of the points as marked at first, and the same ones marked again on cuttings moved by an unknown amount.</summary>
    public double[][] FirstPx { get; init; } = [];

    public double[][] AgainPx { get; init; } = [];

    [JsonIgnore]
    public string FullPath => Path.Combine(Folder, File);

    /// <summary>Standard uncertainty of one hand-marked point across its line, px: from the difference of two markings, at least a quarter pixel (a common leaning of the eye does not show in it).</summary>
    [JsonIgnore]
    public double MarkUPx => Math.Max(0.25, Math.Sqrt(FirstPx.Zip(AgainPx, (a, b) => Math.Pow(a[0] - b[0], 2) + Math.Pow(a[1] - b[1], 2)).DefaultIfEmpty(0.5).Average() / 2));

    [JsonIgnore]
    public IntendedGrid Grid
    {
        get
        {
            var size = new BlockSize(SizeMm[0], SizeMm[1]);
            return new IntendedGrid(size, Lines.Select(line => GridOptions.ParseLines(line, size)));
        }
    }

    [JsonIgnore]
    public BlockCorners Corners => BlockCorners.FromArray([.. CornersPx.Select(p => new PhotoPoint(p[0], p[1]))], 0.5);

    /// <summary>Pixels per millimetre, from the mean of the four sides.</summary>
    [JsonIgnore]
    public double PixelsPerMm
    {
        get
        {
            PhotoPoint[] c = Corners.ToArray();
            return (c[0].DistanceTo(c[1]) / SizeMm[0] + c[1].DistanceTo(c[2]) / SizeMm[1] + c[2].DistanceTo(c[3]) / SizeMm[0] + c[3].DistanceTo(c[0]) / SizeMm[1]) / 4;
        }
    }

    private static readonly JsonSerializerOptions Web = new(JsonSerializerDefaults.Web);

    /// <summary>The folder named by REAL_PHOTOS, or shared/realphotos beside or above the project; empty when there is none.</summary>
    public static string Folder { get; } = Find();

    public static IReadOnlyList<RealPhoto> All { get; } = JsonSerializer.Deserialize<RealPhoto[]>(
        System.IO.File.ReadAllText(Path.Combine(AppContext.BaseDirectory, "RealPhotos", "realphotos.json")), Web)!;

    public override string ToString() => $"{File}: {Name}";

    private static string Find()
    {
        if (Environment.GetEnvironmentVariable("REAL_PHOTOS") is { Length: > 0 } named) return named;
        for (DirectoryInfo? at = new(AppContext.BaseDirectory); at is not null; at = at.Parent)
            if (Path.Combine(at.FullName, "shared", "realphotos") is var folder && Directory.Exists(folder)) return folder;
        return "";
    }
}
