using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Tracing;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>A square block painted by a formula, seen straight from above and filling the picture.</summary>
internal static class PaintedBlock
{
    /// <param name="grey">Grey value at a place, mm from the block's top left corner.</param>
    /// <param name="noise">Half width of the triangular noise added, grey values.</param>
    public static Photo Paint(double sideMm, double pxPerMm, Func<BlockPoint, double> grey, double noise = 0)
    {
        int n = (int)(sideMm * pxPerMm) + 1;
        var random = new Random(5);
        var bytes = new byte[3 * n * n];
        for (int row = 0; row < n; row++)
            for (int col = 0; col < n; col++)
            {
                double value = grey(new BlockPoint(col / pxPerMm, row / pxPerMm)) + noise * (random.NextDouble() + random.NextDouble() - 1);
                bytes.AsSpan(3 * (row * n + col), 3).Fill((byte)Math.Round(Math.Clamp(value, 0, 255)));
            }
        using Mat mat = Mat.FromPixelData(n, n, MatType.CV_8UC3, bytes);
        Cv2.ImEncode(".png", mat, out byte[] png);
        return PhotoReader.Read(png, "painted.png");
    }

    public static BlockPlane Plane(Photo photo, double sideMm) =>
        new(new BlockCorners(new(0, 0), new(photo.WidthPx - 1, 0), new(photo.WidthPx - 1, photo.HeightPx - 1), new(0, photo.HeightPx - 1), 0), new BlockSize(sideMm, sideMm));

    /// <summary>Distance of a place from a line's own, and along it from its start, mm.</summary>
    public static (double OffMm, double AlongMm) From(GridLine line, IntendedGrid grid, BlockPoint place)
    {
        LineFamily family = grid.Families[line.Family];
        return (family.Across(place) - family.AcrossOfLine(line.Index), family.Along(place) - family.Along(line.From));
    }

    /// <summary>Share of a pixel that lies within a band so broad.</summary>
    public static double Inside(double offMm, double widthMm, double pxPerMm) => Math.Clamp((widthMm / 2 - Math.Abs(offMm)) * pxPerMm + 0.5, 0, 1);

    /// <summary>Traces straight along the intended lines of such a block, at whole millimetres.</summary>
    public static TracedLine[] TracedStraight(IntendedGrid grid, double widthMm = 0)
    {
        return [.. grid.Lines.Select(l =>
        {
            double[] along = [.. Enumerable.Range(1, (int)l.LengthMm - 2).Select(i => (double)i)];
            return new TracedLine
            {
                Line = l,
                AlongMm = along,
                DeviationMm = new double[along.Length],
                SigmaMm = [.. along.Select(_ => 0.02)],
                Noise = new NoiseCorrelation(1),
                Coverage = 1,
                WidthMm = widthMm,
            };
        })];
    }
}
