namespace Analyzer.EndToEnd.Tests.Shell;

/// <summary>A folder of its own for one test, gone afterwards.</summary>
internal sealed class Scratch : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("stitch-e2e-").FullName;

    /// <summary>Where the test's report would go; does not exist yet.</summary>
    public string Report => At("report");

    public string At(string name) => Path.Combine(_folder, name);

    public string File(string name, byte[] bytes)
    {
        System.IO.File.WriteAllBytes(At(name), bytes);
        return At(name);
    }

    /// <summary>Nothing was left where the report would have gone, not even an empty folder.</summary>
    public void ShouldHoldNoReport() => Assert.False(Directory.Exists(Report), "a failed run left something behind in the report's folder");

    public void Dispose() => Directory.Delete(_folder, recursive: true);
}
