using Analyzer.Core.Deviation;
using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;
using Analyzer.Vision.Tests.Tracing;
using Analyzer.Vision.Tracing;
using OpenCvSharp;
using Xunit.Abstractions;

namespace Analyzer.Vision.Tests.Stitches;

/// <summary>
/// External check D2: the three lines of the scikit-image gallery's "Straight line Hough transform" (pixel ends as given there; rho and theta follow from the ends).
/// 200 x 200 px, lines one pixel wide, rho = x cos θ + y sin θ. Each family is looked for a degree off its true direction.
/// </summary>
public sealed class HoughLinesTests(ITestOutputHelper output)
{
    /// <summary>D2 asks for half a bin (0.25 degrees, 0.5 px) before refinement, 0.03 degrees and 0.1 px after a least-squares refit.</summary>
    private const double HalfBinDeg = 0.25, HalfBinPx = 0.5, RefitDeg = 0.03, RefitPx = 0.1;

    private static readonly (Point From, Point To, double ThetaDeg, double RhoPx)[] Published =
    [
        (new(25, 25), new(174, 174), -45, 0),
        (new(25, 45), new(175, 25), 82.405356631, 47.909348533),
        (new(135, 25), new(155, 175), -7.594643369, 130.511673590),
    ];

    private static BlockSize Size(double pxPerMm) => new(199 / pxPerMm, 199 / pxPerMm);

    private static LineFamily[] Families(double pxPerMm) => [Family(-44, 100, 100, pxPerMm), Family(8.6, 100, 36, pxPerMm), Family(-81.4, 146, 100, pxPerMm)];

    private static readonly Colour3 Lighter = Colour3.OfBgr(1, 1, 1);

    private static LineFamily Family(double angleDeg, double xPx, double yPx, double pxPerMm) => new(angleDeg, 300 / pxPerMm, new BlockPoint(xPx / pxPerMm, yPx / pxPerMm));

    /// <summary>The product weighs evidence in units of the ground's own noise, so the ground is given some: a tenth of the lines' height.</summary>
    private static Photo Draw(int? only = null)
    {
        const double ground = 90, line = 150, noise = 6;
        using var clean = new Mat(200, 200, MatType.CV_64FC1, Scalar.All(ground));
        foreach ((Point from, Point to, _, _) in Published.Where((_, f) => only is null || f == only)) Cv2.Line(clean, from, to, Scalar.All(line), 1, LineTypes.Link8);
        var random = new Random(4);
        for (int row = 0; row < 200; row++)
            for (int col = 0; col < 200; col++) clean.Set(row, col, clean.At<double>(row, col) + noise * CentreNoise.Normal(random));
        using var grey = new Mat();
        clean.ConvertTo(grey, MatType.CV_8UC1);
        var bgr = new Mat();
        Cv2.CvtColor(grey, bgr, ColorConversionCodes.GRAY2BGR);
        return new Photo(bgr, "lines", "", PhotoMetadata.None);
    }

    private static BlockPlane Plane(double pxPerMm) => new(new BlockCorners(new(0, 0), new(199, 0), new(199, 199), new(0, 199), 0), Size(pxPerMm));

    /// <summary>The Hough transform by itself, one pixel read as one millimetre, so that its rows are finer than the published bins.</summary>
    [Fact]
    public void Hough_OfTheGalleryImage_IsWithinHalfABin()
    {
        const double pxPerMm = 1;
        using Photo photo = Draw();
        LineFamily[] families = Families(pxPerMm);
        var settings = new EvidenceSettings { RidgeScaleMm = 0.6, AlongScaleMm = 3 };
        BlockPlane plane = Plane(pxPerMm);
        FamilyEvidence[] evidence = FamilyEvidence.OfAll(new ReducedPhoto(photo, plane), plane, families, settings);
        for (int f = 0; f < families.Length; f++)
        {
            var map = ScoreMap.OfColour(ScoreColumns.Of(evidence[f], settings.EdgeInsetMm), settings, evidence[f].Noise.Discriminant(Lighter));
            HoughLine line = HoughLines.Find(map, 5)[0];
            Check(f, Polar(families[f], line.AcrossMm, line.MidAlongMm, line.Slope, pxPerMm), HalfBinDeg, HalfBinPx);
        }
    }

    /// <summary>The whole tracer at 5 px/mm and the reference line that the report gives, each line in a picture of its own.</summary>
    [Fact]
    public void TracedLine_AfterItsLeastSquaresFit_IsTheGalleryLine()
    {
        for (int f = 0; f < Published.Length; f++)
        {
            using Photo photo = Draw(f);
            ((double, double) seen, _, _) = Traced(photo, [Families(TracedPxPerMm)[f]]).Single();
            Check(f, seen, RefitDeg, RefitPx);
        }
    }

    /// <summary>
    /// The same with all three in one picture, where they hide each other at the crossings. Nothing may lie beyond 3u, and of the three lines one beyond 2u (an
    /// angle and a place each, which hang together: by chance one such line in every eight pictures, two in two hundred).
    /// </summary>
    [Fact]
    public void TracedLines_ThatCross_AreTheGalleryLinesWithinTheirUncertainty()
    {
        using Photo photo = Draw();
        double[] z = [.. Traced(photo, Families(TracedPxPerMm)).Select((t, f) =>
            Math.Max(Math.Abs(t.Line.ThetaDeg - Published[f].ThetaDeg) / t.UDeg, Math.Abs(t.Line.RhoPx - Published[f].RhoPx) / t.UPx))];
        output.WriteLine(string.Join(' ', z.Select(v => $"{v:0.0}")));
        Assert.All(z, v => Assert.InRange(v, 0, 3));
        Assert.True(z.Count(v => v > 2) <= 1);
    }

    private const double TracedPxPerMm = 5;

    private static List<((double ThetaDeg, double RhoPx) Line, double UDeg, double UPx)> Traced(Photo photo, LineFamily[] families)
    {
        var grid = new IntendedGrid(Size(TracedPxPerMm), families);
        TracedLine?[] traced = [.. new StitchTracer().Trace(photo, Plane(TracedPxPerMm), grid).Lines];
        var result = new List<((double, double), double, double)>();
        for (int f = 0; f < families.Length; f++)
        {
            GridLine intended = grid.Lines.Single(l => l.Family == f);
            TracedLine line = traced.Single(t => t?.Line.Id == intended.Id)!;
            ReferenceLineFit fit = ReferenceLineFit.Fit(line.AlongMm, line.DeviationMm, line.SigmaMm, line.Noise);
            double start = families[f].Along(intended.From), across = families[f].Across(intended.From);
            // u of rho at the foot of the normal, which may lie off the line's middle.
            (double theta, double rho) = Polar(families[f], across + fit.OffsetMm, start + fit.MidAlongMm, fit.Slope, TracedPxPerMm);
            (double sin, double cos) = Math.SinCos(theta * Math.PI / 180);
            double foot = families[f].Along(new BlockPoint(rho * cos / TracedPxPerMm, rho * sin / TracedPxPerMm)) - start;
            result.Add(((theta, rho), fit.AngleUDeg, TracedPxPerMm * Math.Sqrt(Math.Pow(fit.UAt(foot), 2) + line.CommonUMm * line.CommonUMm)));
        }
        return result;
    }

    private void Check(int f, (double ThetaDeg, double RhoPx) seen, double withinDeg, double withinPx)
    {
        output.WriteLine($"theta {seen.ThetaDeg:0.000} against {Published[f].ThetaDeg:0.000}, rho {seen.RhoPx:0.00} against {Published[f].RhoPx:0.00}, within {withinDeg:0.000} and {withinPx:0.00}");
        Assert.Equal(Published[f].ThetaDeg, seen.ThetaDeg, withinDeg);
        Assert.Equal(Published[f].RhoPx, seen.RhoPx, withinPx);
    }

    /// <summary>Normal form of the line n·p = across + slope·(u·p - from), angle in -90 to 90 degrees, px.</summary>
    private static (double ThetaDeg, double RhoPx) Polar(LineFamily family, double acrossMm, double fromAlongMm, double slope, double pxPerMm)
    {
        double nx = family.AcrossX - slope * family.AlongX, ny = family.AcrossY - slope * family.AlongY, theta = Math.Atan2(ny, nx);
        BlockPoint on = family.At(fromAlongMm, acrossMm);
        if (theta > Math.PI / 2) theta -= Math.PI;
        else if (theta <= -Math.PI / 2) theta += Math.PI;
        return (theta * 180 / Math.PI, pxPerMm * (on.Xmm * Math.Cos(theta) + on.Ymm * Math.Sin(theta)));
    }
}
