using Analyzer.Core.Colour;

namespace Analyzer.Core.Tests.Colour;

/// <summary>Colour difference and sRGB to Lab: external checks J1 to J4.</summary>
public sealed class LabColourTests
{
    /// <summary>J1: Sharma, Wu, Dalal 2005, table 1, all 34 pairs, printed to four decimals (values read from the scikit-image test data); both ways round.</summary>
    [Theory]
    [InlineData(50.0000, 2.6772, -79.7751, 50, 0, -82.7485, 2.0425)]
    [InlineData(50, 3.1571, -77.2803, 50, 0, -82.7485, 2.8615)]
    [InlineData(50, 2.8361, -74.0200, 50, 0, -82.7485, 3.4412)]
    [InlineData(50, -1.3802, -84.2814, 50, 0, -82.7485, 1.0000)]
    [InlineData(50, -1.1848, -84.8006, 50, 0, -82.7485, 1.0000)]
    [InlineData(50, -0.9009, -85.5211, 50, 0, -82.7485, 1.0000)]
    [InlineData(50, 0, 0, 50, -1, 2, 2.3669)]
    [InlineData(50, -1, 2, 50, 0, 0, 2.3669)]
    [InlineData(50, 2.49, -0.0010, 50, -2.49, 0.0009, 7.1792)]
    [InlineData(50, 2.49, -0.0010, 50, -2.49, 0.0010, 7.1792)]
    [InlineData(50, 2.49, -0.0010, 50, -2.49, 0.0011, 7.2195)]
    [InlineData(50, 2.49, -0.0010, 50, -2.49, 0.0012, 7.2195)]
    [InlineData(50, -0.0010, 2.49, 50, 0.0009, -2.49, 4.8045)]
    [InlineData(50, -0.0010, 2.49, 50, 0.0010, -2.49, 4.8045)]
    [InlineData(50, -0.0010, 2.49, 50, 0.0011, -2.49, 4.7461)]
    [InlineData(50, 2.5, 0, 50, 0, -2.5, 4.3065)]
    [InlineData(50, 2.5, 0, 73, 25, -18, 27.1492)]
    [InlineData(50, 2.5, 0, 61, -5, 29, 22.8977)]
    [InlineData(50, 2.5, 0, 56, -27, -3, 31.9030)]
    [InlineData(50, 2.5, 0, 58, 24, 15, 19.4535)]
    [InlineData(50, 2.5, 0, 50, 3.1736, 0.5854, 1.0000)]
    [InlineData(50, 2.5, 0, 50, 3.2972, 0, 1.0000)]
    [InlineData(50, 2.5, 0, 50, 1.8634, 0.5757, 1.0000)]
    [InlineData(50, 2.5, 0, 50, 3.2592, 0.3350, 1.0000)]
    [InlineData(60.2574, -34.0099, 36.2677, 60.4626, -34.1751, 39.4387, 1.2644)]
    [InlineData(63.0109, -31.0961, -5.8663, 62.8187, -29.7946, -4.0864, 1.2630)]
    [InlineData(61.2901, 3.7196, -5.3901, 61.4292, 2.2480, -4.9620, 1.8731)]
    [InlineData(35.0831, -44.1164, 3.7933, 35.0232, -40.0716, 1.5901, 1.8645)]
    [InlineData(22.7233, 20.0904, -46.6940, 23.0331, 14.9730, -42.5619, 2.0373)]
    [InlineData(36.4612, 47.8580, 18.3852, 36.2715, 50.5065, 21.2231, 1.4146)]
    [InlineData(90.8027, -2.0831, 1.4410, 91.1528, -1.6435, 0.0447, 1.4441)]
    [InlineData(90.9257, -0.5406, -0.9208, 88.6381, -0.8985, -0.7239, 1.5381)]
    [InlineData(6.7747, -0.2908, -2.4247, 5.8714, -0.0985, -2.2286, 0.6377)]
    [InlineData(2.0776, 0.0795, -1.1350, 0.9033, -0.0636, -0.5514, 0.9082)]
    public void Difference2000_OfPublishedPairs_IsTheTable(double l1, double a1, double b1, double l2, double a2, double b2, double expected)
    {
        var first = new LabColour(l1, a1, b1);
        var second = new LabColour(l2, a2, b2);
        Assert.Equal(expected, first.Difference2000(second), 5.01e-5);
        Assert.Equal(expected, second.Difference2000(first), 5.01e-5);
    }

    /// <summary>J2.</summary>
    [Fact]
    public void Difference76_OfFirstPair_IsEuclidean() =>
        Assert.Equal(4.0011, new LabColour(50, 2.6772, -79.7751).Difference76(new LabColour(50, 0, -82.7485)), 5e-5);

    /// <summary>J3, tolerance 0.01 for rounded matrices.</summary>
    [Theory]
    [InlineData(255, 0, 0, 53.2408, 80.0925, 67.2032)]
    [InlineData(0, 255, 0, 87.7347, -86.1827, 83.1793)]
    [InlineData(0, 0, 255, 32.2970, 79.1875, -107.8602)]
    [InlineData(119, 119, 119, 50.0344, 0, 0)]
    [InlineData(0, 0, 128, 12.9720, 47.5023, -64.7022)]
    [InlineData(255, 253, 208, 98.4583, -6.4928, 21.8324)]
    public void Lab_OfSrgb_IsTheStandard(double r, double g, double b, double l, double a, double bb)
    {
        LabColour lab = LabColour.FromSrgb(r, g, b);
        Assert.Equal(l, lab.L, 0.01);
        Assert.Equal(a, lab.A, 0.01);
        Assert.Equal(bb, lab.B, 0.01);
    }

    /// <summary>J4: cream thread on navy cloth 96.38 (133.08 Euclidean); two greys 3.51.</summary>
    [Fact]
    public void Difference_OfThreadOnCloth_IsThePublishedExample()
    {
        LabColour cream = LabColour.FromSrgb(255, 253, 208), navy = LabColour.FromSrgb(0, 0, 128);
        Assert.Equal(96.38, cream.Difference2000(navy), 0.01);
        Assert.Equal(133.08, cream.Difference76(navy), 0.01);
        Assert.Equal(3.51, LabColour.FromSrgb(119, 119, 119).Difference2000(LabColour.FromSrgb(128, 128, 128)), 0.01);
    }
}
