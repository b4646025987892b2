using System.Security.Cryptography;
using System.Text;
using Analyzer.Core.Report;

namespace Analyzer.Practice.Classroom;

/// <summary>Measures a class's photos: several at once, bounded, each result kept so that a stopped run goes on where it was.</summary>
public static class ClassRun
{
    /// <summary>Photos in memory at once, unless told otherwise.</summary>
    public static int DefaultParallel => Math.Clamp(Environment.ProcessorCount, 1, 4);

    /// <param name="measure">Measures one photo. It may throw; the sentence of its exception becomes that photo's problem.</param>
    /// <param name="settingsText">Size and grid of the class as written: another text measures again.</param>
    /// <param name="progress">Done and all.</param>
    public static IReadOnlyList<ClassResult> Run(
        IReadOnlyList<ClassItem> items, Func<ClassItem, CancellationToken, AccuracyReport> measure, string settingsText, string keptFolder, int parallel,
        IProgress<(int Done, int All)>? progress = null, CancellationToken cancel = default)
    {
        Directory.CreateDirectory(keptFolder);
        foreach (string left in Directory.EnumerateFiles(keptFolder, "*.part")) File.Delete(left);
        var results = new ClassResult[items.Count];
        int done = 0;
        var options = new ParallelOptions { MaxDegreeOfParallelism = Math.Max(1, parallel), CancellationToken = cancel };
        Parallel.For(0, items.Count, options, i =>
        {
            results[i] = One(items[i], measure, settingsText, keptFolder, cancel);
            progress?.Report((Interlocked.Increment(ref done), items.Count));
        });
        return results;
    }

    private static ClassResult One(ClassItem item, Func<ClassItem, CancellationToken, AccuracyReport> measure, string settingsText, string keptFolder, CancellationToken cancel)
    {
        try
        {
            string kept = Path.Combine(keptFolder, Key(item, settingsText) + ".json");
            if (ReadKept(kept) is { } earlier) return Result(item, earlier, true);
            AccuracyReport report = measure(item, cancel);
            string part = kept + "." + Guid.NewGuid().ToString("N") + ".part";
            File.WriteAllText(part, ReportJson.Write(report));
            File.Move(part, kept, overwrite: true);
            return Result(item, report, false);
        }
        catch (OperationCanceledException)
        {
            throw;
        }
#pragma warning disable CA1031 // One bad photo must not stop the others, whatever is wrong with it.
        catch (Exception trouble)
#pragma warning restore CA1031
        {
            return new ClassResult(item, null, Sentence(trouble), false);
        }
    }

    private static ClassResult Result(ClassItem item, AccuracyReport report, bool kept)
    {
        if (report.Outcome != "not-measurable" && report.Lines.Count > 0) return new ClassResult(item, report, null, kept);
        Reason? reason = report.Reasons.Count > 0 ? report.Reasons[0] : null;
        return new ClassResult(item, null, reason is null ? "The photo could not be measured." : $"{reason.Message} {reason.Advice}".Trim(), kept);
    }

    private static AccuracyReport? ReadKept(string path)
    {
        try
        {
            return File.Exists(path) ? ReportJson.Read(File.ReadAllText(path)) : null;
        }
        catch (Exception trouble) when (trouble is FormatException or IOException)
        {
            return null;
        }
    }

    private static string Key(ClassItem item, string settingsText)
    {
        using FileStream photo = File.OpenRead(item.Path);
        string content = Convert.ToHexStringLower(SHA256.HashData(photo));
        return Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes($"{content}|{item.Size}|{item.Grid}|{settingsText}")))[..32];
    }

    private static string Sentence(Exception trouble) => trouble switch
    {
        FileNotFoundException or DirectoryNotFoundException => "The file is not there; check the name in the list.",
        UnauthorizedAccessException => "The file may not be read; check its permissions.",
        NotImplementedException or NullReferenceException or IndexOutOfRangeException => "The program failed on this photo; please report it with the photo.",
        _ => trouble.Message.Split('\n')[0],
    };
}
