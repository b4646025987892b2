using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// Takes off a trace the places where what was followed has another colour than the thread, or stands out many times more: a printed leaf across the line,
/// a letter beside it. A thread of one colour differs from the ground in nearly the same direction all along, even where the ground changes.
/// </summary>
/// <remarks>The limits were read off the errors of places, told by colour, in photos of two unrelated photo makers.</remarks>
internal static class OffColour
{
    /// <summary>Cosine to the thread's colour below which a place is none; and below which it is none where it is much stronger or much weaker than the thread.</summary>
    private const double Other = 0.3, Doubtful = 0.9, DoubtfulFaint = 0.75;

    private const double MuchStronger = 2.5, MuchWeaker = 0.3;

    /// <param name="colours">Of each sample, against the ground, in noise units.</param>
    /// <param name="thread">The usual colour of the block's lines, in the same units.</param>
    public static TracedLine Without(TracedLine line, IReadOnlyList<Colour3> colours, Colour3 thread)
    {
        int n = line.AlongMm.Length;
        var keep = new bool[n];
        for (int i = 0; i < n; i++)
        {
            Colour3 near = default;
            int count = 0;
            for (int k = Math.Max(0, i - 1); k <= Math.Min(n - 1, i + 1); k++)
            {
                if (Math.Abs(line.AlongMm[k] - line.AlongMm[i]) > 1.6) continue;
                near += colours[k];
                count++;
            }
            double cosine = near.Cosine(thread), strength = near.Norm / count / Math.Max(1e-9, thread.Norm);
            keep[i] = cosine >= Other && (strength <= MuchStronger || cosine >= Doubtful) && (strength >= MuchWeaker || cosine >= DoubtfulFaint);
        }
        return line.Only(keep);
    }
}
