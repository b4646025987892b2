using Analyzer.Core.Geometry;
using SixLabors.ImageSharp;
using SixLabors.ImageSharp.PixelFormats;
using SixLabors.ImageSharp.Processing;

namespace Analyzer.Testing.Tests;

public sealed class SetupsAndBadPhotosTests
{
    [Fact]
    public void RandomSetups_KeepBlockInThePhoto_AndComeInEveryKind()
    {
        var kinds = new HashSet<Surround>();
        int cards = 0;
        for (int seed = 0; seed < 60; seed++)
        {
            SceneSettings settings = SceneSettings.RandomSetup(seed);
            SceneTruth truth = SceneRenderer.TruthOf(settings);
            kinds.Add(settings.Surround.Kind);
            cards += truth.CardCornersPx.Count / 4;
            PhotoPoint[] c = truth.Corners.ToArray();
            Assert.All(c, p => Assert.True(p.X > 0 && p.Y > 0 && p.X < truth.WidthPx && p.Y < truth.HeightPx));
            Assert.True(c[0].X < c[1].X && c[0].Y < c[3].Y, "Top-left is what is seen at the top left.");
        }
        Assert.Equal(5, kinds.Count);
        Assert.InRange(cards, 8, 30);
    }

    /// <summary>ISO/IEC 7810 ID-1: 85.60 mm x 53.98 mm. The card's corners, brought into the block's frame, have these distances.</summary>
    [Fact]
    public void Card_BesideTheBlock_HasItsTrueSize()
    {
        SceneSettings settings = Enumerable.Range(0, 60).Select(s => SceneSettings.RandomSetup(s)).First(s => s.Table.Clutter.Contains(Clutter.Card));
        settings = settings with { Camera = settings.Camera with { K1 = 0, K2 = 0 }, Stitch = StitchSettings.Perfect, Table = settings.Table with { CardScale = 1 } };
        SceneTruth truth = SceneRenderer.TruthOf(settings);
        Homography blockFromPhoto = truth.PhotoFromBlock.Inverse();
        BlockPoint[] card = [.. truth.CardCornersPx.Select(p => blockFromPhoto.Map(p.X, p.Y)).Select(q => new BlockPoint(q.X, q.Y))];
        Assert.Equal(85.60, card[0].DistanceTo(card[1]), 6);
        Assert.Equal(53.98, card[1].DistanceTo(card[2]), 6);
    }

    [Fact]
    public void BadPhotos_AreBadInTheWayTheySay()
    {
        for (int seed = 0; seed < 16; seed++)
        {
            BadPhoto bad = BadPhotos.Random(seed, 100);
            SceneTruth truth = SceneRenderer.TruthOf(bad.Settings);
            bool nothing = truth.Lines.All(l => l.IsMissing);
            bool cornerOut = truth.Corners.ToArray().Any(p => p.X < 0 || p.Y < 0 || p.X > truth.WidthPx - 1 || p.Y > truth.HeightPx - 1);
            switch (bad.Kind)
            {
                case BadKind.BlankCloth or BadKind.MarksOnly or BadKind.WrongObject:
                    Assert.True(nothing);
                    break;
                case BadKind.TooSmall:
                    Assert.InRange(truth.PixelsPerMmLowest, 0.5, 3);
                    break;
                case BadKind.CornerOutside:
                    Assert.True(cornerOut);
                    break;
                default:
                    Assert.False(nothing || cornerOut);
                    break;
            }
        }
    }

    [Fact]
    public void DarkPhoto_IsDark()
    {
        SyntheticPhoto photo = BadPhotos.Of(BadKind.Dark, 3, 40).Render();
        Assert.InRange(photo.Rgb.Average(b => (double)b), 0, 60);
    }

    /// <summary>EXIF orientations 1 to 8: a reader that honours the tag sees the same picture.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    [InlineData(5)]
    [InlineData(6)]
    [InlineData(7)]
    [InlineData(8)]
    public void Jpeg_WithOrientation_TurnsBackUpright(int orientation)
    {
        var rgb = new byte[3 * 64 * 32];
        for (int y = 0; y < 32; y++)
            for (int x = 0; x < 64; x++) (rgb[3 * (y * 64 + x)], rgb[3 * (y * 64 + x) + 1], rgb[3 * (y * 64 + x) + 2]) = ((byte)(x * 4), (byte)(x * 2 + y * 3), (byte)(y * 8));
        SceneSettings any = SceneSettings.Random(1, Tier.Easy, 50);
        var photo = new SyntheticPhoto(rgb, 64, 32, SceneRenderer.TruthOf(any), any);
        using Image<Rgb24> upright = Image.Load<Rgb24>(photo.ToJpeg(95, orientation));
        upright.Mutate(x => x.AutoOrient());
        Assert.Equal((64, 32), (upright.Width, upright.Height));
        foreach ((int x, int y) in new[] { (2, 2), (60, 2), (60, 29), (2, 29), (30, 10) })
        {
            Assert.InRange(Math.Abs(upright[x, y].R - x * 4), 0, 12);
            Assert.InRange(Math.Abs(upright[x, y].B - y * 8), 0, 12);
        }
    }
}
