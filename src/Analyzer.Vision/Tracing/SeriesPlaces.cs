namespace Analyzer.Vision.Tracing;

/// <summary>Places along a strip's centre line, worked out once, for reading series beside it: whole steps sideways keep the share between two entries.</summary>
internal sealed class SeriesPlaces
{
    private readonly ThreadStrip _strip;
    private readonly int[] _first;
    private readonly float[] _share;

    public SeriesPlaces(ThreadStrip strip, double[] centreMm, int stride, int count)
    {
        _strip = strip;
        _first = new int[count];
        _share = new float[count];
        for (int i = 0; i < count; i++)
        {
            double x = strip.Middle + centreMm[i * stride] / ThreadStrip.AcrossStepMm;
            int whole = (int)Math.Floor(x);
            _share[i] = (float)(x - whole);
            _first[i] = i * stride * strip.Across + whole;
        }
    }

    /// <summary>Blue, green and red at one place along, from the given whole steps to one side of the centre line to as many to the other.</summary>
    public void ReadRow(int place, int reach, Span<float> into)
    {
        ReadOnlySpan<byte> bgr = _strip.Bgr;
        int entries = 2 * reach + 1, first = _first[place] - reach, most = bgr.Length / 3 - 2;
        float f = _share[place], g = 1 - f;
        if (first >= 0 && first + entries - 1 <= most)
        {
            ReadOnlySpan<byte> row = bgr.Slice(3 * first, 3 * entries + 3);
            for (int k = 0; k < into.Length; k++) into[k] = g * row[k] + f * row[k + 3];
            return;
        }
        // At the strip's rim its last entry.
        for (int j = 0; j < entries; j++)
        {
            int k = 3 * Math.Clamp(first + j, 0, most);
            for (int channel = 0; channel < 3; channel++) into[3 * j + channel] = g * bgr[k + channel] + f * bgr[k + channel + 3];
        }
    }
}
