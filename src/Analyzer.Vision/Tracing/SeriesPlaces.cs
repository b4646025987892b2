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

    /// <summary>One colour channel, the given whole steps beside the centre line; at the strip's rim its last entry.</summary>
    public void Read(int beside, int channel, Span<float> into)
    {
        ReadOnlySpan<byte> bgr = _strip.Bgr;
        int most = bgr.Length / 3 - 2;
        for (int i = 0; i < into.Length; i++)
        {
            int k = 3 * Math.Clamp(_first[i] + beside, 0, most) + channel;
            float f = _share[i];
            into[i] = (1 - f) * bgr[k] + f * bgr[k + 3];
        }
    }
}
