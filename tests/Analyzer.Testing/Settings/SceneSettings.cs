using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Units;

namespace Analyzer.Testing;

/// <summary>How hard a rendered photo is to measure.</summary>
public enum Tier
{
    /// <summary>Contrasting thread on quiet cloth, 8 px/mm and more.</summary>
    Easy,

    /// <summary>Prints, drawn marks, tilt, lens distortion, 6 px/mm and more.</summary>
    Ordinary,

    /// <summary>Tone on tone, dark on dark, variegated or metallic thread, mottled cloth, side light, 5 px/mm and more.</summary>
    Hard,
}

/// <summary>Everything that decides how one invented photo looks. The same settings give the same pixels.</summary>
/// <remarks>
/// Plane coordinates are millimetres on the table, origin at the finished block's top-left corner before cloth distortion,
/// x right, y down. Directions of light are angles in that plane, counter-clockwise as seen, 0 = from the right.
/// </remarks>
public sealed partial record SceneSettings
{
    public required int Seed { get; init; }

    public Tier Tier { get; init; } = Tier.Easy;

    /// <summary>One line saying what is seen, for tables and captions.</summary>
    public string Description { get; init; } = "";

    public required BlockSize Size { get; init; }

    public required IReadOnlyList<LineFamily> Families { get; init; }

    /// <summary>The grid as it would be typed, e.g. "triangle:1in"; empty when it has no name.</summary>
    public string GridName { get; init; } = "";

    public StitchSettings Stitch { get; init; } = new();

    public ThreadSettings Thread { get; init; } = new();

    public ClothSettings Cloth { get; init; } = new();

    public ReliefSettings Relief { get; init; } = new();

    public LightSettings Light { get; init; } = new();

    /// <summary>Drawn marks, or null for none.</summary>
    public MarkSettings? Marks { get; init; }

    public SurroundSettings Surround { get; init; } = new();

    public TableSettings Table { get; init; } = new();

    public required CameraSettings Camera { get; init; }

    public FinishSettings Finish { get; init; } = new();

    /// <summary>No cloth at all: table and clutter only.</summary>
    public bool NoCloth { get; init; }

    /// <summary>The cloth's outline on the plane.</summary>
    internal Scene.PlaneArea ClothOutline()
    {
        double b = Surround.Kind switch
        {
            Testing.Surround.LargerQuilt or Testing.Surround.DitchOnly => 4000,
            Testing.Surround.TableOnly => Math.Min(Surround.WidthMm, 6),
            Testing.Surround.Binding => Math.Min(Surround.WidthMm, 12),
            _ => Surround.WidthMm,
        };
        return new Scene.PlaneArea(-b, -b, Size.WidthMm + b, Size.HeightMm + b);
    }

    /// <summary>Families of a named grid such as "square", "triangle" with the given spacing in mm.</summary>
    public static IReadOnlyList<LineFamily> NamedFamilies(string name, double spacingMm, BlockSize size) =>
        NamedGrids.Families(name, Length.FromMillimetres(spacingMm), size)
        ?? throw new ArgumentException($"There is no grid called '{name}'.", nameof(name));

    /// <summary>Camera that shows the whole block straight from above with a margin, at the given scale.</summary>
    public static CameraSettings Framing(BlockSize size, double pixelsPerMm, double marginMm) => new()
    {
        WidthPx = (int)Math.Round((size.WidthMm + 2 * marginMm) * pixelsPerMm),
        HeightPx = (int)Math.Round((size.HeightMm + 2 * marginMm) * pixelsPerMm),
        PixelsPerMm = pixelsPerMm,
    };
}
