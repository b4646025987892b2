using System.Globalization;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;

namespace Analyzer.Vision.Reference;

/// <summary>The block's true size and squareness by a reference of known size that lies beside it, flat on the same table.</summary>
/// <param name="Reference">"corner rule" or "card".</param>
/// <param name="WidthMm">Mean of top and bottom side, mm.</param>
/// <param name="HeightMm">Mean of left and right side, mm.</param>
/// <param name="FallingMm">Diagonal from top left to bottom right, mm.</param>
/// <param name="RisingMm">Diagonal from bottom left to top right, mm.</param>
/// <param name="RelativeU">Standard uncertainty of the lengths, as a share.</param>
public sealed record ScaleCheck(string Reference, double WidthMm, double HeightMm, double FallingMm, double RisingMm, double RelativeU)
{
    /// <summary>A disagreement above this share is told.</summary>
    public const double TellFrom = 0.005;

    /// <summary>Share of length by which a flat quilt's top lies nearer to the camera than the table, per mm of thickness at half a metre.</summary>
    private const double ThicknessShare = 0.002;

    /// <summary>Reads the scale from points of known place.</summary>
    /// <param name="known">Pairs of true place on the reference (mm) and place in the photo (px).</param>
    /// <param name="corners">The block's corners, px.</param>
    /// <param name="size">The size the user gave; only its proportions matter here.</param>
    /// <remarks>
    /// The block's own homography puts the photo into the block's plane up to a stretch and a shear, b = A·m + t; A is fitted to the reference by least
    /// squares, and the block's sides are read back through A⁻¹. Reference and block are taken to lie in one plane.
    /// </remarks>
    public static ScaleCheck? Of(string reference, IReadOnlyList<(BlockPoint True, PhotoPoint Seen)> known, BlockCorners corners, BlockSize size)
    {
        if (known.Count < 4) return null;
        Homography blockFromPhoto = Homography.FromFourPoints([.. corners.ToArray().Select(p => (p.X, p.Y))], [.. size.Corners().Select(p => (p.Xmm, p.Ymm))]);
        (double X, double Y)[] seen = [.. known.Select(k => blockFromPhoto.Map(k.Seen.X, k.Seen.Y))];
        double mx = known.Average(k => k.True.Xmm), my = known.Average(k => k.True.Ymm), sx = seen.Average(p => p.X), sy = seen.Average(p => p.Y);
        double xx = 0, xy = 0, yy = 0, ax = 0, ay = 0, bx = 0, by = 0;
        for (int i = 0; i < seen.Length; i++)
        {
            double tx = known[i].True.Xmm - mx, ty = known[i].True.Ymm - my, px = seen[i].X - sx, py = seen[i].Y - sy;
            xx += tx * tx; xy += tx * ty; yy += ty * ty;
            ax += tx * px; ay += ty * px; bx += tx * py; by += ty * py;
        }
        double det = xx * yy - xy * xy;
        if (det < 1e-6 * (xx + yy) * (xx + yy)) return null;
        // Rows of A, then of its inverse.
        double a11 = (ax * yy - ay * xy) / det, a12 = (ay * xx - ax * xy) / det, a21 = (bx * yy - by * xy) / det, a22 = (by * xx - bx * xy) / det;
        double d = a11 * a22 - a12 * a21;
        if (!(Math.Abs(d) > 1e-9)) return null;
        double residual = 0;
        for (int i = 0; i < seen.Length; i++)
        {
            double tx = known[i].True.Xmm - mx, ty = known[i].True.Ymm - my;
            residual += Math.Pow(seen[i].X - sx - a11 * tx - a12 * ty, 2) + Math.Pow(seen[i].Y - sy - a21 * tx - a22 * ty, 2);
        }
        double rms = Math.Sqrt(residual / Math.Max(1, 2 * seen.Length - 6)), reach = Math.Sqrt(Math.Min(xx, yy) / seen.Length);
        double Length(double vx, double vy) => Math.Sqrt(Math.Pow((a22 * vx - a12 * vy) / d, 2) + Math.Pow((a11 * vy - a21 * vx) / d, 2));
        double w = size.WidthMm, h = size.HeightMm;
        double u = Math.Sqrt(Math.Pow(rms / Math.Sqrt(seen.Length) / reach, 2) + ThicknessShare * ThicknessShare);
        return new ScaleCheck(reference, Length(w, 0), Length(0, h), Length(w, h), Length(w, -h), u);
    }

    /// <summary>What the maker should know, one sentence each; empty when size and squareness agree.</summary>
    public IReadOnlyList<string> Notes(BlockSize given)
    {
        var notes = new List<string>();
        Compare(notes, "wide", WidthMm, given.WidthMm);
        Compare(notes, "high", HeightMm, given.HeightMm);
        double shape = WidthMm / HeightMm / (given.WidthMm / given.HeightMm) - 1, square = FallingMm - RisingMm;
        if (Math.Abs(shape) > Math.Max(TellFrom, 2 * RelativeU))
            notes.Add(Text($"Against its intended shape the block is {100 * Math.Abs(shape):0.0} % too {(shape > 0 ? "wide" : "high")}."));
        if (Math.Abs(square) > Math.Max(TellFrom, 2 * RelativeU) * FallingMm)
            notes.Add(Text($"The block is out of square: its diagonals are {FallingMm:0.0} mm and {RisingMm:0.0} mm, {Math.Abs(square):0.0} mm apart."));
        return notes;
    }

    private void Compare(List<string> notes, string direction, double seen, double given)
    {
        double share = seen / given - 1;
        if (Math.Abs(share) <= Math.Max(TellFrom, 2 * RelativeU)) return;
        string meaning = share < 0 ? "quilting may have drawn it in" : "it may have stretched, or the size given is another";
        notes.Add(Text($"By the {Reference} the block is {seen:0.0} mm ({seen / 25.4:0.00} in) {direction} against {given:0.0} mm ({given / 25.4:0.00} in): {100 * Math.Abs(share):0.0} % {(share < 0 ? "less" : "more")}; {meaning}."));
    }

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
