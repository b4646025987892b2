using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;
using Analyzer.Testing.Scene;

namespace Analyzer.Testing;

public sealed partial record SceneSettings
{
    /// <summary>An invented photo of the given hardness; every seed is another block, cloth, thread, light and camera.</summary>
    /// <param name="sideMm">Side of the (square) block in mm, to keep tests small; null = usual sizes from 6 to 12 inches.</param>
    public static SceneSettings Random(int seed, Tier tier, double? sideMm = null)
    {
        var random = new SeededRandom(seed, "settings " + tier);
        BlockSize size = PickSize(random, sideMm);
        (string name, IReadOnlyList<LineFamily> families) = PickGrid(random, size);
        (ClothSettings cloth, ThreadSettings thread, string look) = Materials.Pick(random, tier);
        if (tier != Tier.Easy && random.Chance(0.15))
            cloth = cloth with { SeamAt = random.Uniform(0.25, 0.75), SeamUpright = random.Chance(0.5), SeamStep = (float)random.Uniform(0.8, 1.1) };
        SurroundSettings surround = Places.Border(random, cloth);
        double ppm = tier switch { Tier.Easy => random.Uniform(8, 12), Tier.Ordinary => random.Uniform(6, 11), _ => random.Uniform(5, 11) };
        if (size.WidthMm > 220) ppm = Math.Min(ppm, 9.5);
        bool sideLight = tier == Tier.Hard && random.Chance(0.35);
        MarkSettings? marks = tier != Tier.Easy && random.Chance(0.35) ? Materials.PickMarks(random, cloth) : null;
        var settings = new SceneSettings
        {
            Seed = seed,
            Tier = tier,
            Size = size,
            Families = families,
            GridName = name,
            Cloth = cloth,
            Thread = thread,
            Surround = surround,
            Marks = marks,
            Stitch = PickStitching(random, tier),
            Relief = Materials.PickRelief(random, tier, sideLight),
            Light = new LightSettings
            {
                FromDeg = random.Uniform(0, 360),
                ElevationDeg = sideLight ? random.Uniform(18, 30) : random.Uniform(38, 70),
                Ambient = sideLight ? random.Uniform(0.3, 0.45) : random.Uniform(0.4, 0.65),
                Second = random.Chance(0.3) ? random.Uniform(0.2, 0.6) : 0,
                SecondTurnDeg = random.Uniform(60, 300),
            },
            Table = Places.Table(random, tier == Tier.Easy ? 0.2 : 0.5),
            Camera = new CameraSettings
            {
                WidthPx = 10,
                HeightPx = 10,
                PixelsPerMm = ppm,
                TiltDeg = tier switch { Tier.Easy => random.Uniform(0, 6), Tier.Ordinary => random.Uniform(0, 18), _ => random.Uniform(0, 20) },
                TiltTowardDeg = random.Uniform(0, 360),
                RollDeg = random.Uniform(-6, 6),
                FocalFactor = random.Uniform(0.72, 1.3),
                K1 = random.Sign() * (tier == Tier.Easy ? random.Uniform(0, 0.01) : random.Uniform(0.002, 0.03)),
                K2 = random.Uniform(-0.004, 0.004),
            },
            Description = $"{look}{(sideLight ? ", raking side light" : "")}{(marks is { } m ? ", " + Materials.Name(m.Kind) : "")}",
        };
        return (settings with { Finish = PickFinish(random, tier, cloth, settings.Table.Colour, surround.Colour) }).Framed(random);
    }

    /// <summary>The same scene with a picture just large enough for block, part of the surround and some table.</summary>
    internal SceneSettings Framed(SeededRandom random, double marginMm = double.NaN)
    {
        double margin = double.IsNaN(marginMm) ? Math.Min(Surround.WidthMm, 40) * random.Uniform(0.5, 1.1) + random.Uniform(3, 20) : marginMm;
        // Most people fill the picture with the block.
        if (double.IsNaN(marginMm)) margin = Math.Min(margin, 0.2 * Math.Min(Size.WidthMm, Size.HeightMm));
        double needW = Size.WidthMm + 2 * margin, needH = Size.HeightMm + 2 * margin;
        double roll = Camera.RollDeg * Math.PI / 180, c = Math.Abs(Math.Cos(roll)), s = Math.Abs(Math.Sin(roll));
        double across = needW * c + needH * s, down = needW * s + needH * c, ratio = random.Chance(0.7) ? 4.0 / 3 : 3.0 / 4;
        double width = Math.Max(across, down * ratio) * Camera.PixelsPerMm;
        for (int attempt = 0; ; attempt++)
        {
            int w = (int)Math.Round(width / 4) * 4, h = (int)Math.Round(width / ratio / 4) * 4;
            SceneSettings framed = this with
            {
                Camera = Camera with { WidthPx = w, HeightPx = h, ShiftXPx = Camera.ShiftXPx + (attempt == 0 ? random.Uniform(-0.02, 0.02) * w : 0), ShiftYPx = Camera.ShiftYPx + (attempt == 0 ? random.Uniform(-0.02, 0.02) * h : 0) },
            };
            var camera = new CameraModel(framed.Camera, Size);
            bool fits = Size.Corners().All(p =>
            {
                PhotoPoint q = camera.Project(p.Xmm, p.Ymm);
                return q.X > 0.03 * w && q.Y > 0.03 * h && q.X < 0.97 * w && q.Y < 0.97 * h;
            });
            if (fits || attempt > 40) return framed;
            width *= 1.04;
        }
    }

    private static double Brightness(LinearRgb c) => 0.3 * c.R + 0.59 * c.G + 0.11 * c.B;

    private static BlockSize PickSize(SeededRandom random, double? sideMm)
    {
        if (sideMm is { } side) return new BlockSize(side, side);
        double p = random.NextDouble();
        if (p < 0.3) return new BlockSize(152.4, 152.4);
        if (p < 0.4) return new BlockSize(203.2, 152.4);
        if (p < 0.75) return new BlockSize(203.2, 203.2);
        if (p < 0.9) return new BlockSize(254, 254);
        return new BlockSize(304.8, 304.8);
    }

    /// <summary>Nobody plans a line this close beside the finished edge over its whole length, mm.</summary>
    private const double NearestToEdgeMm = 3.5;

    private static (string Name, IReadOnlyList<LineFamily> Families) PickGrid(SeededRandom random, BlockSize size)
    {
        while (true)
        {
            (string name, IReadOnlyList<LineFamily> families) = PickAnyGrid(random, size);
            if (!new IntendedGrid(size, families).Lines.Any(line => HugsEdge(line, size))) return (name, families);
        }
    }

    private static bool HugsEdge(GridLine line, BlockSize size)
    {
        bool Both(Func<BlockPoint, double> gap) => gap(line.From) < NearestToEdgeMm && gap(line.To) < NearestToEdgeMm;
        return Both(p => p.Xmm) || Both(p => p.Ymm) || Both(p => size.WidthMm - p.Xmm) || Both(p => size.HeightMm - p.Ymm);
    }

    private static (string Name, IReadOnlyList<LineFamily> Families) PickAnyGrid(SeededRandom random, BlockSize size)
    {
        string name = random.Pick("square", "diamond", "triangle", "triangle45", "triangle", "diamond60");
        double inches = size.WidthMm < 130 ? random.Pick(0.75, 1.0) : size.WidthMm < 210 ? random.Pick(0.75, 1.0, 1.0, 1.25) : random.Pick(1.0, 1.5, 2.0);
        string text = inches.ToString("0.##", System.Globalization.CultureInfo.InvariantCulture);
        return ($"{name}:{text}in", NamedFamilies(name, inches * 25.4, size));
    }

    private static StitchSettings PickStitching(SeededRandom random, Tier tier)
    {
        double skill = Math.Clamp(Math.Exp(0.45 * random.Gaussian()), 0.45, 1.8);
        return new StitchSettings
        {
            PitchMm = random.Uniform(2, 3.2),
            PitchSpread = random.Uniform(0.04, 0.14),
            HoleJitterMm = random.Uniform(0.03, 0.07),
            OffsetSdMm = 0.35 * skill * random.Uniform(0.5, 1.5),
            AngleSdDeg = 0.15 * skill * random.Uniform(0.5, 1.5),
            BowSdMm = 0.25 * skill * random.Uniform(0.3, 1.5),
            WobbleLongMm = 0.22 * skill * random.Uniform(0.5, 1.5),
            WobbleMidMm = 0.12 * skill * random.Uniform(0.5, 1.5),
            WobbleShortMm = 0.04 * skill * random.Uniform(0.5, 1.5),
            EndSdMm = random.Uniform(0.2, 0.9),
            DistortionMm = random.Uniform(0.03, 0.35),
            HoleGapMm = random.Uniform(0.08, 0.35),
            MissingLines = random.Chance(tier == Tier.Easy ? 0.1 : 0.25) ? 1 + random.Below(2) : 0,
            ExtraLines = random.Chance(tier == Tier.Easy ? 0.05 : 0.2) ? 1 + random.Below(2) : 0,
            LooseEnds = random.Chance(tier == Tier.Hard ? 0.4 : 0.15) ? 1 + random.Below(3) : 0,
        };
    }

    internal static FinishSettings PickFinish(SeededRandom random, Tier tier, ClothSettings cloth, LinearRgb table, LinearRgb surround)
    {
        // Exposure as a camera would set it, from the whole picture.
        double ground = 0.6 * cloth.Colours.Average(Brightness) + 0.2 * Brightness(table) + 0.2 * Brightness(surround);
        double exposure = Math.Clamp(0.34 / ground, 0.6, 2.4) * random.Uniform(0.8, 1.15);
        return new FinishSettings
        {
            BlurPx = tier == Tier.Hard ? random.Uniform(0.55, 1.2) : random.Uniform(0.5, 0.9),
            MotionPx = tier != Tier.Easy && random.Chance(0.15) ? random.Uniform(0.5, 1.6) : 0,
            MotionDeg = random.Uniform(0, 180),
            FringePx = tier != Tier.Easy && random.Chance(0.35) ? random.Uniform(0.15, 0.8) : 0,
            Vignetting = random.Uniform(0.03, 0.3),
            Unevenness = random.Uniform(0, tier == Tier.Easy ? 0.15 : 0.35),
            UnevenTowardDeg = random.Uniform(0, 360),
            SoftShadow = tier != Tier.Easy && random.Chance(0.2) ? random.Uniform(0.15, 0.5) : 0,
            Exposure = exposure,
            RedGain = random.Uniform(0.92, 1.12),
            BlueGain = random.Uniform(0.85, 1.08),
            NoiseLevels = random.Uniform(0.8, tier == Tier.Hard ? 4 : 2.5) * Math.Sqrt(Math.Max(1, exposure)),
            Sharpening = random.Chance(0.7) ? random.Uniform(0.1, 0.6) : 0,
            Contrast = random.Uniform(0, 0.45),
            JpegQuality = 80 + random.Below(14),
        };
    }
}
