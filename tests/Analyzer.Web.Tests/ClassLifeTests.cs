using System.Net;
using System.Net.Http.Json;
using System.Text.Json;
using Analyzer.Web.Practice;

namespace Analyzer.Web.Tests;

/// <summary>A class that was not measured to its end when the program ended unexpectedly is gone on with, and what was measured is not measured again.</summary>
public sealed class ClassLifeTests
{
    /// <summary>What a killed run leaves: its folder, copied as it was at that moment, with the mark that no one holds.</summary>
    private static string CopyAsLeft(string tempRoot, string newRoot, string name)
    {
        string from = Assert.Single(Directory.GetDirectories(tempRoot, "stitch-workbench-*")), to = Path.Combine(newRoot, "stitch-workbench-" + name);
        Make(to);
        foreach (string folder in Directory.GetDirectories(from)) Directory.CreateDirectory(Path.Combine(to, Path.GetFileName(folder)));
        foreach (string file in Directory.GetFiles(from, "*", SearchOption.AllDirectories))
            if (Path.GetFileName(file) != "in-use") File.Copy(file, Path.Combine(to, Path.GetRelativePath(from, file)));
        File.WriteAllText(Path.Combine(to, "in-use"), "");
        return to;
    }

    private static void Make(string folder)
    {
        if (OperatingSystem.IsWindows()) Directory.CreateDirectory(folder);
        else Directory.CreateDirectory(folder, UnixFileMode.UserRead | UnixFileMode.UserWrite | UnixFileMode.UserExecute);
    }

    [Fact]
    public async Task Class_OfARunThatEnded_GoesOn_AndKeepsWhatWasMeasured()
    {
        string root = Directory.CreateTempSubdirectory("workbench-class-").FullName;
        var running = new Running();
        await running.InitializeAsync();
        try
        {
            // Against a plan, whose id is another one in the next run.
            using HttpResponseMessage planned = await running.Client.SendAsync(running.Post($"/api/plans?{Running.Grid}&units=mm"));
            string plan = (await planned.Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetString()!;
            string id = (await (await running.Client.SendAsync(running.Post($"/api/class?size=any&grid=plan:{plan}"))).Content.ReadFromJsonAsync<JsonElement>()).GetProperty("id").GetString()!;
            foreach (string person in new[] { "ann", "bo <b>" })
                (await running.Client.SendAsync(running.Post($"/api/class/{id}/photos?person={Uri.EscapeDataString(person)}&name={person[..2]}.jpg", new ByteArrayContent(person == "ann" ? Running.PhotoBytes : [.. Running.PhotoBytes, 0])))).EnsureSuccessStatusCode();
            await running.Client.SendAsync(running.Post($"/api/class/{id}/start"));
            while ((await running.Client.GetFromJsonAsync<JsonElement>($"/api/class/{id}")) is var s && s.GetProperty("done").GetInt32() < 1 && s.GetProperty("state").GetString() == "working") await Task.Delay(20);
            await running.Client.SendAsync(running.Post($"/api/class/{id}/stop"));
            CopyAsLeft(running.TempRoot, root, "left");
        }
        finally
        {
            await running.DisposeAsync();
        }
        try
        {
            await using WorkbenchServer server = await WorkbenchServer.Start(new WorkbenchOptions { TempRoot = root });
            Assert.False(Directory.Exists(Path.Combine(root, "stitch-workbench-left")));
            ClassJob job = Assert.Single(server.Workbench.Classes.All());
            Assert.Equal(["ann", "bo <b>"], job.Photos.Select(p => p.Person));
            using var client = new HttpClient { BaseAddress = server.Address };
            foreach (string page in new[] { "/", "/class" }) Assert.Contains("stopped; it can go on", await client.GetStringAsync(page), StringComparison.Ordinal);
            Assert.Contains("ended before this class was measured", await client.GetStringAsync("/class/" + job.Id), StringComparison.Ordinal);

            // What was measured is read, not measured again: a note put into it comes back in the result.
            string[] kept = Directory.GetFiles(root, "*.json", SearchOption.AllDirectories).Where(f => Path.GetDirectoryName(f)!.EndsWith(ClassNote.KeptExtension, StringComparison.Ordinal)).ToArray();
            Assert.NotEmpty(kept);
            File.WriteAllText(kept[0], File.ReadAllText(kept[0]).Replace("\"settings\": {", "\"settings\": { \"kept\": \"yes\",", StringComparison.Ordinal));

            using var start = new HttpRequestMessage(HttpMethod.Post, $"/api/class/{job.Id}/start") { Content = new StringContent("{}") };
            start.Headers.Add("X-Workbench-Token", server.Workbench.Token.Text);
            Assert.Equal(HttpStatusCode.Accepted, (await client.SendAsync(start)).StatusCode);
            while (job.State == ClassState.Working) await Task.Delay(50);
            Assert.Equal(ClassState.Done, job.State);
            Assert.Equal(2, job.Summary!.People.Count);
            Assert.Contains(job.Summary.People, p => p.Latest!.Report.Settings.GetValueOrDefault("kept") == "yes");
            Assert.False(File.Exists(job.NotePath), "a measured class is offered again");
        }
        finally
        {
            Directory.Delete(root, recursive: true);
        }
    }

    /// <summary>A note that is old, or that names anything but a photo of the private folder, is none.</summary>
    [Theory]
    [InlineData("0123456789abcdef0123456789abcdef.upload", 0.1, true)]
    [InlineData("0123456789abcdef0123456789abcdef.upload", 1.1, false)]
    [InlineData("../../etc/passwd", 0.1, false)]
    [InlineData("/etc/passwd", 0.1, false)]
    [InlineData("in-use", 0.1, false)]
    public async Task ClassNote_IsTakenOnlyWhileFresh_AndOnlyWithPhotosOfItsFolder(string file, double daysAgo, bool taken)
    {
        string root = Directory.CreateTempSubdirectory("workbench-note-").FullName;
        try
        {
            string left = Path.Combine(root, "stitch-workbench-left"), name = new('a', 32);
            Make(left);
            File.WriteAllText(Path.Combine(left, "in-use"), "");
            File.WriteAllBytes(Path.Combine(left, "0123456789abcdef0123456789abcdef.upload"), Running.PhotoBytes);
            var note = new ClassNote("80mm", Running.Photo.Truth.GridName, null, null, [new ClassNote.Entry("ann", "a.jpg", file)], DateTimeOffset.UtcNow - TimeSpan.FromDays(daysAgo));
            File.WriteAllText(Path.Combine(left, name + ClassNote.Extension), JsonSerializer.Serialize(note));
            await using WorkbenchServer server = await WorkbenchServer.Start(new WorkbenchOptions { TempRoot = root });
            Assert.Equal(taken ? 1 : 0, server.Workbench.Classes.All().Count);
            Assert.False(Directory.Exists(left));
            Assert.Equal(taken ? 1 : 0, Directory.GetFiles(root, "*.upload", SearchOption.AllDirectories).Length);
            if (!taken) return;
            server.Workbench.Classes.Remove(server.Workbench.Classes.All()[0]);
            Assert.Equal(["in-use"], Directory.GetFiles(root, "*", SearchOption.AllDirectories).Select(Path.GetFileName));
        }
        finally
        {
            Directory.Delete(root, recursive: true);
        }
    }
}
