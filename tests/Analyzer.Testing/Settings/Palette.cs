using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing;

/// <summary>Colours of cloth and thread that go together, or on purpose do not.</summary>
internal static class Palette
{
    private static readonly int[] LightCloth = [0xf0e9da, 0xe8dfcb, 0xdfe6ea, 0xf3e3df, 0xe6ead8, 0xf2efe8, 0xd9cfc0, 0xe9d8e0, 0xf1e6b8];
    private static readonly int[] MidCloth = [0x9fb4a6, 0xb98f7f, 0x8fa8bf, 0xc2a15c, 0xa98fb0, 0x7f9c98, 0xc07d6d, 0x9a9a94];
    private static readonly int[] DarkCloth = [0x27344d, 0x3b2b3f, 0x2d4438, 0x4a2a28, 0x2b2b2e, 0x1f3b4d, 0x3a3328];
    private static readonly int[] Threads = [0x1f2f55, 0x7a1f2b, 0xf7f4ea, 0x2d5a3b, 0xd9a441, 0x202022, 0xb5451f, 0x5a2d6e, 0x2f7f92, 0xe8e2d2, 0xc94f7c, 0x6b4a2f];

    public static LinearRgb Cloth(SeededRandom random, double lightShare = 0.55, double midShare = 0.3)
    {
        double p = random.NextDouble();
        return LinearRgb.FromHex(random.Pick(p < lightShare ? LightCloth : p < lightShare + midShare ? MidCloth : DarkCloth));
    }

    public static LinearRgb Dark(SeededRandom random) => LinearRgb.FromHex(random.Pick(DarkCloth));

    public static LinearRgb Light(SeededRandom random) => LinearRgb.FromHex(random.Pick(LightCloth));

    /// <summary>A thread at least <paramref name="deltaE"/> away from every one of the given colours, as far as the palette has one.</summary>
    public static LinearRgb ThreadAgainst(IReadOnlyList<LinearRgb> cloth, double deltaE, SeededRandom random)
    {
        var order = Threads.Select(LinearRgb.FromHex).OrderBy(_ => random.NextDouble()).ToList();
        return order.FirstOrDefault(t => cloth.All(c => Distance(t, c) >= deltaE), order.MaxBy(t => cloth.Min(c => Distance(t, c))));
    }

    /// <summary>Another cloth at least the given distance from every given colour, as far as the palette has one.</summary>
    public static LinearRgb ClothAgainst(IReadOnlyList<LinearRgb> cloth, double deltaE, SeededRandom random)
    {
        var order = LightCloth.Concat(MidCloth).Concat(DarkCloth).Select(LinearRgb.FromHex).OrderBy(_ => random.NextDouble()).ToList();
        return order.FirstOrDefault(t => cloth.All(c => Distance(t, c) >= deltaE), order.MaxBy(t => cloth.Min(c => Distance(t, c))));
    }

    /// <summary>CIE 1976 colour difference.</summary>
    public static double Distance(LinearRgb p, LinearRgb q)
    {
        (double l, double a, double b) = p.ToLab();
        (double l2, double a2, double b2) = q.ToLab();
        return Math.Sqrt((l - l2) * (l - l2) + (a - a2) * (a - a2) + (b - b2) * (b - b2));
    }

    /// <summary>Ground with one to three print colours at the given strength against it.</summary>
    public static LinearRgb[] PrintOn(LinearRgb ground, double strength, int count, SeededRandom random)
    {
        var colours = new List<LinearRgb> { ground };
        bool dark = ground.ToLab().L < 50;
        for (int i = 0; i < count; i++)
            colours.Add(ground.ShiftedInLab(strength * random.Uniform(0.7, 1.2), dark ? 1 : -1, random.Uniform(-0.9, 0.9), random.Uniform(-0.9, 0.9)));
        return [.. colours];
    }
}
