using OpenCvSharp;
using OpenCvSharp.Dnn;

namespace Analyzer.Vision.Learnt;

/// <summary>
/// A small convolutional net that was taught, on the product's own invented photos and their truth, to tell sewn thread from what lies beside it. It sees cells of a third of a
/// millimetre; between them the bell it was taught about every thread says where its middle is.
/// </summary>
internal static class ThreadNet
{
    /// <summary>Resolution of the strips it looks at, along and across, px/mm, and how far they reach on either side of their middle, mm.</summary>
    public const int PixelsPerMm = 6, HalfWidthMm = 4;

    /// <summary>Rows of a strip, and pixels of it to one cell of what the net says.</summary>
    public const int Rows = 2 * HalfWidthMm * PixelsPerMm, PixelsPerCell = 2;

    /// <summary>Columns without anything that keep two strips side by side from being seen together: what one cell depends on reaches no farther.</summary>
    public const int ApartPx = 100;

    private const string Model = "Analyzer.Vision.Learnt.thread-sight.onnx";

    private static readonly Lock Gate = new();

    private static readonly Lazy<Net> Shared = new(() => LearntModel.Read(Model));

    /// <summary>For every cell, row by row, how likely it is that a thread's middle runs there along the strip, as the logarithm of the odds.</summary>
    /// <param name="strips">Three planes of <see cref="Rows"/> rows, lightness and the two colour axes, each in units of its own noise.</param>
    /// <param name="widthPx">Columns, an even number.</param>
    public static float[] Look(float[] strips, int widthPx)
    {
        using Mat blob = Mat.FromPixelData([1, 3, Rows, widthPx], MatType.CV_32F, strips);
        // One net holds the numbers of one look at a time.
        lock (Gate)
        {
            Shared.Value.SetInput(blob);
            using Mat sight = Shared.Value.Forward();
            // Two planes, thread and mark; the second is only taught with the first.
            if (sight.Dims != 4 || sight.Size(1) != 2 || sight.Size(2) != Rows / PixelsPerCell || sight.Size(3) != widthPx / PixelsPerCell) throw new InvalidOperationException($"{Model} is not the net this program knows.");
            var result = new float[Rows / PixelsPerCell * (widthPx / PixelsPerCell)];
            System.Runtime.InteropServices.Marshal.Copy(sight.Data, result, 0, result.Length);
            return result;
        }
    }
}
