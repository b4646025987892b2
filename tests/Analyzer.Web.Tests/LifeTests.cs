using System.Net;
using System.Text.Json;
using Analyzer.Web.Blocks;

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

    /// <summary>A run that ended without closing: what was measured is gone, what was not is offered again with its corners, for a day.</summary>
    [Fact]
    public async Task UnfinishedPhoto_OfARunThatEnded_IsOfferedAgainAndMeasured_ButNotAfterADay()
    {
        string root = Directory.CreateTempSubdirectory("workbench-left-").FullName;
        try
        {
            double[][] corners = [.. Running.Photo.Truth.Corners.ToArray().Select(p => new[] { p.X, p.Y })];
            string Leave(string name, double daysAgo)
            {
                string folder = Path.Combine(root, "stitch-workbench-" + name), photo = Path.Combine(folder, "x.upload");
                if (OperatingSystem.IsWindows()) Directory.CreateDirectory(folder);
                else Directory.CreateDirectory(folder, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
                File.WriteAllText(Path.Combine(folder, "in-use"), "");
                File.WriteAllBytes(photo, Running.PhotoBytes);
                var note = new UnfinishedNote("my <b>block</b>.jpg", "80mm", Running.Photo.Truth.GridName, null, null, Running.Photo.WidthPx, Running.Photo.HeightPx, corners, true, DateTimeOffset.UtcNow - TimeSpan.FromDays(daysAgo));
                File.WriteAllText(Path.Combine(folder, "x.job.json"), JsonSerializer.Serialize(note));
                return folder;
            }
            string fresh = Leave("fresh", 0.1), stale = Leave("stale", 1.1);
            await using WorkbenchServer server = await WorkbenchServer.Start(new WorkbenchOptions { TempRoot = root });
            Assert.False(Directory.Exists(fresh));
            Assert.False(Directory.Exists(stale));
            BlockJob job = Assert.Single(server.Workbench.Blocks.All());
            using var client = new HttpClient { BaseAddress = server.Address };
            Assert.Contains("not finished", await client.GetStringAsync("/"), StringComparison.Ordinal);
            string page = await client.GetStringAsync($"/block/{job.Id}");
            Assert.Contains("Measure it now", page, StringComparison.Ordinal);
            Assert.DoesNotContain("<b>block", page, StringComparison.Ordinal);
            // What its button sends.
            using var ask = new HttpRequestMessage(HttpMethod.Post, $"/api/blocks/{job.Id}/measure") { Content = new StringContent(JsonSerializer.Serialize(new { corners, exact = true })) };
            ask.Headers.Add("X-Workbench-Token", server.Workbench.Token.Text);
            Assert.Equal(HttpStatusCode.Accepted, (await client.SendAsync(ask)).StatusCode);
            while (job.IsBusy) await Task.Delay(50);
            Assert.Equal(BlockState.Measured, job.State);
            // Measured: nothing is left to take up.
            Assert.Empty(Directory.GetFiles(root, "*.job.json", SearchOption.AllDirectories));
        }
        finally
        {
            Directory.Delete(root, recursive: true);
        }
    }

    /// <summary>While a photo waits for its corners its note lies beside it; it goes with the photo.</summary>
    [Fact]
    public async Task Note_LiesBesideAPhotoThatIsNotMeasured()
    {
        var running = new Running();
        await running.InitializeAsync();
        try
        {
            string id = await Running.Id(await running.Upload(Running.PhotoBytes));
            await running.Settled(id);
            string note = Assert.Single(Directory.GetFiles(running.TempRoot, "*.job.json", SearchOption.AllDirectories));
            Assert.Equal("block.jpg", UnfinishedNote.Read(note, DateTimeOffset.UtcNow)!.FileName);
            Assert.Null(UnfinishedNote.Read(note, DateTimeOffset.UtcNow.AddDays(1.01)));
            await running.Client.SendAsync(running.Post($"/api/blocks/{id}/remove"));
            Assert.Empty(Directory.GetFiles(running.TempRoot, "*.job.json", SearchOption.AllDirectories));
        }
        finally
        {
            await running.DisposeAsync();
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
