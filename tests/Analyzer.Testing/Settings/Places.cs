using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing;

/// <summary>Random choices of surround and table.</summary>
internal static class Places
{
    public static SurroundSettings Border(SeededRandom random, ClothSettings cloth)
    {
        LinearRgb colour = Palette.ClothAgainst(cloth.Colours, 22, random);
        bool print = random.Chance(0.3);
        return new SurroundSettings
        {
            Kind = random.Chance(0.8) ? Surround.Border : Surround.Binding,
            WidthMm = random.Uniform(8, 40),
            Colour = colour,
            Mitred = random.Chance(0.4),
            Print = print ? random.Pick(Print.Dots, Print.Stripes, Print.Scatter, Print.Blobs) : Print.Solid,
            PrintColour = colour.ShiftedInLab(20, colour.ToLab().L > 50 ? -1 : 1, 0.4, 0.4),
            DitchStitched = random.Chance(0.7),
            SeamDarkness = random.Uniform(0.3, 0.6),
        };
    }

    /// <summary>Any of the kinds of surround, its colour near to or far from the block's own.</summary>
    public static SurroundSettings Any(SeededRandom random, ClothSettings cloth)
    {
        SurroundSettings border = Border(random, cloth);
        Surround kind = random.Pick(Enum.GetValues<Surround>());
        bool alike = random.Chance(0.35);
        LinearRgb colour = alike ? cloth.Colours[0].ShiftedInLab(random.Uniform(6, 14), random.Sign(), random.Uniform(-1, 1), random.Uniform(-1, 1)) : border.Colour;
        return border with
        {
            Kind = kind,
            Colour = colour,
            Print = alike ? Print.Solid : border.Print,
            WidthMm = kind switch { Surround.TableOnly => random.Uniform(1, 6), Surround.Binding => random.Uniform(6, 12), Surround.LargerQuilt => random.Uniform(12, 45), _ => random.Uniform(10, 60) },
            DitchStitched = kind is Surround.TableOnly or Surround.DitchOnly || random.Chance(0.75),
            SeamDarkness = kind == Surround.TableOnly ? random.Uniform(0, 0.2) : random.Uniform(0.25, 0.6),
        };
    }

    public static TableSettings Table(SeededRandom random, double clutterChance)
    {
        TableKind kind = random.Pick(TableKind.Wood, TableKind.Wood, TableKind.CuttingMat, TableKind.Plain, TableKind.Cloth);
        int colour = kind switch
        {
            TableKind.Wood => random.Pick(0xa9794d, 0xc79a68, 0x6f4a30, 0xd8bb90, 0x8d6e55),
            TableKind.CuttingMat => random.Pick(0x2f6a4f, 0x3a6f8f, 0x55606a, 0xb7c8c0, 0x8a5a78),
            _ => random.Pick(0xdedad2, 0x5b6166, 0xb9a58c, 0xf0f0ee, 0x39424e),
        };
        var clutter = new List<Clutter>();
        foreach (Clutter item in Enum.GetValues<Clutter>())
            if (item != Clutter.Card && item != Clutter.Hand && random.Chance(clutterChance * 0.35)) clutter.Add(item);
        return new TableSettings { Kind = kind, Colour = LinearRgb.FromHex(colour), TurnDeg = random.Uniform(-12, 12) + (random.Chance(0.3) ? 90 : 0), Clutter = clutter };
    }
}
