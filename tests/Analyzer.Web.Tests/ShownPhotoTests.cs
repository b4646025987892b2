using System.Net.Http.Json;
using System.Text.Json;
using Analyzer.Vision.Photos;
using Analyzer.Web.Blocks;
using SixLabors.ImageSharp;
using SixLabors.ImageSharp.PixelFormats;
using SixLabors.ImageSharp.Processing;

namespace Analyzer.Web.Tests;

/// <summary>The photo under the marks must be the very pixels that are measured, whether it is shown as it came or encoded anew.</summary>
public sealed class ShownPhotoTests(Running running) : IClassFixture<Running>
{
    [Fact]
    public async Task UprightJpeg_IsShownAsItCame()
    {
        string id = await Running.Id(await running.Upload(Running.PhotoBytes));
        await running.Settled(id);
        Assert.Equal(Running.PhotoBytes, await running.Client.GetByteArrayAsync($"/block/{id}/photo.jpg"));
    }

    /// <summary>EXIF orientation 6 (CIPA DC-008, tag 0x0112): the first row of the file is the right side of the upright photo.</summary>
    [Fact]
    public async Task TurnedJpeg_IsShownUpright_AndWithoutItsNote()
    {
        string id = await Running.Id(await running.Upload(WithOrientation(Running.PhotoBytes, 6)));
        await running.Settled(id);
        byte[] shown = await running.Client.GetByteArrayAsync($"/block/{id}/photo.jpg");
        using Photo photo = PhotoReader.Read(shown, "shown.jpg");
        Assert.True(photo.IsUprightJpeg);
        Assert.Equal((Running.Photo.HeightPx, Running.Photo.WidthPx), (photo.WidthPx, photo.HeightPx));
    }

    /// <summary>What kind of file it is, its content tells and not its name. (HEIC is decoded by the same reader; no encoder for it is at hand here.)</summary>
    [Theory]
    [InlineData("png")]
    [InlineData("webp")]
    [InlineData("tiff")]
    public async Task OtherKindsOfPicture_AreOpenedAndShown(string kind)
    {
        using Image<Rgb24> image = Image.LoadPixelData<Rgb24>(Running.Photo.Rgb, Running.Photo.WidthPx, Running.Photo.HeightPx);
        using var file = new MemoryStream();
        if (kind == "png") image.SaveAsPng(file);
        else if (kind == "webp") image.SaveAsWebp(file);
        else image.SaveAsTiff(file, new SixLabors.ImageSharp.Formats.Tiff.TiffEncoder { Compression = SixLabors.ImageSharp.Formats.Tiff.Constants.TiffCompression.Deflate });
        if (file.Length > running.Server.Workbench.Options.LargestPhoto)
        {
            image.Mutate(x => x.Resize(image.Width / 2, image.Height / 2));
            file.SetLength(0);
            if (kind == "png") image.SaveAsPng(file); else image.SaveAsTiff(file, new SixLabors.ImageSharp.Formats.Tiff.TiffEncoder { Compression = SixLabors.ImageSharp.Formats.Tiff.Constants.TiffCompression.Deflate });
        }
        string id = await Running.Id(await running.Upload(file.ToArray(), "block.jpg"));
        Assert.Equal("corners", (await running.Settled(id)).GetProperty("state").GetString());
        using Photo shown = PhotoReader.Read(await running.Client.GetByteArrayAsync($"/block/{id}/photo.jpg"), "shown.jpg");
        Assert.True(shown.IsUprightJpeg);
        Assert.Equal((image.Width, image.Height), (shown.WidthPx, shown.HeightPx));
    }

    [Theory]
    [InlineData(1, true)]
    [InlineData(3, false)]
    [InlineData(8, false)]
    public void UprightJpeg_IsToldByItsOrientation(int orientation, bool upright)
    {
        using Photo photo = PhotoReader.Read(WithOrientation(Running.PhotoBytes, orientation), "x.jpg");
        Assert.Equal(upright, photo.IsUprightJpeg);
    }

    private static byte[] WithOrientation(byte[] jpeg, int orientation)
    {
        byte[] tiff = [.. "II*\0"u8, 8, 0, 0, 0, 1, 0, 0x12, 0x01, 3, 0, 1, 0, 0, 0, (byte)orientation, 0, 0, 0, 0, 0, 0, 0];
        int length = 2 + 6 + tiff.Length;
        return [0xFF, 0xD8, 0xFF, 0xE1, (byte)(length >> 8), (byte)length, .. "Exif\0\0"u8, .. tiff, .. jpeg[2..]];
    }

    [Fact]
    public void LastPhoto_IsGivenOnce_ToItsOwnBlockOnly_AndNeverOfARemovedOne()
    {
        BlockJob Job() => new("x.jpg", Path.Combine(Path.GetTempPath(), Guid.NewGuid().ToString("N") + ".upload"), BlockChoice.Parse("80mm", "square:10mm"));
        Photo Read() => PhotoReader.Read(Running.PhotoBytes, "x.jpg");
        using var last = new LastPhoto();
        BlockJob one = Job(), other = Job();
        Photo kept = Read();
        last.Keep(one, kept);
        Assert.Null(last.Take(other.Id));
        Assert.Same(kept, last.Take(one.Id));
        Assert.Null(last.Take(one.Id));
        last.Keep(one, kept);
        last.Keep(other, Read());
        Assert.Null(last.Take(one.Id));
        other.Forget();
        last.Drop(other.Id);
        last.Keep(other, Read());
        Assert.Null(last.Take(other.Id));
    }

    /// <summary>A page that tells what it knows hears of the next thing only, up to the end.</summary>
    [Fact]
    public async Task State_AskedWithWhatIsKnown_TellsEachChangeUntilTheEnd()
    {
        string id = await Running.Id(await running.Client.SendAsync(running.Post("/api/sample")));
        string known = "", state = "working";
        var stages = new List<string>();
        while (state == "working")
        {
            JsonElement answer = await running.Client.GetFromJsonAsync<JsonElement>($"/api/blocks/{id}?known={Uri.EscapeDataString(known)}");
            (known, state) = (answer.GetProperty("seen").GetString()!, answer.GetProperty("state").GetString()!);
            if (answer.GetProperty("stage").GetString() is { } stage && !stages.Contains(stage)) stages.Add(stage);
        }
        Assert.Equal("measured", state);
        Assert.True(stages.Count >= 3, $"only {string.Join(", ", stages)} were told");
        // Nothing changes any more: answered all the same.
        JsonElement last = await running.Client.GetFromJsonAsync<JsonElement>($"/api/blocks/{id}?known={Uri.EscapeDataString(known)}");
        Assert.Equal(known, last.GetProperty("seen").GetString());
    }
}
