using Analyzer.Testing.Colour;

namespace Analyzer.Testing;

/// <summary>What the stitching thread looks like.</summary>
public sealed record ThreadSettings
{
    public double WidthMm { get; init; } = 0.3;

    /// <summary>One colour, or several for a variegated thread.</summary>
    public IReadOnlyList<LinearRgb> Colours { get; init; } = [LinearRgb.FromHex(0x24324f)];

    /// <summary>Length over which a variegated thread runs through its colours once, mm.</summary>
    public double ColourRunMm { get; init; } = 90;

    /// <summary>Strength of the shading across the thread, 0 flat to 1 fully round.</summary>
    public double Roundness { get; init; } = 0.6;

    /// <summary>Strength of the twist's slanted stripes, 0 to 0.5.</summary>
    public double Twist { get; init; } = 0.15;

    /// <summary>Distance between two turns of the twist, mm.</summary>
    public double TwistPitchMm { get; init; } = 0.5;

    /// <summary>Strength of glinting highlights, 0 (cotton) to 1 (metallic).</summary>
    public double Glint { get; init; }

    /// <summary>Darkness of the small dimple at each needle hole, 0 to 1.</summary>
    public double HoleDarkness { get; init; } = 0.45;

    /// <summary>Darkness of the narrow shadow the thread throws on the cloth, 0 to 1.</summary>
    public double ContactShadow { get; init; } = 0.25;
}

public enum Weave { None, Plain, Twill, Lawn, Linen, Basket, Sateen }

public enum Print { Solid, Dots, Stripes, Floral, Blobs, Mottled, Check, Scatter }

/// <summary>What the block's own cloth looks like.</summary>
public sealed record ClothSettings
{
    public Weave Weave { get; init; } = Weave.Plain;

    /// <summary>Distance between neighbouring yarns, mm.</summary>
    public double YarnMm { get; init; } = 0.4;

    /// <summary>Contrast of the weave in brightness, 0 to about 0.4.</summary>
    public double WeaveContrast { get; init; } = 0.16;

    /// <summary>Tint of the weft against the warp, for shot cloth; null = one colour.</summary>
    public LinearRgb? WeftTint { get; init; }

    /// <summary>Direction of the yarns against the block's edges, degrees.</summary>
    public double GrainDeg { get; init; } = 1.5;

    public Print Print { get; init; } = Print.Solid;

    /// <summary>Ground colour first, then the print's colours.</summary>
    public IReadOnlyList<LinearRgb> Colours { get; init; } = [LinearRgb.FromHex(0xe9e1d0)];

    /// <summary>Size of the print's repeat, mm.</summary>
    public double PrintScaleMm { get; init; } = 8;

    /// <summary>Direction of the print against the block's edges, degrees.</summary>
    public double PrintTurnDeg { get; init; } = 10;

    /// <summary>A pieced seam across the block: where it crosses as a share of the width or height, or null.</summary>
    public double? SeamAt { get; init; }

    public bool SeamUpright { get; init; }

    /// <summary>Brightness of the cloth beyond the seam against the cloth before it.</summary>
    public float SeamStep { get; init; } = 0.85f;
}

/// <summary>How the layers puff up between the lines of stitching.</summary>
public sealed record ReliefSettings
{
    /// <summary>Height of the puff far from any line, mm.</summary>
    public double HeightMm { get; init; } = 0.9;

    /// <summary>Distance over which the puff rises beside a line, mm.</summary>
    public double RiseMm { get; init; } = 4;

    /// <summary>Shape of the rise: 1 = sharp valley at the line, 2 = round valley.</summary>
    public double Roundness { get; init; } = 1.3;

    /// <summary>Height of small wrinkles and puckers, mm.</summary>
    public double WrinkleMm { get; init; } = 0.08;

    /// <summary>Darkness of the shadow on the light's side of every line, 0 to 1.</summary>
    public double FurrowShadow { get; init; } = 0.2;

    /// <summary>Darkness of both sides close to a line where less sky is seen, 0 to 1.</summary>
    public double FurrowDepth { get; init; } = 0.12;

    public static ReliefSettings Flat { get; } = new() { HeightMm = 0, WrinkleMm = 0, FurrowShadow = 0, FurrowDepth = 0 };
}

/// <summary>The main light.</summary>
public sealed record LightSettings
{
    /// <summary>Direction the light comes from, in the plane, degrees counter-clockwise as seen, 0 = from the right.</summary>
    public double FromDeg { get; init; } = 130;

    /// <summary>Height of the light above the table, degrees: 20 is raking, 70 is overhead.</summary>
    public double ElevationDeg { get; init; } = 50;

    /// <summary>Strength of a second, weaker light from across the room, 0 to 0.6, and the angle between the two.</summary>
    public double Second { get; init; }

    public double SecondTurnDeg { get; init; } = 110;

    /// <summary>Share of light from all round, 0 to 1.</summary>
    public double Ambient { get; init; } = 0.45;
}

public enum MarkKind { BluePen, Chalk, SilverPencil }

/// <summary>Drawn marks along the intended lines, with their own errors; the stitching follows them.</summary>
public sealed record MarkSettings
{
    public MarkKind Kind { get; init; } = MarkKind.BluePen;

    public double WidthMm { get; init; } = 0.6;

    public double Strength { get; init; } = 0.6;

    public LinearRgb Colour { get; init; } = LinearRgb.FromHex(0x3f7fd0);

    /// <summary>Standard deviation of a mark's place, mm.</summary>
    public double OffsetSdMm { get; init; } = 0.35;

    public double AngleSdDeg { get; init; } = 0.12;

    /// <summary>The stencil slipped: all marks lie this far to the right and down, mm.</summary>
    public double SlipXMm { get; init; }

    public double SlipYMm { get; init; }

    /// <summary>Smooth unevenness of the drawn line, r.m.s. mm.</summary>
    public double WobbleMm { get; init; } = 0.06;

    /// <summary>How far the stitching follows the mark: 1 = wholly, 0 = not at all.</summary>
    public double Followed { get; init; } = 1;
}
