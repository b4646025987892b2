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
        (int width, int height) = (settings.Camera.WidthPx, settings.Camera.HeightPx);
        float[][] planes = [new float[width * height], new float[width * height], new float[width * height]];
        double light = settings.Light.FromDeg * Math.PI / 180, lx = Math.Cos(light), ly = -Math.Sin(light);
        uint fray = new SeededRandom(settings.Seed, "fray").NextSeed();
        Parallel.For(0, height, row =>
        {
            for (int col = 0; col < width; col++)
            {
                LinearRgb sum = default;
                for (int k = 0; k < 4; k++)
                {
                    (double x, double y) = camera.Unproject(col + ((k & 1) - 0.5) * 0.5, row + ((k >> 1) - 0.5) * 0.5);
                    sum += At(x, y);
                }
                int i = row * width + col;
                (planes[0][i], planes[1][i], planes[2][i]) = (sum.R / 4, sum.G / 4, sum.B / 4);
            }
        });
        return planes;

        LinearRgb At(double x, double y)
        {
            LinearRgb colour;
            double outside = cloth.Outside(x, y), wave = outside > 3 ? 0 : 0.35 * SmoothNoise.Octaves(x / 6, y / 6, fray, 4);
            if (outside <= 0 ? cloth.Contains(x + wave, y + wave) && texture.Area.Contains(x, y) : false)
            {
                colour = texture.Sample(x, y);
            }
            else
            {
                // Cloth throws a soft shadow on the table on the side away from the light.
                double shadow = Math.Exp(-outside / 2.2) * 0.3 + Math.Exp(-Math.Pow(cloth.Outside(x + 2.5 * lx, y + 2.5 * ly) / 2.5, 2)) * 0.35;
                colour = table.At(x, y) * (float)(1 - Math.Min(0.65, shadow));
            }
            foreach (OverlayItem item in items) colour = item.Apply(colour, x, y, lx, ly);
            return colour;
        }
    }

    /// <summary>The cloth's outline on the plane, and the part of it that the photo shows.</summary>
    private static PlaneArea ClothArea(SceneSettings settings, CameraModel camera, out PlaneArea seen)
    {
        (double w, double h) = (settings.Size.WidthMm, settings.Size.HeightMm);
        double b = settings.Surround.Kind switch
        {
            Surround.LargerQuilt or Surround.DitchOnly => 4000,
            Surround.TableOnly => Math.Min(settings.Surround.WidthMm, 6),
            Surround.Binding => Math.Min(settings.Surround.WidthMm, 12),
            _ => settings.Surround.WidthMm,
        };
        var cloth = new PlaneArea(-b, -b, w + b, h + b);
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
