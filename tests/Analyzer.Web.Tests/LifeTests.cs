using System.Diagnostics;
using System.Net;

namespace Analyzer.Web.Tests;

/// <summary>Photos go when they should, and a crowd is answered or sent away politely.</summary>
public sealed class LifeTests
{
    [Fact]
    public async Task Photos_AreRemoved_OnRequest_AtTheEnd_AndAfterACrash()
    {
        string root = Directory.CreateTempSubdirectory("workbench-life-").FullName;
        try
        {
            string left = Path.Combine(root, "stitch-workbench-left");
            Directory.CreateDirectory(left);
            await File.WriteAllTextAsync(Path.Combine(left, "in-use"), "");
            await File.WriteAllTextAsync(Path.Combine(left, "old.upload"), "a photo");
            string foreign = Path.Combine(root, "someone-elses");
            Directory.CreateDirectory(foreign);

            await using (WorkbenchServer first = await WorkbenchServer.Start(new WorkbenchOptions { TempRoot = root }))
            {
                Assert.False(Directory.Exists(left));
                string own = Assert.Single(Directory.GetDirectories(root, "stitch-workbench-*"));
                if (!OperatingSystem.IsWindows()) Assert.Equal(UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute, File.GetUnixFileMode(own));
                // A second workbench does not take the first one's folder for a left one.
                await using WorkbenchServer second = await WorkbenchServer.Start(new WorkbenchOptions { TempRoot = root });
                Assert.True(Directory.Exists(own));
            }
            Assert.Equal([foreign], Directory.GetDirectories(root));
        }
        finally
        {
            Directory.Delete(root, recursive: true);
        }
    }

    [Fact]
    public async Task Remove_TakesThePhotoFromTheDisk()
    {
        var running = new Running();
        await running.InitializeAsync();
        try
        {
            string id = await Running.Id(await running.Upload(Running.PhotoBytes));
            await running.Settled(id);
            Assert.NotEmpty(Directory.GetFiles(running.TempRoot, "*.upload", SearchOption.AllDirectories));
            Assert.Equal(HttpStatusCode.NoContent, (await running.Client.SendAsync(running.Post($"/api/blocks/{id}/remove"))).StatusCode);
            Assert.Empty(Directory.GetFiles(running.TempRoot, "*.upload", SearchOption.AllDirectories));
            Assert.Empty(Directory.GetFiles(running.TempRoot, "*.preview.jpg", SearchOption.AllDirectories));
            Assert.Equal(HttpStatusCode.NotFound, (await running.Client.GetAsync($"/api/blocks/{id}")).StatusCode);
        }
        finally
        {
            await running.DisposeAsync();
        }
    }

    /// <summary>Places in the queue, one being done, and those that may still come in while they are being emptied.</summary>
    [Fact]
    public async Task BurstOfTwoHundredUploads_IsAnsweredOrRefusedPolitely_AndThePageStaysOpen()
    {
        var running = new Running();
        await running.InitializeAsync();
        try
        {
            byte[] photo = Running.PhotoBytes;
            Task<HttpResponseMessage>[] all = [.. Enumerable.Range(0, 200).Select(_ => running.Upload(photo))];
            var clock = Stopwatch.StartNew();
            Assert.Equal(HttpStatusCode.OK, (await running.Client.GetAsync("/")).StatusCode);
            // Generous for two busy cores: the point is that the page does not wait for the queue of measuring.
            Assert.True(clock.Elapsed < TimeSpan.FromSeconds(10), $"the page took {clock.Elapsed.TotalSeconds:0.0} s");
            HttpResponseMessage[] answers = await Task.WhenAll(all);
            Assert.All(answers, a => Assert.True(a.StatusCode is HttpStatusCode.Accepted or HttpStatusCode.ServiceUnavailable, a.StatusCode.ToString()));
            Assert.Contains(answers, a => a.StatusCode == HttpStatusCode.Accepted);
            HttpResponseMessage refused = answers.First(a => a.StatusCode == HttpStatusCode.ServiceUnavailable);
            Assert.NotNull(refused.Headers.RetryAfter);
            Assert.Contains("busy", await Running.Detail(refused), StringComparison.Ordinal);
            // The disk holds no more photos than blocks are kept.
            Assert.True(Directory.GetFiles(running.TempRoot, "*.upload", SearchOption.AllDirectories).Length <= new WorkbenchOptions().MostBlocks);
        }
        finally
        {
            await running.DisposeAsync();
        }
    }
}
