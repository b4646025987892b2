using Analyzer.Testing.Colour;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing.Scene;

/// <summary>Puts the usual things of a sewing table round the block.</summary>
internal static class ClutterMaker
{
    /// <summary>Width and height of an ID-1 card, mm (ISO/IEC 7810).</summary>
    public const double CardWidthMm = 85.60, CardHeightMm = 53.98;

    public static List<OverlayItem> Make(SceneSettings settings, PlaneArea cloth)
    {
        var random = new SeededRandom(settings.Seed, "clutter");
        var items = new List<OverlayItem>();
        PlaneArea rim = Rim(settings, cloth);
        items.AddRange(settings.Table.Marks.Select(Printed));
        foreach (Clutter kind in settings.Table.Clutter) items.AddRange(One(kind, settings, rim, random));
        return items;
    }

    /// <summary>Where the ID-1 card lies: its centre and turn on the plane.</summary>
    public static (double X, double Y, double TurnRad) CardPlace(SceneSettings settings)
    {
        var random = new SeededRandom(settings.Seed, "card");
        PlaneArea rim = Rim(settings, settings.ClothOutline());
        return (rim.RightMm + 5 + CardHeightMm * settings.Table.CardScale / 2, (rim.TopMm + rim.BottomMm) / 2 + random.Uniform(-20, 20), Math.PI / 2 + random.Uniform(-0.15, 0.15));
    }

    /// <summary>Things lie beyond the cloth, or a little beyond the block where the cloth goes on for ever.</summary>
    private static PlaneArea Rim(SceneSettings settings, PlaneArea cloth) => new(
        Math.Max(cloth.LeftMm, -42), Math.Max(cloth.TopMm, -42), Math.Min(cloth.RightMm, settings.Size.WidthMm + 42), Math.Min(cloth.BottomMm, settings.Size.HeightMm + 42));

    private static IEnumerable<OverlayItem> One(Clutter kind, SceneSettings settings, PlaneArea cloth, SeededRandom random)
    {
        double turn = random.Uniform(0, Math.PI);
        switch (kind)
        {
            case Clutter.Ruler:
                bool below = random.Chance(0.5);
                double ry = below ? cloth.BottomMm + random.Uniform(10, 24) : cloth.TopMm - random.Uniform(10, 24);
                yield return Ruler((cloth.LeftMm + cloth.RightMm) / 2 + random.Uniform(-30, 30), ry, random.Uniform(-0.05, 0.05), random);
                break;
            case Clutter.Card:
                yield return Card(CardPlace(settings), settings.Table.CardScale, random);
                break;
            case Clutter.Scissors:
                foreach (OverlayItem part in Scissors(cloth.LeftMm - random.Uniform(4, 16), random.Uniform(cloth.TopMm, cloth.BottomMm), turn, random)) yield return part;
                break;
            case Clutter.Hand:
                foreach (OverlayItem part in Hand(settings, cloth, random)) yield return part;
                break;
            case Clutter.Spool:
                yield return Spool(cloth.RightMm + random.Uniform(24, 38), random.Uniform(0.1, 0.9) * (cloth.BottomMm - cloth.TopMm) + cloth.TopMm, turn, settings.Thread.Colours[0]);
                break;
            default:
                for (int i = 0; i < 5; i++)
                    yield return Disc(cloth.LeftMm - random.Uniform(5, 22), random.Uniform(cloth.TopMm, cloth.BottomMm), 2, LinearRgb.FromHex(random.Pick(0xd03030, 0xf0c020, 0x3060c0, 0xf5f5f5)), 2);
                break;
        }
    }

    private static OverlayItem Printed(PrintedMark mark)
    {
        double half = mark.SideMm / 2, cx = mark.LeftMm + half, cy = mark.TopMm + half, cell = mark.SideMm / mark.Black.GetLength(0);
        LinearRgb paper = LinearRgb.FromHex(0xf2f1ec), ink = LinearRgb.FromHex(0x1b1b1d);
        return new OverlayItem
        {
            CentreX = cx,
            CentreY = cy,
            ReachMm = 2 * (half + mark.RimMm),
            ShadowMm = 0.3,
            Outside = (x, y) => Box(x - cx, y - cy, half + mark.RimMm, half + mark.RimMm, 0.2),
            Colour = (x, y) =>
            {
                int column = (int)Math.Floor((x - mark.LeftMm) / cell), row = (int)Math.Floor((y - mark.TopMm) / cell);
                return row >= 0 && column >= 0 && row < mark.Black.GetLength(0) && column < mark.Black.GetLength(1) && mark.Black[row, column] ? ink : paper;
            },
        };
    }

    private static double Box(double x, double y, double halfW, double halfH, double round)
    {
        double dx = Math.Abs(x) - halfW + round, dy = Math.Abs(y) - halfH + round;
        return Math.Sqrt(Math.Pow(Math.Max(dx, 0), 2) + Math.Pow(Math.Max(dy, 0), 2)) + Math.Min(Math.Max(dx, dy), 0) - round;
    }

    private static Func<double, double, (double X, double Y)> Local(double cx, double cy, double turn)
    {
        (double s, double c) = Math.SinCos(turn);
        return (x, y) => (c * (x - cx) + s * (y - cy), -s * (x - cx) + c * (y - cy));
    }

    private static OverlayItem Ruler(double cx, double cy, double turn, SeededRandom random)
    {
        Func<double, double, (double X, double Y)> local = Local(cx, cy, turn);
        LinearRgb body = LinearRgb.FromHex(random.Pick(0xd9c58f, 0xb4babf, 0xcfcfc6)), ink = LinearRgb.FromHex(0x20242a);
        double Tick(double x, double y)
        {
            double mm = Math.Round(x), d = Math.Abs(x - mm), length = (int)mm % 10 == 0 ? 8 : (int)mm % 5 == 0 ? 6 : 4;
            return y < -14 + length ? Math.Clamp(0.5 + (0.11 - d) / 0.12, 0, 1) : 0;
        }
        return new OverlayItem
        {
            CentreX = cx,
            CentreY = cy,
            ReachMm = 165,
            Outside = (x, y) => { (double u, double v) = local(x, y); return Box(u, v, 160, 14, 1); },
            Colour = (x, y) => { (double u, double v) = local(x, y); return LinearRgb.Mix(body, ink, (float)(0.85 * Tick(u, v))); },
        };
    }

    private static OverlayItem Card((double X, double Y, double TurnRad) place, double scale, SeededRandom random)
    {
        (double cx, double cy) = (place.X, place.Y);
        Func<double, double, (double X, double Y)> unscaled = Local(cx, cy, place.TurnRad);
        (double, double) local(double x, double y)
        {
            (double u, double v) = unscaled(x, y);
            return (u / scale, v / scale);
        }
        LinearRgb ground = LinearRgb.FromHex(random.Pick(0xd9dad6, 0x2f6f8f, 0xb8433a, 0x3b3f46)), other = LinearRgb.FromHex(random.Pick(0xe0b040, 0xd8dde0, 0x5a9a6a));
        return new OverlayItem
        {
            CentreX = cx,
            CentreY = cy,
            ReachMm = 55,
            ShadowMm = 0.8,
            Outside = (x, y) => { (double u, double v) = local(x, y); return Box(u, v, CardWidthMm / 2, CardHeightMm / 2, 3.18); },
            Colour = (x, y) =>
            {
                (double u, double v) = local(x, y);
                if (Box(u + 24, v + 4, 6, 4.8, 1.5) < 0) return other;
                if (v is > 12 and < 14.5 && u is > -34 and < 10) return ground * 0.55f;
                return u + v > 38 ? LinearRgb.Mix(ground, other, 0.5f) : ground;
            },
        };
    }

    /// <summary>A spool of thread lying on its side: two flanges and wound thread between them.</summary>
    private static OverlayItem Spool(double cx, double cy, double turn, LinearRgb thread)
    {
        Func<double, double, (double X, double Y)> local = Local(cx, cy, turn);
        LinearRgb flange = LinearRgb.FromHex(0xd8cdb8);
        return new OverlayItem
        {
            CentreX = cx,
            CentreY = cy,
            ReachMm = 34,
            ShadowMm = 6,
            Outside = (x, y) =>
            {
                (double u, double v) = local(x, y);
                return Math.Min(Box(u, v, 22, 8.5, 0.5), Math.Min(Box(u - 22, v, 1.6, 11.5, 1), Box(u + 22, v, 1.6, 11.5, 1)));
            },
            Colour = (x, y) =>
            {
                (double u, double v) = local(x, y);
                bool rim = Math.Abs(u) > 20.4;
                double round = v / (rim ? 12.5 : 9.2), shade = 0.35 + 0.75 * Math.Sqrt(Math.Max(0, 1 - round * round)) + 0.12 * round;
                double wind = rim ? 1 : 1 + 0.14 * Math.Sin(2 * Math.PI * (u + 0.15 * v) / 0.45) + 0.08 * SmoothNoise.Value(u * 1.3, v * 0.2, 77);
                return (rim ? flange : thread) * (float)(shade * wind);
            },
        };
    }

    private static OverlayItem Disc(double cx, double cy, double radius, LinearRgb colour, double shadow) => new()
    {
        CentreX = cx,
        CentreY = cy,
        ReachMm = radius + 2,
        ShadowMm = shadow,
        Outside = (x, y) => Math.Sqrt((x - cx) * (x - cx) + (y - cy) * (y - cy)) - radius,
        Colour = (x, y) =>
        {
            double r = Math.Sqrt((x - cx) * (x - cx) + (y - cy) * (y - cy)) / radius;
            return radius > 5 && r < 0.35 ? colour * 0.2f : colour * (float)(0.75 + 0.25 * Math.Cos(9 * r) * (radius > 5 ? 0.5 : 0) + 0.2 * (1 - r));
        },
    };

    private static IEnumerable<OverlayItem> Scissors(double cx, double cy, double turn, SeededRandom random)
    {
        LinearRgb steel = LinearRgb.FromHex(0xb9bec4), grip = LinearRgb.FromHex(random.Pick(0x1f1f22, 0xc04a1e, 0x5b2d6e));
        foreach (double side in new[] { -1.0, 1.0 })
        {
            Func<double, double, (double X, double Y)> blade = Local(cx, cy, turn + side * 0.12);
            yield return new OverlayItem
            {
                CentreX = cx,
                CentreY = cy,
                ReachMm = 75,
                Outside = (x, y) => { (double u, double v) = blade(x, y); return Box(u - 35, v, 35, Math.Max(0.3, 5 * (1 - u / 72)), 0.3); },
                Colour = (x, y) => { (_, double v) = blade(x, y); return steel * (float)(0.8 + 0.25 * Math.Sin(v)); },
            };
            Func<double, double, (double X, double Y)> ring = Local(cx, cy, turn + side * 0.3);
            yield return new OverlayItem
            {
                CentreX = cx,
                CentreY = cy,
                ReachMm = 75,
                Outside = (x, y) => { (double u, double v) = ring(x, y); return Math.Abs(Math.Sqrt(Math.Pow((u + 38) / 1.5, 2) + v * v) - 12) - 3.2; },
                Colour = (_, _) => grip,
            };
        }
    }

    /// <summary>Fingers reaching in from the rim of the picture, their tips on the surround.</summary>
    private static IEnumerable<OverlayItem> Hand(SceneSettings settings, PlaneArea cloth, SeededRandom random)
    {
        LinearRgb skin = LinearRgb.FromHex(random.Pick(0xd9a383, 0x8a5a3c, 0xf0c8ac));
        double edge = Math.Min(cloth.BottomMm + 3, settings.Size.HeightMm + 14), middle = random.Uniform(0.25, 0.75) * settings.Size.WidthMm;
        for (int finger = 0; finger < 4; finger++)
        {
            double x0 = middle + (finger - 1.5) * 19, tip = edge + Math.Abs(finger - 1.4) * 6, lean = (finger - 1.5) * 0.06;
            Func<double, double, (double X, double Y)> local = Local(x0, tip + 45, lean);
            yield return new OverlayItem
            {
                CentreX = x0,
                CentreY = tip + 45,
                ReachMm = 60,
                ShadowMm = 6,
                Outside = (x, y) => { (double u, double v) = local(x, y); return Box(u, v, 8.5, 45, 8.4); },
                Colour = (x, y) =>
                {
                    (double u, double v) = local(x, y);
                    LinearRgb c = skin * (float)(1.05 - 0.3 * Math.Pow(u / 9, 2) + 0.03 * SmoothNoise.Octaves(x, y, 4, 3));
                    return Box(u, v + 38.5, 5, 5.5, 4) < 0 ? LinearRgb.Mix(c, LinearRgb.FromHex(0xf0cfc4), 0.5f) : c;
                },
            };
        }
    }
}
