using Analyzer.Core.Pattern;
using Analyzer.Testing;
using Analyzer.Testing.Colour;

namespace MakeTestImages;

/// <param name="About">What the photo shows and what it is for, one sentence for the README.</param>
internal sealed record SampleScene(string Name, string TakenOn, string About, SceneSettings Settings);

/// <summary>The photos of testimages/, each by hand. Invented scenario: the Thursday sewing circle of the village of Fernbrook.</summary>
internal static class SampleScenes
{
    private const double Inch = 25.4;

    public static IReadOnlyList<SampleScene> All { get; } =
    [
        new("sample", "2026:03:12 10:14:05", "Ida's first triangle block: navy thread on cream cotton with a sage border, on the kitchen table. The sample of the README.",
            Scene(20260312, 8, 8, "triangle", 1, 4000, 3000, 11.6) with
            {
                Cloth = Cloth(Weave.Plain, 0.34, 0.12, 0xefe6d3), Thread = Thread(0x26365c, 0.32), Surround = Border(0x8fa083, 22),
                Stitch = Hand(1), Table = new TableSettings { Kind = TableKind.Wood, Colour = LinearRgb.FromHex(0xb98a5c), TurnDeg = 4, Clutter = [Clutter.Spool] },
                Camera = View(4000, 3000, 10.9, 4, 60, -2.5, 0.008), Light = new LightSettings { FromDeg = 135, ElevationDeg = 42, Ambient = 0.42 },
            }),
        new("square-6in", "2026:03:12 10:31:40", "Tomas, six inches, lines across and down 3/4 inch apart: rust thread on pale grey, on a cutting mat. Small photo.",
            Scene(61, 6, 6, "square", 0.75, 2048, 1536, 7.9) with
            {
                Cloth = Cloth(Weave.Lawn, 0.25, 0.08, 0xd9dcd8), Thread = Thread(0xa5401c, 0.3), Surround = Border(0x4d5d73, 14) with { Mitred = true },
                Stitch = Hand(0.8), Table = new TableSettings { Kind = TableKind.CuttingMat, Colour = LinearRgb.FromHex(0x2f6a4f), TurnDeg = -6 },
                Camera = View(2048, 1536, 7.9, 10, 250, 3, 0.012), Light = new LightSettings { FromDeg = 60, ElevationDeg = 50, Ambient = 0.5 },
            }),
        new("diamond-dots", "2026:03:19 10:05:12", "Ida again, on point one inch apart, over a dotted print: the stitching runs through the dots.",
            Scene(73, 8, 8, "diamond", 1, 2592, 1944, 7) with
            {
                Cloth = Cloth(Weave.Plain, 0.36, 0.12, 0xe6dcc6) with { Print = Print.Dots, PrintScaleMm = 7.5, PrintTurnDeg = 12, Colours = [LinearRgb.FromHex(0xe6dcc6), LinearRgb.FromHex(0xb89a8e), LinearRgb.FromHex(0x9fb0a8)] },
                Thread = Thread(0x6a1f2d, 0.3), Surround = Border(0x9c5a52, 24), Stitch = Hand(1.1),
                Table = new TableSettings { Kind = TableKind.Cloth, Colour = LinearRgb.FromHex(0x8a94a0), TurnDeg = 3 }, Camera = View(2592, 1944, 7, 12, 20, 4, -0.01), Light = new LightSettings { FromDeg = 200, ElevationDeg = 48, Ambient = 0.5 },
            }),
        new("triangle-stripes", "2026:03:19 10:22:33", "Light thread on dark: ecru on a blue striped print.",
            Scene(84, 8, 8, "triangle", 1, 3000, 2250, 8.9) with
            {
                Cloth = Cloth(Weave.Twill, 0.34, 0.13, 0x27405f) with { Print = Print.Stripes, PrintScaleMm = 9, PrintTurnDeg = 84, Colours = [LinearRgb.FromHex(0x27405f), LinearRgb.FromHex(0x3d5f80), LinearRgb.FromHex(0x5b7a92)] },
                Thread = Thread(0xefe6cc, 0.33), Surround = Border(0xcfc5ae, 26), Stitch = Hand(1),
                Table = new TableSettings { Kind = TableKind.Plain, Colour = LinearRgb.FromHex(0xcfcac0) },
                Camera = View(3000, 2250, 8.3, 8, 120, -4, 0.01), Light = new LightSettings { FromDeg = 320, ElevationDeg = 45, Ambient = 0.45 },
            }),
        new("triangle45-tone", "2026:03:26 10:09:51", "Tone on tone: sand thread on sand linen, diagonals and horizontals; only shadow and a slight colour difference show the stitching.",
            Scene(95, 8, 8, "triangle45", 1.5, 3264, 2448, 9.7) with
            {
                Cloth = Cloth(Weave.Linen, 0.45, 0.13, 0xd8c7a8), Thread = Thread(LinearRgb.FromHex(0xd8c7a8).ShiftedInLab(9.5, -1, 0.35, 0.3), 0.36),
                Surround = Border(0x7d6a52, 20), Stitch = Hand(0.9), Light = new LightSettings { FromDeg = 150, ElevationDeg = 38, Ambient = 0.42 },
                Table = new TableSettings { Kind = TableKind.CuttingMat, Colour = LinearRgb.FromHex(0x3a6f8f), TurnDeg = -4 }, Camera = View(3264, 2448, 9.2, 6, 300, 2, 0.006),
            }),
        new("square-floral-12in", "2026:03:26 10:40:18", "Twelve inches, 1 1/2 inch apart, plum thread over a floral print; twelve megapixels.",
            Scene(106, 12, 12, "square", 1.5, 4000, 3000, 8.2) with
            {
                Cloth = Cloth(Weave.Plain, 0.32, 0.1, 0xf0e8dc) with { Print = Print.Floral, PrintScaleMm = 21, Colours = [LinearRgb.FromHex(0xf0e8dc), LinearRgb.FromHex(0xd9a0a0), LinearRgb.FromHex(0xc9b27a), LinearRgb.FromHex(0x9db08c)] },
                Thread = Thread(0x3f1f4a, 0.34), Surround = Border(0x74886e, 20), Stitch = Hand(1),
                Table = new TableSettings { Kind = TableKind.Wood, Colour = LinearRgb.FromHex(0xd8bb90), TurnDeg = 91 }, Camera = View(4000, 3000, 8.2, 5, 200, 1.5, 0.012), Light = new LightSettings { FromDeg = 110, ElevationDeg = 50, Ambient = 0.5 },
            }),
        new("diamond60-variegated", "2026:04:02 10:02:27", "Variegated thread (rust to gold to teal) on grey-blue cloth, lines at 60 degrees.",
            Scene(117, 6, 6, "diamond60", 1, 2304, 1728, 8.8) with
            {
                Cloth = Cloth(Weave.Plain, 0.4, 0.14, 0xb9c3cc), GridName = "diamond60:1in",
                Thread = Thread(0xa13c20, 0.34) with { Colours = [LinearRgb.FromHex(0xa13c20), LinearRgb.FromHex(0xd29a33), LinearRgb.FromHex(0x2c7a78), LinearRgb.FromHex(0x33406e)], ColourRunMm = 120 },
                Surround = Border(0x39495c, 16), Stitch = Hand(1), Camera = View(2304, 1728, 8.8, 9, 330, -3, -0.008),
                Light = new LightSettings { FromDeg = 30, ElevationDeg = 46, Ambient = 0.48 }, Table = new TableSettings { Kind = TableKind.Wood, Colour = LinearRgb.FromHex(0x7a5638), TurnDeg = 92 },
            }),
        new("triangle-marks", "2026:04:02 10:25:44", "Blue pen marks still on the cloth; the ruler slipped on some of them, and the red thread follows the marks only roughly.",
            Scene(128, 8, 8, "triangle", 1, 3200, 2400, 9.4) with
            {
                Cloth = Cloth(Weave.Plain, 0.36, 0.11, 0xf2ede2), Thread = Thread(0x9c2430, 0.31), Surround = Border(0xc6b07a, 24), Stitch = Hand(0.9),
                Marks = new MarkSettings { Kind = MarkKind.BluePen, WidthMm = 0.6, Strength = 0.55, Colour = LinearRgb.FromHex(0x4a88d8), OffsetSdMm = 0.45, AngleSdDeg = 0.14, WobbleMm = 0.04, Followed = 1 },
                Table = new TableSettings { Kind = TableKind.Plain, Colour = LinearRgb.FromHex(0xb4aea2), TurnDeg = 3 }, Camera = View(3200, 2400, 8.6, 9, 45, 2, 0.01), Light = new LightSettings { FromDeg = 240, ElevationDeg = 50, Ambient = 0.5 },
            }),
        new("square-missing", "2026:04:09 10:11:02", "One line was forgotten.",
            Scene(139, 6, 6, "square", 0.75, 2240, 1680, 8.6) with
            {
                Cloth = Cloth(Weave.Sateen, 0.3, 0.07, 0xa9bfb4), Thread = Thread(0x1f3d33, 0.3), Surround = Border(0xe3dac6, 15),
                Stitch = Hand(1) with { MissingLines = 1 }, Camera = View(2240, 1680, 8.2, 7, 160, -2, 0.01),
                Table = new TableSettings { Kind = TableKind.CuttingMat, Colour = LinearRgb.FromHex(0x55606a), TurnDeg = 5, Clutter = [Clutter.Pins] },
            }),
        new("diamond-extra", "2026:04:09 10:36:29", "Two lines too many: a wandering repair and a doubled run.",
            Scene(143, 8, 8, "diamond", 1.25, 2720, 2040, 8) with
            {
                Cloth = Cloth(Weave.Twill, 0.36, 0.12, 0xe0d3d8), Thread = Thread(0x4b2a63, 0.32), Surround = Border(0x7b6a88, 22),
                Stitch = Hand(1) with { ExtraLines = 2, LooseEnds = 2 }, Table = new TableSettings { Kind = TableKind.Cloth, Colour = LinearRgb.FromHex(0xb9a58c), TurnDeg = 3 }, Camera = View(2720, 2040, 7.4, 8, 280, 3, 0.014),
            }),
        new("before", "2026:03:05 09:58:13", "Tomas before four weeks of practice: cream thread on dark blue, diagonals and horizontals.",
            Scene(151, 8, 8, "triangle45", 1, 2880, 2160, 8.5) with
            {
                Cloth = Cloth(Weave.Plain, 0.36, 0.14, 0x2b3a55), Thread = Thread(0xf0e6cf, 0.32), Surround = Border(0x9a7b56, 22),
                Stitch = Hand(1.7) with { OffsetSdMm = 0.55, PitchSpread = 0.14 }, Camera = View(2880, 2160, 8, 10, 80, -3, 0.01),
            }),
        new("after", "2026:04:09 10:55:47", "Tomas after four weeks: same grid, same cloth, a steadier hand.",
            Scene(162, 8, 8, "triangle45", 1, 2880, 2160, 8.6) with
            {
                Cloth = Cloth(Weave.Plain, 0.36, 0.14, 0x2b3a55), Thread = Thread(0xf0e6cf, 0.32), Surround = Border(0x9a7b56, 22),
                Stitch = Hand(0.75) with { OffsetSdMm = 0.3, PitchSpread = 0.08 }, Camera = View(2880, 2160, 8.1, 6, 230, 2, 0.01),
                Light = new LightSettings { FromDeg = 115, ElevationDeg = 46, Ambient = 0.45 },
            }),
        new("rectangle-tilt-card", "2026:04:16 10:03:31", "Eight by six inches, photographed aslant (18 degrees), an ID-1 card beside it; charcoal thread on ochre.",
            Scene(173, 8, 6, "square", 1, 3000, 2250, 7.8) with
            {
                Cloth = Cloth(Weave.Plain, 0.42, 0.15, 0xd6b36a), Thread = Thread(0x2a2a2e, 0.3), Surround = new SurroundSettings { Kind = Surround.Binding, WidthMm = 9, Colour = LinearRgb.FromHex(0x5a3328) },
                Stitch = Hand(1), Camera = View(3000, 2250, 8.6, 18, 100, 5, 0.02) with { ShiftXPx = -255 },
                Table = new TableSettings { Kind = TableKind.Plain, Colour = LinearRgb.FromHex(0x8b9399), Clutter = [Clutter.Card] },
            }),
    ];

    private static SceneSettings Scene(int seed, double widthIn, double heightIn, string grid, double spacingIn, int widthPx, int heightPx, double pixelsPerMm)
    {
        var size = new BlockSize(widthIn * Inch, heightIn * Inch);
        string spacing = spacingIn.ToString("0.##", System.Globalization.CultureInfo.InvariantCulture);
        return new SceneSettings
        {
            Seed = seed,
            Size = size,
            Families = SceneSettings.NamedFamilies(grid, spacingIn * Inch, size),
            GridName = $"{grid}:{spacing}in",
            Tier = Tier.Ordinary,
            Relief = new ReliefSettings { HeightMm = 1.5, RiseMm = 3.8, Roundness = 1.2, WrinkleMm = 0.09, FurrowShadow = 0.2, FurrowDepth = 0.12 },
            Light = new LightSettings { FromDeg = 130, ElevationDeg = 45, Ambient = 0.45 },
            Camera = new CameraSettings { WidthPx = widthPx, HeightPx = heightPx, PixelsPerMm = pixelsPerMm },
            Finish = new FinishSettings { BlurPx = 0.65, Vignetting = 0.16, Unevenness = 0.14, NoiseLevels = 1.6, Exposure = 0.86, RedGain = 1.03, BlueGain = 0.95, Contrast = 0.3, Sharpening = 0.3, JpegQuality = 84 },
        };
    }

    private static CameraSettings View(int width, int height, double pixelsPerMm, double tilt, double toward, double roll, double k1) => new()
    {
        WidthPx = width,
        HeightPx = height,
        PixelsPerMm = pixelsPerMm,
        TiltDeg = tilt,
        TiltTowardDeg = toward,
        RollDeg = roll,
        K1 = k1,
        FocalFactor = 0.78,
    };

    private static ClothSettings Cloth(Weave weave, double yarnMm, double contrast, int colour) => new()
    {
        Weave = weave,
        YarnMm = yarnMm,
        WeaveContrast = contrast,
        Colours = [LinearRgb.FromHex(colour)],
    };

    private static ThreadSettings Thread(int colour, double widthMm) => Thread(LinearRgb.FromHex(colour), widthMm);

    private static ThreadSettings Thread(LinearRgb colour, double widthMm) => new() { Colours = [colour], WidthMm = widthMm, Twist = 0.16, TwistPitchMm = 0.55, HoleDarkness = 0.4 };

    private static SurroundSettings Border(int colour, double widthMm) => new() { WidthMm = widthMm, Colour = LinearRgb.FromHex(colour) };

    /// <summary>An ordinary practised hand; 2 is a beginner's.</summary>
    private static StitchSettings Hand(double skill) => new()
    {
        PitchMm = 2.5,
        PitchSpread = 0.09,
        HoleJitterMm = 0.045,
        OffsetSdMm = 0.32 * skill,
        AngleSdDeg = 0.13 * skill,
        BowSdMm = 0.25 * skill,
        WobbleLongMm = 0.26 * skill,
        WobbleMidMm = 0.13 * skill,
        WobbleShortMm = 0.04 * skill,
        EndSdMm = 0.4,
        DistortionMm = 0.15,
        HoleGapMm = 0.18,
    };
}
