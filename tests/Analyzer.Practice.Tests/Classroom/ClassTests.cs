using Analyzer.Core.Report;
using Analyzer.Practice.Classroom;
using Analyzer.Practice.Simulation;

namespace Analyzer.Practice.Tests.Classroom;

public class ClassTests
{
    private static AccuracyReport Low(ClassItem item) => TestBlocks.Report(TestBlocks.Steady with { FamilyOffsetMm = [1.0], OffsetSdMm = 0.2 }, item.Path.Length + item.Person[0]);

    private static List<ClassItem> Items(TemporaryFolder place, int people)
    {
        var items = new List<ClassItem>();
        for (int i = 0; i < people; i++)
        {
            string file = place.File($"p{i:00}.jpg");
            File.WriteAllText(file, $"photo {i}");
            items.Add(new ClassItem($"p{i:00}", file, null, null));
        }
        return items;
    }

    [Fact]
    public void OneBadPhoto_DoesNotStopTheOthers()
    {
        using var place = new TemporaryFolder();
        List<ClassItem> items = Items(place, 6);
        items.Add(new ClassItem("gone", place.File("gone.jpg"), null, null));
        IReadOnlyList<ClassResult> results = ClassRun.Run(items, (item, _) => item.Person == "p03" ? throw new FormatException("The photo is black.") : Low(item), "8in", place.File("kept"), 3);
        Assert.Equal(5, results.Count(r => r.Report is not null));
        Assert.Equal("The photo is black.", results[3].Problem);
        Assert.Contains("not there", results[6].Problem, StringComparison.Ordinal);
    }

    [Fact]
    public void StoppedRun_GoesOnWhereItWas()
    {
        using var place = new TemporaryFolder();
        List<ClassItem> items = Items(place, 8);
        using var stop = new CancellationTokenSource();
        int measured = 0;
        AccuracyReport Measure(ClassItem item, CancellationToken cancel)
        {
            cancel.ThrowIfCancellationRequested();
            if (Interlocked.Increment(ref measured) == 4) stop.Cancel();
            return Low(item);
        }
        Assert.ThrowsAny<OperationCanceledException>(() => ClassRun.Run(items, Measure, "8in", place.File("kept"), 1, null, stop.Token));
        int first = measured;
        IReadOnlyList<ClassResult> results = ClassRun.Run(items, Measure, "8in", place.File("kept"), 1);
        Assert.Equal(8, results.Count(r => r.Report is not null));
        Assert.Equal(8, measured);
        Assert.Equal(first, results.Count(r => r.Kept));
        ClassRun.Run(items, Measure, "9in", place.File("kept"), 1);
        Assert.Equal(16, measured);
    }

    [Fact]
    public void Parallel_StaysWithinItsBound()
    {
        using var place = new TemporaryFolder();
        int now = 0, most = 0;
        ClassRun.Run(Items(place, 12), (item, _) =>
        {
            int n = Interlocked.Increment(ref now);
            lock (place) most = Math.Max(most, n);
            Thread.Sleep(10);
            Interlocked.Decrement(ref now);
            return Low(item);
        }, "8in", place.File("kept"), 2);
        Assert.InRange(most, 1, 2);
    }

    [Fact]
    public void Summary_SaysWhatTheClassHasInCommon_AndWritesItsFiles()
    {
        using var place = new TemporaryFolder();
        List<ClassItem> items = Items(place, 5);
        items.Add(items[0] with { Person = "<b>\"Zoe\"" });
        ClassSummary summary = ClassSummary.Of(ClassRun.Run(items, (item, _) => Low(item), "8in", place.File("kept"), 2));
        Assert.Contains(summary.Common, c => summary.CommonSentence(c) == "6 of 6 set the lines across (family A) low.");
        ClassWriter.Write(summary, place.Path);
        Assert.Equal(6, Directory.GetFiles(place.File("sheets"), "*.html").Length);
        string page = File.ReadAllText(place.File("class.html"));
        Assert.Contains("&lt;b&gt;&quot;Zoe&quot;", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<b>\"Zoe", page, StringComparison.Ordinal);
        Assert.DoesNotContain("http://", page.Replace("http://www.w3.org/2000/svg", "", StringComparison.Ordinal), StringComparison.Ordinal);
        Assert.Equal(7, File.ReadAllLines(place.File("class.csv")).Length);
    }

    [Fact]
    public void Folder_WithSubFoldersAndPrefixes_NamesPeople()
    {
        using var place = new TemporaryFolder();
        Directory.CreateDirectory(place.File("Ann"));
        File.WriteAllText(Path.Combine(place.File("Ann"), "one.jpg"), "");
        File.WriteAllText(place.File("ben-1.jpg"), "");
        File.WriteAllText(place.File("ben_2.png"), "");
        File.WriteAllText(place.File("notes.txt"), "");
        Assert.Equal(["Ann", "ben", "ben"], ClassFolder.Read(place.Path).Select(i => i.Person));
    }

    [Fact]
    public void List_WithQuotesAndSemicolons_IsRead()
    {
        using var place = new TemporaryFolder();
        File.WriteAllText(place.File("list.csv"), "\uFEFFPerson;Photo;Size;Grid\r\n\"Smith; \"\"Jo\"\"\";a.jpg;8in;triangle:1in\r\n\r\nBo;sub/b.jpg;;\r\n");
        IReadOnlyList<ClassItem> items = ClassFolder.ReadList(place.File("list.csv"));
        Assert.Equal(2, items.Count);
        Assert.Equal("Smith; \"Jo\"", items[0].Person);
        Assert.Equal("triangle:1in", items[0].Grid);
        Assert.Null(items[1].Size);
        File.WriteAllText(place.File("bad.csv"), "person,photo\nAnn\n");
        Assert.Contains("line 2", Assert.Throws<ClassListException>(() => ClassFolder.ReadList(place.File("bad.csv"))).Message, StringComparison.Ordinal);
    }
}
