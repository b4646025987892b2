using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing;

public sealed partial record SceneSettings
{
    /// <summary>
    /// Widely different set-ups for finding the block: any surround, colours alike or not, turned in the picture, tilted up to 25 degrees,
    /// things at the rim, soft shadows, sometimes an ID-1 card beside the block.
    /// </summary>
    /// <remarks>The block is turned by at most 44 degrees, so that "top-left" stays what is seen; in a quarter of the scenes the grid itself is turned by 90 degrees.</remarks>
    public static SceneSettings RandomSetup(int seed, double? sideMm = null)
    {
        var random = new SeededRandom(seed, "setup");
        Tier tier = random.Chance(0.3) ? Tier.Easy : random.Chance(0.75) ? Tier.Ordinary : Tier.Hard;
        SceneSettings scene = Random(seed + 100_000, tier, sideMm);
        SurroundSettings surround = Places.Any(random, scene.Cloth);
        bool card = random.Chance(0.3);
        var clutter = new List<Clutter>();
        if (card) clutter.Add(Clutter.Card);
        foreach (Clutter item in new[] { Clutter.Ruler, Clutter.Scissors, Clutter.Hand, Clutter.Spool, Clutter.Pins })
            if (random.Chance(item == Clutter.Hand ? 0.15 : 0.25)) clutter.Add(item);
        double tilt = random.Uniform(0, 25), roll = random.Chance(0.5) ? random.Uniform(-8, 8) : random.Uniform(-44, 44);
        scene = scene with
        {
            Seed = seed,
            Surround = surround,
            Families = random.Chance(0.25) ? [.. scene.Families.Select(f => Turned(f, scene.Size))] : scene.Families,
            Table = scene.Table with { Clutter = clutter, CardScale = card && random.Chance(0.5) ? random.Uniform(0.98, 1.025) : 1 },
            Camera = scene.Camera with { TiltDeg = tilt, TiltTowardDeg = random.Uniform(0, 360), RollDeg = roll, ShiftXPx = 0, ShiftYPx = 0 },
            Finish = scene.Finish with { SoftShadow = random.Chance(0.35) ? random.Uniform(0.2, 0.55) : 0 },
            Description = $"{scene.Description}; {Name(surround.Kind)}, tilt {tilt:0}°, turned {roll:0}°{(card ? ", card" : "")}",
        };
        double margin = card ? 5 + Scene.ClutterMaker.CardHeightMm + Math.Min(surround.WidthMm, 45) + 8 : double.NaN;
        return scene.Framed(random, margin);
    }

    private static LineFamily Turned(LineFamily f, BlockSize size) =>
        new(f.AngleDeg > 90 ? f.AngleDeg - 90 : f.AngleDeg + 90, f.SpacingMm, new BlockPoint(0, size.HeightMm));

    private static string Name(Surround kind) => kind switch
    {
        Testing.Surround.Border => "border",
        Testing.Surround.Binding => "binding",
        Testing.Surround.TableOnly => "straight on the table",
        Testing.Surround.DitchOnly => "stitched ditch only",
        _ => "part of a larger quilt",
    };
}
