using System.Diagnostics;
using System.Security.Cryptography;
using System.Text.Json;
using Analyzer.EndToEnd.Tests.Architecture;
using Analyzer.EndToEnd.Tests.Measure;
using Analyzer.EndToEnd.Tests.Shell;

namespace Analyzer.EndToEnd.Tests.Publish;

/// <summary>What tools/publish makes for linux-x64 runs from an empty folder with an empty environment: no SDK, no PATH, no home.</summary>
public class PublishedProgramTests(MeasuredBlock block) : IClassFixture<MeasuredBlock>
{
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(8);

    [SkippableFact]
    public async Task LinuxCopy_ChecksMeasuresAndServes_WithoutAnSdk()
    {
        Skip.IfNot(OperatingSystem.IsLinux() && System.Runtime.InteropServices.RuntimeInformation.OSArchitecture == System.Runtime.InteropServices.Architecture.X64, "the copy is for Linux on x64");
        using var scratch = new Scratch();
        string folder = Publish(scratch, "a place of its own, ñ");
        Directory.CreateDirectory(scratch.At("empty"));

        Ran doctor = Bare(scratch, folder, "analyzer", "doctor");
        Assert.True(doctor.ExitCode == 0, doctor.Out + doctor.Error);
        Assert.Contains("Image library (OpenCV): works", doctor.Out, StringComparison.Ordinal);

        scratch.File("block.jpg", block.Jpeg);
        Ran measure = Bare(scratch, folder, "analyzer", ["measure", "../block.jpg", "--out", "report", .. block.GridWords(), .. block.CornerWords()]);
        Assert.True(measure.ExitCode == 0, measure.Error);
        using JsonDocument report = JsonDocument.Parse(File.ReadAllText(scratch.At("empty/report/report.json")));
        Assert.All(report.RootElement.GetProperty("lines").EnumerateArray(), line => Assert.Equal("measured", line.GetProperty("status").GetString()));
        Assert.True(File.Exists(scratch.At("empty/report/report.html")));

        await ServesOnce(scratch, folder);
        ShouldHaveChecksums(folder);
        ShouldNameEveryLicence(folder);
    }

    private static string Publish(Scratch scratch, string place)
    {
        var start = new ProcessStartInfo(Path.Combine(RoomTests.Root, "tools", "publish")) { RedirectStandardError = true, RedirectStandardOutput = true };
        foreach (string word in (string[])["--folder-only", "--to", scratch.At(place), "linux-x64"]) start.ArgumentList.Add(word);
        // The test host's own settings of MSBuild are not for another build.
        foreach (string name in start.Environment.Keys.Where(k => k.StartsWith("MSBUILD", StringComparison.OrdinalIgnoreCase)).ToList()) start.Environment.Remove(name);
        using Process publish = Process.Start(start)!;
        Task<string> said = publish.StandardError.ReadToEndAsync(), output = publish.StandardOutput.ReadToEndAsync();
        if (!publish.WaitForExit(Patience))
        {
            publish.Kill(entireProcessTree: true);
            Assert.Fail("tools/publish did not end");
        }
        Skip.If(said.Result.Contains("cannot be had here", StringComparison.Ordinal), said.Result.Trim());
        Assert.True(publish.ExitCode == 0, said.Result + output.Result);
        return Assert.Single(Directory.GetDirectories(scratch.At(place)));
    }

    private static ProcessStartInfo BareStart(Scratch scratch, string folder, string program, params string[] words)
    {
        var start = new ProcessStartInfo(Path.Combine(folder, program)) { RedirectStandardError = true, RedirectStandardOutput = true, WorkingDirectory = scratch.At("empty") };
        start.Environment.Clear();
        foreach (string word in words) start.ArgumentList.Add(word);
        return start;
    }

    private static Ran Bare(Scratch scratch, string folder, string program, params string[] words) => Ran.Started(BareStart(scratch, folder, program, words));

    /// <summary>The start file opens the workbench, the page answers, and Ctrl-C closes it.</summary>
    private static async Task ServesOnce(Scratch scratch, string folder)
    {
        using Process serve = Process.Start(RealSignal.Listening(BareStart(scratch, folder, "start-workbench.sh", "--no-browser", "--port", "0", "--log", scratch.At("log.db"))))!;
        try
        {
            string? line = await serve.StandardOutput.ReadLineAsync().WaitAsync(TimeSpan.FromMinutes(1));
            Assert.StartsWith("The workbench is open at http://", line, StringComparison.Ordinal);
            using var client = new HttpClient();
            string page = await client.GetStringAsync(new Uri(line!.Split(' ')[^1]));
            Assert.Contains("<html", page, StringComparison.Ordinal);
            RealSignal.Interrupt(serve);
            await serve.WaitForExitAsync().WaitAsync(TimeSpan.FromMinutes(1));
            Assert.Equal(0, serve.ExitCode);
        }
        finally
        {
            if (!serve.HasExited) serve.Kill(entireProcessTree: true);
        }
    }

    private static void ShouldHaveChecksums(string folder)
    {
        string[] rows = File.ReadAllLines(Path.Combine(folder, "SHA256SUMS.txt"));
        Assert.Equal(Directory.EnumerateFiles(folder, "*", SearchOption.AllDirectories).Count() - 1, rows.Length);
        foreach (string row in rows.Where((_, i) => i % 20 == 0))
            Assert.Equal(row[..64], Convert.ToHexStringLower(SHA256.HashData(File.ReadAllBytes(Path.Combine(folder, row[66..])))));
    }

    private static void ShouldNameEveryLicence(string folder)
    {
        string licences = File.ReadAllText(Path.Combine(folder, "LICENCES.txt"));
        using JsonDocument packages = JsonDocument.Parse(File.ReadAllText(Path.Combine(folder, "analyzer.deps.json")));
        string[] names = [.. packages.RootElement.GetProperty("libraries").EnumerateObject().Where(p => p.Value.GetProperty("type").GetString() is "package" or "runtimepack").Select(p => p.Name.Replace("runtimepack.", "", StringComparison.Ordinal))];
        Assert.InRange(names.Length, 15, 100);
        foreach (string[] name in names.Select(n => n.Split('/')))
            Assert.Matches($@"(?mi)^{System.Text.RegularExpressions.Regex.Escape(name[0])} {System.Text.RegularExpressions.Regex.Escape(name[1])}: (MIT|Apache-2\.0)\. ", licences);
        foreach (string text in (string[])["LICENSE", "READ-ME-FIRST.txt", "licences/MIT.txt"]) Assert.True(File.Exists(Path.Combine(folder, text)), text);
    }
}
