using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing;

/// <summary>Random choices of cloth, thread, marks and relief for each tier.</summary>
internal static class Materials
{
    public static (ClothSettings Cloth, ThreadSettings Thread, string Look) Pick(SeededRandom random, Tier tier) => tier switch
    {
        Tier.Easy => Contrasting(random, Plain(random, Palette.Cloth(random)), 38, "contrasting thread on plain cloth"),
        Tier.Ordinary => PickOrdinary(random),
        _ => PickHard(random),
    };

    public static ClothSettings Plain(SeededRandom random, LinearRgb colour)
    {
        Weave weave = random.Pick(Weave.Plain, Weave.Plain, Weave.Twill, Weave.Lawn, Weave.Linen, Weave.Sateen, Weave.Basket);
        return new ClothSettings
        {
            Weave = weave,
            YarnMm = weave switch { Weave.Lawn => random.Uniform(0.2, 0.28), Weave.Linen => random.Uniform(0.4, 0.6), Weave.Basket => random.Uniform(0.28, 0.4), _ => random.Uniform(0.28, 0.5) },
            WeaveContrast = weave is Weave.Lawn or Weave.Sateen ? random.Uniform(0.04, 0.1) : random.Uniform(0.08, 0.2),
            GrainDeg = random.Uniform(-3, 3),
            Colours = [colour],
            WeftTint = random.Chance(0.2) ? new LinearRgb((float)random.Uniform(0.8, 1.15), (float)random.Uniform(0.85, 1.1), (float)random.Uniform(0.8, 1.2)) : null,
        };
    }

    private static (ClothSettings, ThreadSettings, string) PickOrdinary(SeededRandom random)
    {
        Print print = random.Pick(Print.Solid, Print.Dots, Print.Stripes, Print.Floral, Print.Blobs, Print.Check, Print.Scatter);
        ClothSettings cloth = Printed(random, print, random.Uniform(10, 26));
        return Contrasting(random, cloth, 28, $"contrasting thread on {Name(print)}");
    }

    public static ClothSettings Printed(SeededRandom random, Print print, double strength)
    {
        LinearRgb ground = Palette.Cloth(random);
        return Plain(random, ground) with
        {
            Print = print,
            Colours = Palette.PrintOn(ground, strength, 1 + random.Below(3), random),
            PrintTurnDeg = random.Uniform(-90, 90),
            PrintScaleMm = print switch { Print.Dots => random.Uniform(5, 12), Print.Stripes => random.Uniform(4, 14), Print.Check => random.Uniform(6, 14), Print.Floral => random.Uniform(12, 28), Print.Scatter => random.Uniform(8, 16), _ => random.Uniform(12, 30) },
        };
    }

    private static (ClothSettings, ThreadSettings, string) PickHard(SeededRandom random)
    {
        LinearRgb light = Palette.Cloth(random, 0.7, 0.3), dark = Palette.Dark(random);
        switch (random.Below(6))
        {
            case 0:
                ClothSettings tone = Plain(random, light);
                return (tone, Thread(random, light.ShiftedInLab(random.Uniform(6, 10), -1, random.Uniform(-0.8, 0.8), random.Uniform(-0.8, 0.8))), "tone-on-tone thread on plain cloth");
            case 1:
                return (Plain(random, dark), Thread(random, dark.ShiftedInLab(random.Uniform(8, 14), random.Sign(), random.Uniform(-0.8, 0.8), random.Uniform(-0.8, 0.8))), "dark thread on dark cloth");
            case 2:
                LinearRgb[] run = [.. Enumerable.Range(0, 3 + random.Below(3)).Select(_ => LinearRgb.FromLab(random.Uniform(25, 85), random.Uniform(-40, 50), random.Uniform(-45, 50)))];
                return (Plain(random, Palette.Cloth(random)), Thread(random, run[0]) with { Colours = run, ColourRunMm = random.Uniform(40, 200) }, "variegated thread on plain cloth");
            case 3:
                ClothSettings any = Printed(random, random.Pick(Print.Solid, Print.Mottled), 16);
                return (any, Contrasting(random, any, 25, "").Item2 with { Glint = random.Uniform(0.5, 1), Twist = 0.3, TwistPitchMm = random.Uniform(0.7, 1.2) }, "metallic thread");
            case 4:
                ClothSettings mottled = Printed(random, Print.Mottled, random.Uniform(18, 32));
                return Contrasting(random, mottled, 18, "thread on mottled cloth");
            default:
                ClothSettings busy = Printed(random, random.Pick(Print.Floral, Print.Blobs, Print.Stripes, Print.Scatter), random.Uniform(26, 40));
                return Contrasting(random, busy, 16, "thread on busy " + Name(busy.Print));
        }
    }

    public static (ClothSettings Cloth, ThreadSettings Thread, string Look) Contrasting(SeededRandom random, ClothSettings cloth, double deltaE, string look) =>
        (cloth, Thread(random, Palette.ThreadAgainst(cloth.Colours, deltaE, random)), look);

    public static ThreadSettings Thread(SeededRandom random, LinearRgb colour) => new()
    {
        Colours = [colour],
        WidthMm = random.Uniform(0.2, 0.45),
        Roundness = random.Uniform(0.3, 0.8),
        Twist = random.Uniform(0.03, 0.25),
        TwistPitchMm = random.Uniform(0.35, 0.9),
        HoleDarkness = random.Uniform(0.15, 0.6),
        ContactShadow = random.Uniform(0.05, 0.35),
    };

    public static MarkSettings PickMarks(SeededRandom random, ClothSettings cloth)
    {
        bool dark = cloth.Colours[0].ToLab().L < 55;
        MarkKind kind = dark ? random.Pick(MarkKind.Chalk, MarkKind.SilverPencil) : random.Pick(MarkKind.BluePen, MarkKind.BluePen, MarkKind.Chalk);
        var marks = new MarkSettings { Kind = kind, OffsetSdMm = random.Uniform(0.15, 0.5), AngleSdDeg = random.Uniform(0.05, 0.2), WobbleMm = random.Uniform(0.02, 0.1), Followed = 1 };
        return kind switch
        {
            MarkKind.BluePen => marks with { WidthMm = random.Uniform(0.45, 1), Strength = random.Uniform(0.35, 0.75), Colour = LinearRgb.FromHex(random.Pick(0x3f7fd0, 0x5a9ae0, 0x7a6fd6)) },
            MarkKind.Chalk => marks with { WidthMm = random.Uniform(1, 2.2), Strength = random.Uniform(0.35, 0.8), Colour = LinearRgb.FromHex(dark ? random.Pick(0xf4f2ea, 0xf0d870) : random.Pick(0x8fb4e8, 0xe890a0)) },
            _ => marks with { WidthMm = random.Uniform(0.3, 0.6), Strength = random.Uniform(0.4, 0.8), Colour = LinearRgb.FromHex(0xb8bcc2) },
        };
    }

    public static ReliefSettings PickRelief(SeededRandom random, Tier tier, bool sideLight) => new()
    {
        HeightMm = random.Uniform(0.4, sideLight ? 1.3 : 1.7),
        RiseMm = random.Uniform(1.8, 6),
        Roundness = random.Uniform(1, 2),
        WrinkleMm = tier == Tier.Easy ? random.Uniform(0.03, 0.08) : random.Uniform(0.03, 0.18),
        FurrowShadow = tier switch { Tier.Easy => random.Uniform(0, 0.2), Tier.Ordinary => random.Uniform(0.05, 0.3), _ => random.Uniform(0.1, sideLight ? 0.5 : 0.35) },
        FurrowDepth = random.Uniform(0.02, 0.2),
    };

    public static string Name(Print print) => print switch
    {
        Print.Dots => "dotted print",
        Print.Stripes => "striped print",
        Print.Floral => "floral print",
        Print.Blobs => "blotched print",
        Print.Mottled => "mottled cloth",
        Print.Check => "checked cloth",
        Print.Scatter => "scattered print",
        _ => "plain cloth",
    };

    public static string Name(MarkKind kind) => kind switch
    {
        MarkKind.BluePen => "blue pen marks",
        MarkKind.Chalk => "chalk marks",
        _ => "silver pencil marks",
    };
}
