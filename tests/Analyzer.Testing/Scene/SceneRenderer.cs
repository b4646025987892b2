using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;
using Analyzer.Testing.Scene;
using Analyzer.Testing.Truth;

namespace Analyzer.Testing;

/// <summary>Settings in, photo with truth out. The same settings give the same bytes.</summary>
public static class SceneRenderer
{
    public static SyntheticPhoto Render(SceneSettings settings)
    {
        (IntendedGrid grid, PlaneDistortion distortion, StitchPlan plan, CameraModel camera) = Plan(settings);
        SceneTruth truth = TruthMaker.Make(settings, grid, plan, distortion, camera);
        CameraSettings c = settings.Camera;
        float[][] planes = Expose(settings, plan, distortion, camera);
        byte[] rgb = new PhotoFinisher(settings.Finish, c.WidthPx, c.HeightPx, settings.Seed).Develop(planes);
        return new SyntheticPhoto(rgb, c.WidthPx, c.HeightPx, truth, settings);
    }

    /// <summary>The same scene taken twice: the second photo differs by its sensor's noise alone.</summary>
    public static (SyntheticPhoto First, SyntheticPhoto Second) RenderTwice(SceneSettings settings)
    {
        (IntendedGrid grid, PlaneDistortion distortion, StitchPlan plan, CameraModel camera) = Plan(settings);
        SceneTruth truth = TruthMaker.Make(settings, grid, plan, distortion, camera);
        CameraSettings c = settings.Camera;
        float[][] planes = Expose(settings, plan, distortion, camera);
        SyntheticPhoto Shot(int shot, float[][] light) =>
            new(new PhotoFinisher(settings.Finish, c.WidthPx, c.HeightPx, settings.Seed, shot).Develop(light), c.WidthPx, c.HeightPx, truth, settings);
        SyntheticPhoto first = Shot(0, [.. planes.Select(p => (float[])p.Clone())]);
        return (first, Shot(1, planes));
    }

    /// <summary>The truth alone, without drawing anything (fast).</summary>
    public static SceneTruth TruthOf(SceneSettings settings)
    {
        (IntendedGrid grid, PlaneDistortion distortion, StitchPlan plan, CameraModel camera) = Plan(settings);
        return TruthMaker.Make(settings, grid, plan, distortion, camera);
    }

    private static (IntendedGrid, PlaneDistortion, StitchPlan, CameraModel) Plan(SceneSettings settings)
    {
        var grid = new IntendedGrid(settings.Size, settings.Families);
        var distortion = new PlaneDistortion(settings.Size, settings.Stitch.DistortionMm, new SeededRandom(settings.Seed, "distortion"));
        return (grid, distortion, StitchPlan.Make(settings, grid, distortion), new CameraModel(settings.Camera, settings.Size));
    }

    private static float[][] Expose(SceneSettings settings, StitchPlan plan, PlaneDistortion distortion, CameraModel camera)
    {
        PlaneArea cloth = ClothArea(settings, camera, out PlaneArea seen);
        // Finer than the photo where it is finest, so that nothing but the camera limits what is seen.
        double texelsPerMm = Math.Clamp(1.7 * settings.Camera.PixelsPerMm, 6, 24);
        Texture texture = new ClothPainter(settings, plan, distortion, seen, texelsPerMm).Texture;
        var table = new TablePainter(settings.Table, settings.Seed);
        List<OverlayItem> items = ClutterMaker.Make(settings, cloth);
        double pixelMm = 1 / settings.Camera.PixelsPerMm, farMm = 2 + 2 * pixelMm;
        bool smoothTable = settings.Table.Kind != TableKind.CuttingMat;
        (int width, int height) = (settings.Camera.WidthPx, settings.Camera.HeightPx);
        float[][] planes = [new float[width * height], new float[width * height], new float[width * height]];
        double light = settings.Light.FromDeg * Math.PI / 180, lx = Math.Cos(light), ly = -Math.Sin(light);
        uint fray = new SeededRandom(settings.Seed, "fray").NextSeed();
        Parallel.For(0, height, row =>
        {
            // Four looks per pixel, a quarter pixel off its centre each way; between whole columns the view is straight to 1e-6 px.
            (double X, double Y)[] upper = View(row - 0.25), lower = View(row + 0.25);
            for (int col = 0; col < width; col++)
            {
                LinearRgb sum = default;
                if (smoothTable)
                {
                    // Table far from any cloth has no edge finer than a pixel: one look is enough.
                    (double cx, double cy) = upper[col + 1];
                    if (cloth.Outside(cx, cy) > farMm)
                    {
                        sum = At(cx, cy);
                        (planes[0][row * width + col], planes[1][row * width + col], planes[2][row * width + col]) = (sum.R, sum.G, sum.B);
                        continue;
                    }
                }
                sum += Quarter(upper, col, -1) + Quarter(upper, col, 1) + Quarter(lower, col, -1) + Quarter(lower, col, 1);
                int i = row * width + col;
                (planes[0][i], planes[1][i], planes[2][i]) = (sum.R / 4, sum.G / 4, sum.B / 4);
            }
        });
        return planes;

        (double X, double Y)[] View(double y)
        {
            var view = new (double X, double Y)[width + 2];
            for (int i = 0; i < view.Length; i++) view[i] = camera.Unproject(i - 1, y);
            return view;
        }

        LinearRgb Quarter((double X, double Y)[] view, int col, int side)
        {
            (double X, double Y) a = view[col + 1], b = view[col + 1 + side];
            return At(a.X + 0.25 * (b.X - a.X), a.Y + 0.25 * (b.Y - a.Y));
        }

        LinearRgb At(double x, double y)
        {
            LinearRgb colour;
            double outside = cloth.Outside(x, y);
            if (outside <= 0 && !settings.NoCloth && texture.Area.Contains(x, y) && (Inside(x, y) > 0.5 || InsideFrayed(x, y)))
            {
                colour = texture.Sample(x, y);
            }
            else
            {
                // Cloth throws a soft shadow on the table on the side away from the light.
                double shadow = settings.NoCloth || outside > 12 ? 0
                    : Math.Exp(-outside / 2.2) * 0.3 + Math.Exp(-Math.Pow(cloth.Outside(x + 2.5 * lx, y + 2.5 * ly) / 2.5, 2)) * 0.35;
                colour = table.At(x, y) * (float)(1 - Math.Min(0.65, shadow));
            }
            foreach (OverlayItem item in items) colour = item.Apply(colour, x, y, lx, ly);
            return colour;
        }

        double Inside(double x, double y) => Math.Min(Math.Min(x - cloth.LeftMm, cloth.RightMm - x), Math.Min(y - cloth.TopMm, cloth.BottomMm - y));

        bool InsideFrayed(double x, double y)
        {
            double wave = 0.35 * SmoothNoise.Octaves(x / 6, y / 6, fray, 4);
            return cloth.Contains(x + wave, y + wave);
        }
    }

    /// <summary>The cloth's outline on the plane, and the part of it that the photo shows.</summary>
    private static PlaneArea ClothArea(SceneSettings settings, CameraModel camera, out PlaneArea seen)
    {
        PlaneArea cloth = settings.ClothOutline();
        double left = double.MaxValue, top = double.MaxValue, right = double.MinValue, bottom = double.MinValue;
        for (int i = 0; i <= 20; i++)
        {
            double x = i / 20.0 * settings.Camera.WidthPx - 1, y = i / 20.0 * settings.Camera.HeightPx - 1;
            foreach ((double px, double py) in new[] { camera.Unproject(x, -1), camera.Unproject(x, settings.Camera.HeightPx), camera.Unproject(-1, y), camera.Unproject(settings.Camera.WidthPx, y) })
                (left, top, right, bottom) = (Math.Min(left, px), Math.Min(top, py), Math.Max(right, px), Math.Max(bottom, py));
        }
        seen = new PlaneArea(Math.Max(cloth.LeftMm, left) - 1, Math.Max(cloth.TopMm, top) - 1, Math.Min(cloth.RightMm, right) + 1, Math.Min(cloth.BottomMm, bottom) + 1);
        if (seen.WidthMm < 2 || seen.HeightMm < 2) seen = new PlaneArea(0, 0, 2, 2);
        return cloth;
    }
}
