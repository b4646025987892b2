using Analyzer.Testing.Colour;

namespace Analyzer.Testing;

public enum Surround
{
    /// <summary>A strip of another cloth all round, then the table.</summary>
    Border,

    /// <summary>A narrow binding all round, then the table.</summary>
    Binding,

    /// <summary>The block's own cloth ends a few millimetres beyond the stitched edge.</summary>
    TableOnly,

    /// <summary>The same cloth goes on beyond a stitched ditch.</summary>
    DitchOnly,

    /// <summary>Sashing and further blocks all round, no table in sight.</summary>
    LargerQuilt,
}

/// <summary>What lies between the block's finished edge and the table.</summary>
public sealed record SurroundSettings
{
    public Surround Kind { get; init; } = Surround.Border;

    public double WidthMm { get; init; } = 30;

    public LinearRgb Colour { get; init; } = LinearRgb.FromHex(0x7d8f74);

    /// <summary>A print of the border; its ground is <see cref="Colour"/>.</summary>
    public Print Print { get; init; } = Print.Solid;

    public LinearRgb PrintColour { get; init; } = LinearRgb.FromHex(0xd9d4bf);

    /// <summary>Stitches run along the finished edge.</summary>
    public bool DitchStitched { get; init; } = true;

    /// <summary>Darkness of the seam along the finished edge, 0 to 1.</summary>
    public double SeamDarkness { get; init; } = 0.45;

    /// <summary>Border corners sewn at 45 degrees instead of butted.</summary>
    public bool Mitred { get; init; }

    /// <summary>Unevenness of the ditch stitching, r.m.s. mm.</summary>
    public double DitchWobbleMm { get; init; } = 0.08;
}

public enum TableKind { Plain, Wood, CuttingMat, Cloth }

public enum Clutter { Ruler, Card, Scissors, Hand, Spool, Pins }

/// <summary>A square of black and white cells on a piece of white paper.</summary>
/// <param name="LeftMm">Left side of the square of cells in plane mm; the paper goes on beyond it by <paramref name="RimMm"/>.</param>
/// <param name="Black">Cells by row and column, true = black.</param>
public sealed record PrintedMark(double LeftMm, double TopMm, double SideMm, bool[,] Black, double RimMm = 2);

/// <summary>The table and what lies about on it.</summary>
public sealed record TableSettings
{
    public TableKind Kind { get; init; } = TableKind.Wood;

    public LinearRgb Colour { get; init; } = LinearRgb.FromHex(0xa9794d);

    /// <summary>Direction of grain or mat lines, degrees.</summary>
    public double TurnDeg { get; init; } = 3;

    public IReadOnlyList<Clutter> Clutter { get; init; } = [];

    /// <summary>Square marks printed on paper that lies flat, in the block's plane.</summary>
    public IReadOnlyList<PrintedMark> Marks { get; init; } = [];

    /// <summary>Size of the ID-1 card against block millimetres: 1.012 shows a block that is really 1.2 % smaller than its finished size says.</summary>
    public double CardScale { get; init; } = 1;
}

/// <summary>Where the camera stands and what its lens does.</summary>
public sealed record CameraSettings
{
    public required int WidthPx { get; init; }

    public required int HeightPx { get; init; }

    /// <summary>Scale at the block's centre, px per mm, measured across the direction of tilt.</summary>
    public required double PixelsPerMm { get; init; }

    /// <summary>Angle between the camera's axis and the table's normal, degrees.</summary>
    public double TiltDeg { get; init; }

    /// <summary>Direction in which the camera leans, degrees in the picture, 0 = right.</summary>
    public double TiltTowardDeg { get; init; } = 90;

    /// <summary>Turn of the block in the picture, degrees, clockwise as seen.</summary>
    public double RollDeg { get; init; }

    /// <summary>Focal length in units of the picture's longer side (phones: 0.7 to 1.5).</summary>
    public double FocalFactor { get; init; } = 0.85;

    /// <summary>
    /// Radial lens terms: undistorted radius = r (1 + K1 r² + K2 r⁴) with r = distance from the picture's centre
    /// in units of half its diagonal. Positive K1 is barrel, negative pincushion.
    /// </summary>
    public double K1 { get; init; }

    public double K2 { get; init; }

    /// <summary>Where the block's centre falls, px from the picture's centre.</summary>
    public double ShiftXPx { get; init; }

    public double ShiftYPx { get; init; }
}

/// <summary>What happens between the lens and the file.</summary>
public sealed record FinishSettings
{
    /// <summary>Sigma of the lens and focus blur, px.</summary>
    public double BlurPx { get; init; } = 0.7;

    /// <summary>Colour fringes: how far red and blue lie off green in the picture's corners, px outward and inward.</summary>
    public double FringePx { get; init; }

    /// <summary>Length of motion blur, px.</summary>
    public double MotionPx { get; init; }

    public double MotionDeg { get; init; }

    /// <summary>Loss of light in the corners, 0 to 0.6.</summary>
    public double Vignetting { get; init; } = 0.15;

    /// <summary>Relative change of light from one side of the picture to the other.</summary>
    public double Unevenness { get; init; } = 0.12;

    public double UnevenTowardDeg { get; init; } = 60;

    /// <summary>Darkness of a soft shadow falling over one side, 0 to 0.7.</summary>
    public double SoftShadow { get; init; }

    /// <summary>Overall exposure, 1 = white cloth just below clipping.</summary>
    public double Exposure { get; init; } = 0.85;

    /// <summary>White balance error, relative gain of red and blue.</summary>
    public double RedGain { get; init; } = 1;

    public double BlueGain { get; init; } = 1;

    /// <summary>Noise at mid grey in the file, grey levels of 255.</summary>
    public double NoiseLevels { get; init; } = 1.5;

    /// <summary>Strength of the sharpening halo, 0 to 1.</summary>
    public double Sharpening { get; init; } = 0.25;

    /// <summary>Strength of the contrast curve, 0 to 1.</summary>
    public double Contrast { get; init; } = 0.25;

    /// <summary>Strength of a washed-out reflection over part of the picture, 0 to 3.</summary>
    public double Glare { get; init; }

    /// <summary>Centre of the reflection as a share of width and height.</summary>
    public double GlareX { get; init; } = 0.6;

    public double GlareY { get; init; } = 0.4;

    /// <summary>Radius of the reflection as a share of the picture's height.</summary>
    public double GlareRadius { get; init; } = 0.2;

    public int JpegQuality { get; init; } = 90;

    /// <summary>No blur, noise, curve, shadow or fall-off of any kind.</summary>
    public static FinishSettings Clean { get; } = new()
    {
        BlurPx = 0,
        Vignetting = 0,
        Unevenness = 0,
        Exposure = 1,
        NoiseLevels = 0,
        Sharpening = 0,
        Contrast = 0,
        JpegQuality = 95,
    };
}
