using System.Globalization;
using Analyzer.Core.Geometry;
using Analyzer.EndToEnd.Tests.Shell;
using Analyzer.Testing;

namespace Analyzer.EndToEnd.Tests.Measure;

/// <summary>One invented block, rendered once for all tests of this room: 110 mm, contrasting thread, with its truth.</summary>
public sealed class MeasuredBlock
{
    private static readonly Lazy<SyntheticPhoto> Rendered = new(() => SceneRenderer.Render(SceneSettings.Random(seed: 7, Tier.Easy, sideMm: 110)));

    private static readonly Lazy<byte[]> Encoded = new(() => Rendered.Value.ToJpeg());

    internal SyntheticPhoto Photo { get; } = Rendered.Value;

    internal byte[] Jpeg { get; } = Encoded.Value;

    /// <summary>--size and --lines that describe the block's own grid.</summary>
    internal string[] GridWords()
    {
        SceneTruth truth = Photo.Truth;
        string N(double v) => v.ToString("R", CultureInfo.InvariantCulture);
        var words = new List<string> { "--size", $"{N(truth.Grid.Size.WidthMm)}mm x {N(truth.Grid.Size.HeightMm)}mm" };
        foreach (var family in truth.Grid.Families)
            words.AddRange(["--lines", $"{N(family.AngleDeg)}deg {N(family.SpacingMm)}mm {N(family.Through.Xmm)}mm,{N(family.Through.Ymm)}mm"]);
        return [.. words];
    }

    internal string[] CornerWords() => ["--corners-exact", "--corners", string.Join(' ', Photo.Truth.Corners.ToArray().Select(Say))];

    private static string Say(PhotoPoint p) => string.Create(CultureInfo.InvariantCulture, $"{p.X:0.000},{p.Y:0.000}");
}
