using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tracing;
using OpenCvSharp;
using Xunit.Abstractions;

namespace Analyzer.Vision.Tests.Tracing;

/// <summary>
/// The tracer itself, from photo to samples, against the limit that noise sets (external checks E4 to E6) and against the known bias on an asymmetric line (E3).
/// Truth is analytic: straight grey lines of a known profile on plain ground, white noise of a known size.
/// </summary>
public sealed class LineCentreTests(ITestOutputHelper output)
{
    private const double PxPerMm = 8, SideMm = 100, Ground = 90;

    private static readonly BlockSize Size = new(SideMm, SideMm);

    private static readonly IntendedGrid Grid = new(Size, [new LineFamily(0, 20, new BlockPoint(0, 20))]);

    /// <summary>Thread's centre below its intended line, px: another part of a pixel at each line.</summary>
    private static double OffsetPx(int line) => 0.3 + 0.17 * line;

    private static TracedLine[] Trace(Func<double, double> profilePx, double noise, int seed, bool ontoTheMiddle = true)
    {
        int n = (int)(SideMm * PxPerMm) + 1;
        var random = new Random(seed);
        var levels = new byte[n * n];
        for (int row = 0; row < n; row++)
        {
            double v = Ground;
            for (int k = 0; k < Grid.Lines.Count; k++) v += profilePx(row - Grid.Lines[k].From.Ymm * PxPerMm - OffsetPx(k));
            for (int col = 0; col < n; col++) levels[row * n + col] = (byte)Math.Clamp(Math.Round(v + noise * CentreNoise.Normal(random)), 0, 255);
        }
        using Mat grey = Mat.FromPixelData(n, n, MatType.CV_8UC1, levels);
        var bgr = new Mat();
        Cv2.CvtColor(grey, bgr, ColorConversionCodes.GRAY2BGR);
        using var photo = new Photo(bgr, "lines", "", PhotoMetadata.None);
        var plane = new BlockPlane(new BlockCorners(new(0, 0), new(n - 1, 0), new(n - 1, n - 1), new(0, n - 1), 0), Size);
        TracedLine?[] lines = [.. new StitchTracer(new StitchSettings { ThreadMiddle = ontoTheMiddle }).Trace(photo, plane, Grid).Lines];
        Assert.All(lines, l => Assert.True(l is { Coverage: > 0.9 }));
        return [.. lines.Select(l => l!)];
    }

    /// <summary>
    /// E4, E6: no unbiased centre of a whole line, its profile known to be even, can be better than the bound; ours must not be worse than twice it. Offsets of 40 lines of 100 mm (800 px) tell
    /// their spread to 11 %, so 0.7 is three of these below the bound: less than that would be a mistake in the test.
    /// E5: single samples are averaged along by at most 1.2 mm, whose bound over that length is the least they can have; the stated uncertainty must hold their errors.
    /// </summary>
    [Theory]
    [InlineData(1.5, 5)]
    [InlineData(1.5, 2)]
    [InlineData(2.0, 10)]
    public void OffsetOfALine_InWhiteNoise_IsNearTheBound(double sdPx, double contrastToNoise)
    {
        const double contrast = 60;
        List<double> offsets = [], samples = [], claimed = [];
        for (int seed = 0; seed < 10; seed++)
        {
            TracedLine[] lines = Trace(x => contrast * Math.Exp(-x * x / (2 * sdPx * sdPx)), contrast / contrastToNoise, seed, ontoTheMiddle: false);
            for (int k = 0; k < lines.Length; k++)
            {
                double[] errors = [.. lines[k].DeviationMm.Select(d => d * PxPerMm - OffsetPx(k))];
                offsets.Add(errors.Average());
                samples.AddRange(errors);
                claimed.AddRange(lines[k].SigmaMm.Select(s => s * PxPerMm));
            }
        }
        double offset = Rms(offsets), bound = LineCentreBounds.GaussianLine(sdPx, contrastToNoise, SideMm * PxPerMm);
        double sample = Rms(samples), least = LineCentreBounds.GaussianLine(sdPx, contrastToNoise, 2 * Math.Sqrt(Math.PI) * new TracingSettings().FaintAlongScaleMm * PxPerMm);
        double covered = samples.Zip(claimed, (e, u) => Math.Abs(e) <= 2 * u ? 1 : 0).Average();
        output.WriteLine($"offset {offset:0.0000} px, bound {bound:0.0000}, ratio {offset / bound:0.00}, mean {offsets.Average():0.0000}; sample {sample:0.000} px, bound over its averaging {least:0.000}, stated {Rms(claimed):0.000}, covered {covered:0.000}");
        Assert.InRange(offset / bound, 0.7, 2);
        Assert.True(sample > least, "better than the bound");
        Assert.InRange(covered, 0.92, 1);
    }

    /// <summary>Noise alone moves even lines hardly at all onto another middle: not by a fifth of what stays unsure of it.</summary>
    [Theory]
    [InlineData(1.5, 2)]
    [InlineData(2.0, 10)]
    public void EvenLinesInWhiteNoise_AreNotMoved(double sdPx, double contrastToNoise)
    {
        const double contrast = 60;
        for (int seed = 0; seed < 5; seed++)
        {
            TracedLine line = Trace(x => contrast * Math.Exp(-x * x / (2 * sdPx * sdPx)), contrast / contrastToNoise, seed)[0];
            output.WriteLine($"moved {line.MiddleMovedMm:0.0000} mm, u {line.CommonUMm:0.0000}");
            Assert.InRange(Math.Abs(line.MiddleMovedMm), 0, 0.2 * line.CommonUMm);
        }
    }

    private static double Rms(List<double> v) => Math.Sqrt(v.Average(x => x * x));

    /// <summary>
    /// E3 (Steger, IEEE PAMI 20(2), 1998): a bar of half-width w between grounds of unequal height (0, inside 1, beyond a) draws a second-derivative detector of scale σ
    /// aside by -(σ²/2w) ln(1 - a). A one-sided furrow shadow is that case. The tracer must be drawn aside less. The bar is flat, and a thread is round: what its grounds would say of the light on a thread is
    /// within what the lines say of themselves.
    /// </summary>
    [Theory]
    [InlineData(1.5, 1.5, 0.25, 0.215761554)]
    [InlineData(1.5, 1.5, 0.5, 0.519860385)]
    [InlineData(2, 1.1547005383792517, 0.2, 0.074381184)]
    [InlineData(2, 2, 0.2, 0.223143551)]
    [InlineData(1, 1, 0.1, 0.052680258)]
    public void CentreOfAnAsymmetricBar_IsDrawnAsideLessThanByADerivative(double halfWidthPx, double sigmaPx, double otherSide, double biasPx)
    {
        // The grounds add up over four lines; the pixel's own blur rounds the bar.
        const double contrast = 50, blurPx = 0.7, noise = 2;
        (double followed, _) = Mean(ontoTheMiddle: false);
        (double mean, double u) = Mean(ontoTheMiddle: true);
        output.WriteLine($"followed {followed:0.000} px, given {mean:0.000} px, u {u:0.000}; a second derivative at σ {sigmaPx:0.00}: {biasPx:0.000}");
        Assert.InRange(Math.Abs(followed), 0, biasPx);
        Assert.InRange(Math.Abs(mean), 0, u);

        (double MeanPx, double UPx) Mean(bool ontoTheMiddle)
        {
            TracedLine[] lines = Trace(x => contrast * (Step((x + halfWidthPx) / blurPx) - (1 - otherSide) * Step((x - halfWidthPx) / blurPx)), noise, 3, ontoTheMiddle);
            return (lines.Select((l, k) => l.DeviationMm.Average(d => d * PxPerMm - OffsetPx(k))).Average(), PxPerMm * lines.Average(l => l.CommonUMm));
        }

        static double Step(double z) => 0.5 * (1 + ThreadTemplate.Erf(z / Math.Sqrt(2)));
    }
}

internal static class CentreNoise
{
    public static double Normal(Random r) => Math.Sqrt(-2 * Math.Log(1 - r.NextDouble())) * Math.Cos(2 * Math.PI * r.NextDouble());
}
