using System.Globalization;
using System.IO.Compression;
using Analyzer.Core.Report;
using Analyzer.Practice.Log;
using Analyzer.Practice.Simulation;
using Microsoft.Data.Sqlite;

namespace Analyzer.Practice.Tests.Log;

public class PracticeLogTests
{
    private static PracticeSession Session(string who = "me", string? uid = null, int seed = 1) => new()
    {
        Uid = uid ?? Guid.NewGuid().ToString("N"),
        Who = who,
        HeldOn = new DateOnly(2026, 3, 1),
        Minutes = 40,
        Machine = "mid-arm",
        Foot = "1/2 in",
        Thread = "50 wt",
        Fabric = "cotton",
        Note = "first, \"best\"\nblock",
        Blocks = [new PracticeBlock { PhotoPath = "a/b.jpg", PhotoSha256 = "hash" + seed, StitchMinutes = 18, Plan = "plan", OverlayPng = [1, 2, 3], ReportJson = ReportJson.Write(TestBlocks.Report(new Skill(), seed, "square", 2)) }],
    };

    [Fact]
    public void Entry_ComesBackWhole()
    {
        using var place = new TemporaryFolder();
        PracticeSession written = Session();
        using (PracticeLog log = PracticeLog.Open(place.File("log.db"))) Assert.True(log.Add(written));
        using PracticeLog again = PracticeLog.Open(place.File("log.db"));
        PracticeSession read = Assert.Single(again.Sessions("ME"));
        Assert.Equivalent(written with { Id = read.Id }, read, strict: true);
        Assert.Equal(["me"], again.People());
        Assert.True(again.Holds("me", "hash1"));
        Assert.False(again.Add(written));
    }

    [Fact]
    public void Remove_TakesTheBlocksAndTheLastTraceOfAPerson()
    {
        using var place = new TemporaryFolder();
        using PracticeLog log = PracticeLog.Open(place.File("log.db"));
        log.Add(Session("a"));
        log.Add(Session("b", seed: 2));
        Assert.True(log.Remove(log.Sessions("a")[0].Id));
        Assert.Equal(["b"], log.People());
        Assert.True(log.RemovePerson("B"));
        Assert.Empty(log.Sessions());
        Assert.False(log.Remove(99));
    }

    [Fact]
    public void AddAll_WithOneBadEntry_StoresNone()
    {
        using var place = new TemporaryFolder();
        using PracticeLog log = PracticeLog.Open(place.File("log.db"));
        Assert.Throws<PracticeLogException>(() => log.AddAll([Session("good"), Session("")], []));
        Assert.Empty(log.Sessions());
    }

    [Fact]
    public void ExportAndImport_AreIdempotent()
    {
        using var place = new TemporaryFolder();
        string zip = place.File("log.zip");
        using (PracticeLog log = PracticeLog.Open(place.File("a.db")))
        {
            log.AddAll([Session("a"), Session("=b", seed: 2)], [new StoredPlan("plan", "{}")]);
            LogArchive.Export(log, zip);
        }
        using PracticeLog other = PracticeLog.Open(place.File("b.db"));
        Assert.Equal((2, 2), LogArchive.Import(other, zip));
        Assert.Equal((0, 2), LogArchive.Import(other, zip));
        Assert.Equal(2, other.Sessions().Count);
        Assert.Equal("plan", Assert.Single(other.Plans()).Name);
        using System.IO.Compression.ZipArchive archive = System.IO.Compression.ZipFile.OpenRead(zip);
        using var csv = new StreamReader(archive.GetEntry("blocks.csv")!.Open());
        string text = csv.ReadToEnd();
        Assert.Equal(3, text.Split('\n', StringSplitOptions.RemoveEmptyEntries).Length);
        Assert.Contains("'=b,2026-03-01,40,18", text, StringComparison.Ordinal);
    }

    [Fact]
    public void Import_OfSomethingElse_IsRefusedInOneSentence()
    {
        using var place = new TemporaryFolder();
        File.WriteAllText(place.File("x.zip"), "not a zip");
        using PracticeLog log = PracticeLog.Open(place.File("a.db"));
        Assert.Throws<PracticeLogException>(() => LogArchive.Import(log, place.File("x.zip")));
    }

    // A zip that unpacks a thousandfold, and one with names that climb out of the folder: neither does harm.
    [Fact]
    public void Import_OfABombOrAClimbingName_DoesNoHarm()
    {
        using var place = new TemporaryFolder();
        using PracticeLog log = PracticeLog.Open(place.File("log.db"));
        string bomb = place.File("bomb.zip"), climber = place.File("climber.zip");
        using (ZipArchive zip = ZipFile.Open(bomb, ZipArchiveMode.Create))
        using (Stream json = zip.CreateEntry("practice-log.json").Open())
        {
            byte[] blanks = [.. Enumerable.Repeat((byte)' ', 1_000_000)];
            for (int i = 0; i < 40; i++) json.Write(blanks);
        }
        Assert.Contains("far too large", Assert.Throws<PracticeLogException>(() => LogArchive.Import(log, bomb)).Message, StringComparison.Ordinal);
        using (ZipArchive zip = ZipFile.Open(climber, ZipArchiveMode.Create))
        {
            using (Stream evil = zip.CreateEntry("../climbed.txt").Open()) evil.Write("x"u8);
            using Stream json = zip.CreateEntry("practice-log.json").Open();
            json.Write("""{"schema":"stitch-practice-log/1","sessions":[],"plans":[]}"""u8);
        }
        Assert.Equal((0, 0), LogArchive.Import(log, climber));
        Assert.Empty(Directory.EnumerateFiles(Path.GetDirectoryName(place.File("x"))!, "climbed*", SearchOption.AllDirectories));
        Assert.False(File.Exists(Path.Combine(Path.GetDirectoryName(place.File("x"))!, "..", "climbed.txt")));
    }

    [Fact]
    public void OlderLayout_IsMigrated_AfterABackup()
    {
        using var place = new TemporaryFolder();
        string path = place.File("log.db");
        MakeFirstLayout(path);
        using (PracticeLog log = PracticeLog.Open(path))
        {
            PracticeSession session = Assert.Single(log.Sessions());
            Assert.Equal("old", session.Who);
            Assert.Null(Assert.Single(session.Blocks).OverlayPng);
        }
        string backup = Assert.Single(Directory.GetFiles(Path.Combine(place.Path, "backups"), "*before-layout-2.db"));
        Assert.Equal(1, Pragma(backup, "user_version"));
        Assert.Equal(Migrations.Current, Pragma(path, "user_version"));
    }

    [Fact]
    public void NewerLayout_IsRefused_Untouched()
    {
        using var place = new TemporaryFolder();
        string path = place.File("log.db");
        using (PracticeLog log = PracticeLog.Open(path)) log.Add(Session());
        Execute(path, $"PRAGMA user_version = {Migrations.Current + 1}; PRAGMA wal_checkpoint(TRUNCATE)");
        byte[] before = File.ReadAllBytes(path);
        PracticeLogException trouble = Assert.Throws<PracticeLogException>(() => PracticeLog.Open(path));
        Assert.Contains("newer version", trouble.Message, StringComparison.Ordinal);
        Assert.Equal(before, File.ReadAllBytes(path));
    }

    [Theory]
    [InlineData("text")]
    [InlineData("middle")]
    [InlineData("cut")]
    public void DamagedFile_IsLeftAsItIs_AndTheBackupNamed(string damage)
    {
        using var place = new TemporaryFolder();
        string path = place.File("log.db");
        using (PracticeLog log = PracticeLog.Open(path))
        {
            for (int i = 0; i < 5; i++) log.Add(Session(uid: $"u{i}", seed: i));
            log.BackUp();
        }
        byte[] bytes = File.ReadAllBytes(path);
        switch (damage)
        {
            case "text": bytes = "this is a letter, not a log, and it is long enough to have a header of a hundred bytes, or even a bit more than that"u8.ToArray(); break;
            case "middle": for (int i = 4096; i < bytes.Length - 4096; i++) bytes[i] = (byte)(i * 7); break;
            default: bytes = bytes[..(bytes.Length / 2)]; break;
        }
        File.WriteAllBytes(path, bytes);
        PracticeLogException trouble = Assert.Throws<PracticeLogException>(() => PracticeLog.Open(path));
        Assert.Contains("damaged", trouble.Message, StringComparison.Ordinal);
        Assert.Contains("backups", trouble.Message, StringComparison.Ordinal);
        Assert.Equal(bytes, File.ReadAllBytes(path));
        string backup = Directory.GetFiles(Path.Combine(place.Path, "backups"))[0];
        File.Copy(backup, path, overwrite: true);
        using PracticeLog restored = PracticeLog.Open(path);
        Assert.Equal(5, restored.Sessions().Count);
    }

    [Fact]
    public void OtherProgramsDatabase_IsLeftAlone()
    {
        using var place = new TemporaryFolder();
        string path = place.File("other.db");
        Execute(path, "CREATE TABLE songs(name TEXT)");
        byte[] before = File.ReadAllBytes(path);
        Assert.Contains("another program", Assert.Throws<PracticeLogException>(() => PracticeLog.Open(path)).Message, StringComparison.Ordinal);
        Assert.Equal(before, File.ReadAllBytes(path));
    }

    [Fact]
    public void Folder_InPlaceOfAFile_IsSaid()
    {
        using var place = new TemporaryFolder();
        Assert.Throws<PracticeLogException>(() => PracticeLog.Open(place.Path));
    }

    [Fact]
    public async Task ManyWriters_AtOnce_AllGetIn()
    {
        using var place = new TemporaryFolder();
        string path = place.File("log.db");
        await Task.WhenAll(Enumerable.Range(0, 6).Select(w => Task.Run(() =>
        {
            using PracticeLog log = PracticeLog.Open(path);
            for (int i = 0; i < 20; i++) log.Add(Session($"w{w}", $"{w}-{i}") with { Blocks = [] });
        })));
        using PracticeLog all = PracticeLog.Open(path);
        Assert.Equal(120, all.Sessions().Count);
    }

    [Fact]
    public void Csv_CellsThatLookLikeFormulas_AreMadeText()
    {
        Assert.Equal("'=1+1", CsvText.Cell("=1+1"));
        Assert.Equal("\"a,\"\"b\"\"\"", CsvText.Cell("a,\"b\""));
        Assert.Equal("1.5", CsvText.Cell(1.5));
        Assert.Equal("", CsvText.Cell(double.NaN));
    }

    private static void MakeFirstLayout(string path) => Execute(path, string.Create(CultureInfo.InvariantCulture,
        $"{Migrations.Steps[0]} PRAGMA application_id = {Migrations.ApplicationId}; PRAGMA user_version = 1; INSERT INTO person VALUES (1, 'old'); INSERT INTO session(uid, person_id, held_on) VALUES ('s', 1, '2025-01-01'); INSERT INTO block(uid, session_id, report_json) VALUES ('b', 1, '{{}}')"));

    private static void Execute(string path, string sql)
    {
        using var connection = new SqliteConnection($"Data Source={path};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
#pragma warning disable CA2100 // The tests' own text.
        command.CommandText = sql;
#pragma warning restore CA2100
        command.ExecuteNonQuery();
    }

    private static long Pragma(string path, string name)
    {
        using var connection = new SqliteConnection($"Data Source={path};Pooling=False");
        connection.Open();
        using SqliteCommand command = connection.CreateCommand();
#pragma warning disable CA2100 // The tests' own text.
        command.CommandText = "PRAGMA " + name;
#pragma warning restore CA2100
        return (long)command.ExecuteScalar()!;
    }
}
