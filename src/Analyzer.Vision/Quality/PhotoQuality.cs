using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Vision.Photos;
using OpenCvSharp;

namespace Analyzer.Vision.Quality;

/// <summary>Judges a photo before anything is measured in it.</summary>
public static class PhotoQuality
{
    public const string Good = "good", Fair = "fair", Poor = "poor";

    /// <summary>Each check with its value, the limit for "good", a level and what to do about it.</summary>
    public static IReadOnlyList<QualityCheck> Check(Photo photo, BlockCorners corners, BlockSize size, QualityLimits? limits = null)
    {
        QualityLimits l = limits ?? QualityLimits.Default;
        Homography photoFromBlock = Homography.FromFourPoints([.. size.Corners().Select(p => (p.Xmm, p.Ymm))], [.. corners.ToArray().Select(p => (p.X, p.Y))]);
        CameraPose pose = CameraPose.Of(photo, corners, size);
        List<(Mat Grey, double PixelsPerMm)> pieces = BlockPixels.Pieces(photo.Bgr, photoFromBlock, size);
        try
        {
            double[] noises = new double[pieces.Count], blur = new double[pieces.Count];
            Task<LightReading> seen = Task.Run(() =>
            {
                using Mat small = BlockPixels.Small(photo.Bgr, photoFromBlock, size);
                return LightReading.Of(small);
            });
            Parallel.For(0, noises.Length, i => noises[i] = NoiseEstimate.Of(pieces[i].Grey));
            Array.Sort(noises);
            double noise = pieces.Count == 0 ? 0 : noises[pieces.Count / 2];
            Parallel.For(0, blur.Length, i => blur[i] = BlurEstimate.Of(pieces[i].Grey, noise) / pieces[i].PixelsPerMm);
            double[] blurs = [.. blur.Where(double.IsFinite).Order()];
            LightReading light = seen.GetAwaiter().GetResult();
            return
            [
                Sharpness(blurs, l),
                Resolution(photoFromBlock, size, l),
                Brightness(light, photo, l),
                Clipping(light, l),
                Glare(light, l),
                Noise(noise, l),
                Tilt(pose, l),
                Loft(pose, size, l),
                Rim(photo, corners, l),
            ];
        }
        finally
        {
            foreach ((Mat grey, _) in pieces) grey.Dispose();
        }
    }

    /// <summary>The worst level of all checks.</summary>
    public static string Overall(IEnumerable<QualityCheck> checks)
    {
        var levels = checks.Select(c => c.Level).ToList();
        return levels.Contains(Poor) ? Poor : levels.Contains(Fair) ? Fair : Good;
    }

    private static QualityCheck Sharpness(double[] blurs, QualityLimits l)
    {
        // The second worst of the nine places: one piece may lie on a soft print only.
        if (blurs.Length == 0) return new QualityCheck("sharpness", double.NaN, l.GoodBlurMm, "mm", Poor, "No thread or edge stands out sharply enough to judge the focus: hold still, tap the block to focus, and use more light.");
        double value = blurs[Math.Max(0, blurs.Length - 2)];
        return Below("sharpness", value, l.GoodBlurMm, l.FairBlurMm, "mm", "Sharp enough to see single stitches.", "The photo is soft: rest the phone on something, tap the block to focus, and use more light.");
    }

    private static QualityCheck Resolution(Homography photoFromBlock, BlockSize size, QualityLimits l)
    {
        double worst = size.Corners().Min(p => Corners.CornerFit.PixelsPerMmAt(photoFromBlock, p.Xmm, p.Ymm));
        return Above("resolution", worst, l.GoodPixelsPerMm, l.FairPixelsPerMm, "px/mm", "Enough pixels on every thread.", "Too few pixels on the thread: let the block fill the frame, use the full resolution, and send the original file.");
    }

    private static QualityCheck Brightness(LightReading light, Photo photo, QualityLimits l)
    {
        QualityCheck check = Above("brightness", light.MeanPercent, l.DarkGoodPercent, l.DarkFairPercent, "%", "Bright enough.", "The photo is dark: add light from the side, or touch the block on the screen and draw the brightness up.");
        return check.Level == Fair && LightReading.BrightestPercent(photo.Bgr) < l.DarkPhotoPercent ? check with { Level = Poor } : check;
    }

    private static QualityCheck Clipping(LightReading light, QualityLimits l) =>
        Below("clipping", light.ClippedPercent, l.GoodClippedPercent, l.FairClippedPercent, "%", "No burnt-out or black places to speak of.", "Parts are burnt out or black: draw the brightness down a little and avoid hard light and shadow.");

    private static QualityCheck Glare(LightReading light, QualityLimits l) =>
        Below("glare", light.GlarePercent, l.GoodGlarePercent, l.FairGlarePercent, "%", "No glare.", "There is a bright spot of glare: move the lamp to the side or turn off the flash.");

    private static QualityCheck Noise(double noise, QualityLimits l) =>
        Below("noise", noise, l.GoodNoiseLevels, l.FairNoiseLevels, "levels", "Little noise.", "The photo is grainy: use more light.");

    private static QualityCheck Tilt(CameraPose pose, QualityLimits l) =>
        Below("tilt", pose.TiltDeg, l.GoodTiltDeg, l.FairTiltDeg, "degrees", "Held nearly level over the block.", "The phone was tilted: hold it level, straight above the block's middle.");

    /// <summary>C10 of the external checks: how far loft shifts a point at the block's corner.</summary>
    private static QualityCheck Loft(CameraPose pose, BlockSize size, QualityLimits l)
    {
        double r = Math.Sqrt(size.WidthMm * size.WidthMm + size.HeightMm * size.HeightMm) / 2, shift = LoftParallax.ShiftMm(l.LoftMm, r, pose.DistanceMm);
        string assumed = pose.FocalIsKnown ? "" : " (the camera did not note its focal length; a phone's main camera is assumed)";
        return Below("distance", shift, l.GoodLoftShiftMm, l.FairLoftShiftMm, "mm", $"Far enough away that puffy batting shifts little{assumed}.", $"Taken from close by: puffy batting shifts outward in the photo. Step back and use the 2x camera{assumed}.");
    }

    private static QualityCheck Rim(Photo photo, BlockCorners corners, QualityLimits l)
    {
        double side = corners.TopLeft.DistanceTo(corners.TopRight);
        double rim = corners.ToArray().Min(p => Math.Min(Math.Min(p.X, p.Y), Math.Min(photo.WidthPx - 1 - p.X, photo.HeightPx - 1 - p.Y)));
        return Above("rim", 100 * rim / side, l.GoodRimPercent, l.FairRimPercent, "% of the side", "The whole block is in the photo.", "The block touches the photo's edge or is cut off: step back a little.");
    }

    private static QualityCheck Below(string name, double value, double good, double fair, string unit, string fine, string advice)
    {
        string level = value <= good ? Good : value <= fair ? Fair : Poor;
        return new QualityCheck(name, value, good, unit, level, level == Good ? fine : advice);
    }

    private static QualityCheck Above(string name, double value, double good, double fair, string unit, string fine, string advice)
    {
        string level = value >= good ? Good : value >= fair ? Fair : Poor;
        return new QualityCheck(name, value, good, unit, level, level == Good ? fine : advice);
    }
}
