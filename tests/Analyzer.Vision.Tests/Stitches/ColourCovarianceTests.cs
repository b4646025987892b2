using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tests.Stitches;

/// <summary>Truth: for unit noise and a nuisance n of strength k along a unit vector, (I + k² n nᵀ)⁻¹ = I - k²/(1 + k²) n nᵀ (Sherman and Morrison 1950, from memory). The covariance keeps a floor of a thousandth of its trace in every direction, 0.04 here: that is what the tolerances allow for.</summary>
public sealed class ColourCovarianceTests
{
    [Fact]
    public void Marks_colour_counts_for_little_and_any_other_as_before()
    {
        const double strength = 6;
        var pen = new Colour3(-0.6, 0, -0.8);
        ColourCovariance noise = ColourCovariance.Unit, known = noise.With([pen], strength);
        double k2 = strength * strength;
        Assert.Equal(1 / (1 + k2), known.SquaredDistance(pen), 2e-3);
        Assert.Equal(1, known.SquaredDistance(new Colour3(0, 1, 0)), 0.05);
        var across = new Colour3(0.8, 0, -0.6);
        Assert.Equal(noise.SquaredDistance(across), known.SquaredDistance(across), 0.05);
        // Half along, half across: only the half across is left.
        Colour3 both = Math.Sqrt(0.5) * (pen + across);
        Assert.Equal(0.5, known.SquaredDistance(both), 0.03);
    }

    [Fact]
    public void Strength_whatever_the_colour_leaves_out_the_marks()
    {
        var pen = new Colour3(-0.6, 0, -0.8);
        StrengthMeasure free = StrengthMeasure.AnyColour(ColourCovariance.Unit), known = StrengthMeasure.AnyColour(ColourCovariance.Unit.With([pen], 6));
        var red = new Colour3(-5, 9, 2);
        Assert.True(free.Of(10 * pen) > 9);
        Assert.True(known.Of(10 * pen) < 2);
        Assert.True(known.Of(red) > 0.7 * free.Of(red));
    }
}
