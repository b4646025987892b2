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

    /// <summary>Two hundred at once: each is answered, the queue and the disk stay bounded, and the page answers while the queue is full.</summary>
    [Fact]
    public async Task BurstOfTwoHundredUploads_IsAnsweredOrRefusedPolitely_AndThePageStaysOpen()
    {
        var running = new Running();
        await running.InitializeAsync();
        try
        {
            byte[] photo = Running.PhotoBytes;
            Task<HttpResponseMessage>[] all = [.. Enumerable.Range(0, 200).Select(_ => running.Upload(photo))];
            int longest = 0, pages = 0;
            while (!all.All(t => t.IsCompleted) || pages == 0)
            {
                longest = Math.Max(longest, running.Server.Workbench.Queue.Length);
                Assert.Equal(HttpStatusCode.OK, (await running.Client.GetAsync("/")).StatusCode);
                pages++;
            }
            Assert.True(longest <= running.Server.Workbench.Queue.MostWaiting, $"{longest} were waiting");
            HttpResponseMessage[] answers = await Task.WhenAll(all);
            Assert.Equal(200, answers.Length);
            Assert.All(answers, a => Assert.True(a.StatusCode is HttpStatusCode.Accepted or HttpStatusCode.ServiceUnavailable, a.StatusCode.ToString()));
            Assert.Contains(answers, a => a.StatusCode == HttpStatusCode.Accepted);
            HttpResponseMessage refused = answers.First(a => a.StatusCode == HttpStatusCode.ServiceUnavailable);
            Assert.NotNull(refused.Headers.RetryAfter);
            Assert.Contains("busy", await Running.Detail(refused), StringComparison.Ordinal);
            // The disk holds no more photos than blocks are kept.
            Assert.True(Directory.GetFiles(running.TempRoot, "*.upload", SearchOption.AllDirectories).Length <= new WorkbenchOptions().MostBlocks);
            Assert.True(running.Server.Workbench.Blocks.All().Count <= new WorkbenchOptions().MostBlocks);
        }
        finally
        {
            await running.DisposeAsync();
        }
    }
}
