using Analyzer.Core.Geometry;
using Analyzer.Testing.Noise;
using Analyzer.Testing.Scene;

namespace Analyzer.Testing;

public enum BadKind { BlankCloth, MarksOnly, Blurred, Dark, Glare, TooSmall, CornerOutside, WrongObject }

/// <summary>A photo that cannot be measured, or only in part (glare), and why.</summary>
public sealed record BadPhoto(BadKind Kind, SceneSettings Settings)
{
    public SyntheticPhoto Render() => SceneRenderer.Render(Settings);
}

/// <summary>Invented photos of every kind that must be refused or cautioned.</summary>
public static class BadPhotos
{
    /// <summary>Kinds follow one another with the seed, so that any run of eight seeds has each once.</summary>
    public static BadPhoto Random(int seed, double? sideMm = null) =>
        Of((BadKind)(((seed % 8) + 8) % 8), seed, sideMm);

    public static BadPhoto Of(BadKind kind, int seed, double? sideMm = null)
    {
        var random = new SeededRandom(seed, "bad " + kind);
        SceneSettings good = SceneSettings.Random(seed + 200_000, random.Chance(0.5) ? Tier.Easy : Tier.Ordinary, sideMm);
        good = good with { Seed = seed, Stitch = good.Stitch with { MissingLines = 0, ExtraLines = 0 }, Description = kind.ToString() };
        return new BadPhoto(kind, kind switch
        {
            BadKind.BlankCloth => good with { Stitch = good.Stitch with { NothingStitched = true, LooseEnds = 0 }, Marks = null },
            BadKind.MarksOnly => good with { Stitch = good.Stitch with { NothingStitched = true, LooseEnds = 0 }, Marks = Materials.PickMarks(random, good.Cloth) },
            BadKind.Blurred => Blurred(good, random),
            BadKind.Dark => good with { Finish = good.Finish with { Exposure = random.Uniform(0.008, 0.03), NoiseLevels = random.Uniform(3, 8), Glare = 0 } },
            BadKind.Glare => good with
            {
                Finish = good.Finish with { Glare = random.Uniform(1.2, 3), GlareX = random.Uniform(0.35, 0.65), GlareY = random.Uniform(0.35, 0.65), GlareRadius = random.Uniform(0.15, 0.3) },
            },
            BadKind.TooSmall => Scaled(good, random.Uniform(1, 2.7)),
            BadKind.CornerOutside => Shifted(good, random),
            _ => Wrong(good, random),
        });
    }

    private static SceneSettings Blurred(SceneSettings good, SeededRandom random)
    {
        double px = random.Uniform(0.45, 1.1) * good.Camera.PixelsPerMm;
        return good with
        {
            Finish = random.Chance(0.6)
                ? good.Finish with { BlurPx = px, MotionPx = 0 }
                : good.Finish with { BlurPx = 0.35 * px, MotionPx = 3.5 * px, MotionDeg = random.Uniform(0, 180) },
        };
    }

    private static SceneSettings Scaled(SceneSettings good, double pixelsPerMm)
    {
        double k = pixelsPerMm / good.Camera.PixelsPerMm;
        CameraSettings c = good.Camera;
        return good with
        {
            Camera = c with
            {
                PixelsPerMm = pixelsPerMm,
                WidthPx = Math.Max(64, (int)(c.WidthPx * k)),
                HeightPx = Math.Max(64, (int)(c.HeightPx * k)),
                ShiftXPx = c.ShiftXPx * k,
                ShiftYPx = c.ShiftYPx * k,
            },
        };
    }

    /// <summary>Moves the picture until at least one corner of the block lies outside by some per cent of a side.</summary>
    private static SceneSettings Shifted(SceneSettings good, SeededRandom random)
    {
        double angle = random.Uniform(0, 2 * Math.PI), beyond = random.Uniform(0.02, 0.12) * good.Size.WidthMm * good.Camera.PixelsPerMm;
        for (int step = 0; step < 200; step++)
        {
            SceneSettings moved = good with
            {
                Camera = good.Camera with { ShiftXPx = good.Camera.ShiftXPx + step * 20 * Math.Cos(angle), ShiftYPx = good.Camera.ShiftYPx + step * 20 * Math.Sin(angle) },
            };
            var camera = new CameraModel(moved.Camera, moved.Size);
            foreach (BlockPoint corner in moved.Size.Corners())
            {
                PhotoPoint p = camera.Project(corner.Xmm, corner.Ymm);
                double outside = Math.Max(Math.Max(-p.X, p.X - moved.Camera.WidthPx), Math.Max(-p.Y, p.Y - moved.Camera.HeightPx));
                if (outside > beyond) return moved;
            }
        }
        return good;
    }

    /// <summary>A table with things on it, or a length of printed cloth without any block.</summary>
    private static SceneSettings Wrong(SceneSettings good, SeededRandom random)
    {
        good = good with { Stitch = good.Stitch with { NothingStitched = true, LooseEnds = 0 }, Marks = null };
        if (random.Chance(0.5))
            return good with { NoCloth = true, Table = good.Table with { Clutter = [Clutter.Ruler, Clutter.Scissors, Clutter.Spool, Clutter.Pins] } };
        ClothSettings cloth = Materials.Printed(random, random.Pick(Print.Floral, Print.Stripes, Print.Check, Print.Dots, Print.Blobs, Print.Mottled), random.Uniform(15, 40));
        return good with
        {
            Cloth = cloth,
            Surround = new SurroundSettings { Kind = Surround.DitchOnly, DitchStitched = false, SeamDarkness = 0 },
            Relief = good.Relief with { HeightMm = 0, FurrowDepth = 0, FurrowShadow = 0, WrinkleMm = 0.2 },
        };
    }
}
