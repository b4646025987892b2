using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using OpenCvSharp;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// The photo with drawn lines taken out: along each, pixels of the mark's own colour are filled with the cloth's from both sides. A plain mark, chalk above all, hides a quiet
/// thread close beside it from every search by contrast and colour; without the mark the thread is the plainest line there.
/// </summary>
internal static class MarksTakenOut
{
    /// <summary>How far beyond half its width a mark still colours the cloth, and how broad a band beyond that tells the cloth's colour, mm.</summary>
    private const double RimMm = 0.3, ClothMm = 1.3;

    /// <summary>The colours are medians over so much along the line, mm.</summary>
    private const double WindowMm = 1.5;

    /// <summary>A pixel with more than this share of the mark's colour is the mark's; thread on top of it has another colour and stays.</summary>
    private const double MarkShare = 0.2;

    /// <summary>A mark is drawn on across gaps up to this, and beyond the first and last place where it was seen, mm.</summary>
    private const double GapMm = 4, BeyondMm = 2.5;

    /// <param name="marks">The drawn lines as traced.</param>
    public static Photo Of(Photo photo, BlockPlane plane, IntendedGrid grid, IEnumerable<TracedLine> marks)
    {
        Mat clean = photo.Bgr.Clone();
        foreach (TracedLine mark in marks)
            if (mark.AlongMm.Length > 5) TakeOut(photo.Bgr, clean, plane, grid, mark);
        return new Photo(clean, photo.FileName, photo.Sha256, photo.Metadata);
    }

    private static unsafe void TakeOut(Mat from, Mat into, BlockPlane plane, IntendedGrid grid, TracedLine mark)
    {
        BgrPixels source = new(from), target = new(into);
        LineFamily family = grid.Families[mark.Line.Family];
        double start = family.Along(mark.Line.From), across = family.AcrossOfLine(mark.Line.Index), half = mark.WidthMm / 2 + RimMm, step = 0.5 / plane.PixelsPerMm;
        double first = Math.Max(0, mark.AlongMm[0] - BeyondMm), last = Math.Min(mark.Line.LengthMm, mark.AlongMm[^1] + BeyondMm);
        double[][] left = Colours(-half - ClothMm, -half), right = Colours(half, half + ClothMm), middle = Colours(-mark.WidthMm / 4, mark.WidthMm / 4);
        double[] own = [.. Enumerable.Range(0, 3).Select(c => UpperMedian.Of(middle.Select((m, i) => m[c] - (left[i][c] + right[i][c]) / 2)))];
        double norm2 = own.Sum(v => v * v);
        if (!(norm2 > 0)) return;
        for (double s = first; s <= last; s += step)
        {
            if (DeviationAt(s) is not { } deviation) continue;
            int at = Math.Clamp((int)Math.Round(s - first), 0, left.Length - 1);
            for (double o = -half; o <= half; o += step)
            {
                if (Pixel(s, deviation + o) is not var (x, y)) continue;
                byte* pixel = source.Data + (long)y * source.Stride + 3 * x, filled = target.Data + (long)y * target.Stride + 3 * x;
                double share = 0, toRight = (o + half) / (2 * half);
                for (int c = 0; c < 3; c++) share += (pixel[c] - Fill(c)) * own[c];
                share /= norm2;
                if (share < MarkShare) continue;
                for (int c = 0; c < 3; c++) filled[c] = (byte)Math.Clamp(Math.Round(pixel[c] - share * own[c]), 0, 255);

                double Fill(int c) => left[at][c] + toRight * (right[at][c] - left[at][c]);
            }
        }

        // Median blue, green, red of a band beside the mark, at every millimetre.
        double[][] Colours(double fromMm, double toMm)
        {
            int count = (int)Math.Ceiling(last - first) + 1;
            var result = new double[count][];
            for (int i = 0; i < count; i++)
            {
                List<double>[] values = [[], [], []];
                for (double s = first + i - WindowMm; s <= first + i + WindowMm; s += 2 * step)
                    for (double o = fromMm; o <= toMm; o += 2 * step)
                    {
                        if (DeviationAt(Math.Clamp(s, first, last)) is not { } deviation || Pixel(s, deviation + o) is not var (x, y)) continue;
                        byte* pixel = source.Data + (long)y * source.Stride + 3 * x;
                        for (int c = 0; c < 3; c++) values[c].Add(pixel[c]);
                    }
                result[i] = values[0].Count > 0 ? [.. values.Select(UpperMedian.Of)] : i > 0 ? result[i - 1] : [128, 128, 128];
            }
            return result;
        }

        (int X, int Y)? Pixel(double s, double deviation)
        {
            BlockPoint place = family.At(start + s, across + deviation);
            PhotoPoint p = plane.ToPhoto(place);
            int x = (int)Math.Round(p.X), y = (int)Math.Round(p.Y);
            return x < 0 || y < 0 || x >= source.Cols || y >= source.Rows ? null : (x, y);
        }

        double? DeviationAt(double s)
        {
            int after = Array.BinarySearch(mark.AlongMm, s);
            if (after >= 0) return mark.DeviationMm[after];
            after = ~after;
            if (after == 0) return mark.DeviationMm[0];
            if (after == mark.AlongMm.Length) return mark.DeviationMm[^1];
            double gap = mark.AlongMm[after] - mark.AlongMm[after - 1], t = (s - mark.AlongMm[after - 1]) / gap;
            return gap > GapMm ? null : mark.DeviationMm[after - 1] + t * (mark.DeviationMm[after] - mark.DeviationMm[after - 1]);
        }
    }
}
