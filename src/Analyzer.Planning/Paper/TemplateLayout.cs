using Analyzer.Core.Pattern;

namespace Analyzer.Planning.Paper;

/// <summary>Settings of the marking template.</summary>
public sealed record TemplateSettings
{
    public PaperSize Paper { get; init; } = PaperSize.A4;

    public double LineWeightMm { get; init; } = 0.35;

    /// <summary>Draw square reference marks outside the corners.</summary>
    public bool CornerMarks { get; init; }
}

/// <summary>One tile: the part of the block on one page. Block frame, mm; Column and Row from 0 at the top left.</summary>
/// <param name="PageX">Where the tile's left edge lies on the page, mm.</param>
/// <param name="PageY">Where the tile's top edge lies on the page, mm.</param>
public sealed record TemplateTile(int Column, int Row, double LeftMm, double TopMm, double WidthMm, double HeightMm, double PageX, double PageY);

/// <summary>How the block is cut over pages: a drawing window on each page, and beside or below it the room for the check bars and the card.</summary>
public sealed class TemplateLayout
{
    /// <summary>Unprintable edge that is kept free, mm.</summary>
    public const double EdgeMm = 8;

    /// <summary>How far neighbouring tiles overlap, mm.</summary>
    public const double OverlapMm = 14;

    /// <summary>Free cloth drawn round the block, mm; more with corner marks.</summary>
    public const double PadMm = 4, MarkPadMm = 18;

    private const double PanelGapMm = 3, PanelHeightMm = 57, PanelWidthMm = 103;

    public TemplateLayout(BlockSize size, TemplateSettings settings)
    {
        PaperSize paper = settings.Paper;
        double pad = settings.CornerMarks ? MarkPadMm : PadMm;
        double windowWidth = paper.WidthMm - 2 * EdgeMm - (paper.IsLandscape ? PanelWidthMm + PanelGapMm : 0);
        double windowHeight = paper.HeightMm - 2 * EdgeMm - (paper.IsLandscape ? 0 : PanelHeightMm + PanelGapMm);
        double wholeWidth = size.WidthMm + 2 * pad, wholeHeight = size.HeightMm + 2 * pad;
        Columns = Count(wholeWidth, windowWidth);
        Rows = Count(wholeHeight, windowHeight);
        PanelX = paper.IsLandscape ? paper.WidthMm - EdgeMm - PanelWidthMm : EdgeMm;
        PanelY = paper.IsLandscape ? EdgeMm : paper.HeightMm - EdgeMm - PanelHeightMm;
        double tileWidth = (wholeWidth + (Columns - 1) * OverlapMm) / Columns, tileHeight = (wholeHeight + (Rows - 1) * OverlapMm) / Rows;
        var tiles = new List<TemplateTile>();
        for (int row = 0; row < Rows; row++)
            for (int column = 0; column < Columns; column++)
                tiles.Add(new TemplateTile(
                    column, row, column * (tileWidth - OverlapMm) - pad, row * (tileHeight - OverlapMm) - pad, tileWidth, tileHeight,
                    EdgeMm + (windowWidth - tileWidth) / 2, EdgeMm + (windowHeight - tileHeight) / 2));
        Tiles = tiles;
    }

    public int Columns { get; }

    public int Rows { get; }

    public IReadOnlyList<TemplateTile> Tiles { get; }

    /// <summary>Top left of the room for check bars, card and assembly plan, mm on the page.</summary>
    public double PanelX { get; }

    public double PanelY { get; }

    private static int Count(double whole, double window) =>
        whole <= window ? 1 : (int)Math.Ceiling((whole - OverlapMm) / (window - OverlapMm) - 1e-9);
}
