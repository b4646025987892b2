using Analyzer.Cli.Shell;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;
using Xunit.Abstractions;

namespace Analyzer.EndToEnd.Tests.RealPhotos;

/// <summary>
/// Finding corners in photographs of printed boards. They are no quilt blocks: another outline (paper, clipboard, printed field) always fits nearly as well.
/// What is asked of the finder is that it says so, and that a place it is sure of is right. Sizes are scaled so that the photographs have pixels enough.
/// </summary>
public sealed class BoardCornerTests(ITestOutputHelper output)
{
    /// <summary>A corner that is farther off than this share of the side counts as wrong: 2 mm on a block of 8 in.</summary>
    private const double WrongShare = 0.01;

    /// <summary>Photo, width and height (mm), grid, and the corners as marked by hand on enlarged cuttings (to about half a pixel), or "" where no outline of that size is there to be found.</summary>
    public static TheoryData<string, double, double, string, string> Boards => new()
    {
        { "charuco_board_original.jpg", 50, 70, "square:10mm", "212.3,56.3 441.0,90.5 419.4,433.3 103.0,379.5" },
        { "left01.jpg", 57.5, 46, "square:6.25mm", "" },
        { "left05.jpg", 57.5, 46, "square:6.25mm", "" },
        { "right03.jpg", 57.5, 46, "square:6.25mm", "" },
        { "aruco_diamonds.png", 50, 50, "square:12.5mm", "" },
        { "graph_pad.jpg", 216, 280, "square:6.35mm", "" },
    };

    [SkippableTheory]
    [MemberData(nameof(Boards))]
    public void Finder_IsRightOrSaysThatItIsNotSure(string name, double widthMm, double heightMm, string pattern, string marked)
    {
        if (Find(name, widthMm, heightMm, pattern) is not { } found) return;
        double worst = marked.Length == 0 ? double.PositiveInfinity : marked.Split(' ').Zip(found.Corners.ToArray(), (m, c) =>
        {
            double[] p = [.. m.Split(',').Select(v => double.Parse(v, System.Globalization.CultureInfo.InvariantCulture))];
            return c.DistanceTo(new PhotoPoint(p[0], p[1]));
        }).Max();
        double side = found.Corners.TopLeft.DistanceTo(found.Corners.TopRight);
        if (marked.Length > 0) output.WriteLine($"worst corner {worst:0.0} px, {100 * worst / side:0.0} % of the side, {worst * widthMm / side:0.00} mm of {widthMm} mm");
        if (found.Confidence == CornerConfidence.Low) Assert.NotEmpty(found.Doubts);
        else Assert.True(worst < WrongShare * side, $"{found.Confidence} confidence, and {worst:0.0} px off");
    }

    /// <summary>An endless printed grid has no block, and every place a whole cell away fits as well.</summary>
    [SkippableFact]
    public void EndlessGrid_IsDoubted()
    {
        FoundBlock? found = Find("line_pattern_01.jpg", 250, 210, "square:10mm");
        Assert.True(found is null || found.Confidence == CornerConfidence.Low, $"{found?.Confidence} confidence");
    }

    private FoundBlock? Find(string name, double widthMm, double heightMm, string pattern)
    {
        string path = Path.Combine(RealPhoto.Folder, "geometry", name);
        Skip.IfNot(File.Exists(path), "The real photographs are not at hand (name their folder in REAL_PHOTOS).");
        using Photo photo = PhotoReader.Read(path);
        var size = new BlockSize(widthMm, heightMm);
        FoundBlock? found = BlockFinder.Find(photo, new IntendedGrid(size, GridOptions.ParseGrid(pattern, size)));
        output.WriteLine(found is null ? $"{name}: nothing found" : $"{name}: {string.Join(' ', found.Corners.ToArray().Select(c => $"{c.X:0.0},{c.Y:0.0}"))}, u {found.Corners.UncertaintyPx:0.0} px, {found.Confidence}: {string.Join("; ", found.Doubts)}");
        return found;
    }
}
