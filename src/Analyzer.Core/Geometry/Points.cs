namespace Analyzer.Core.Geometry;

/// <summary>A point of the upright photo in pixels: centre of the first pixel is (0,0), x right, y down.</summary>
public readonly record struct PhotoPoint(double X, double Y)
{
    public double DistanceTo(PhotoPoint other) => Math.Sqrt((X - other.X) * (X - other.X) + (Y - other.Y) * (Y - other.Y));
}

/// <summary>A point of the finished block in millimetres: origin top-left corner, x right, y down.</summary>
public readonly record struct BlockPoint(double Xmm, double Ymm)
{
    public double DistanceTo(BlockPoint other) =>
        Math.Sqrt((Xmm - other.Xmm) * (Xmm - other.Xmm) + (Ymm - other.Ymm) * (Ymm - other.Ymm));
}
