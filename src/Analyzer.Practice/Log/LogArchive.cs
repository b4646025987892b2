using System.Globalization;
using System.IO.Compression;
using System.Text;
using System.Text.Json;
using Analyzer.Core.Report;
using Analyzer.Practice.Progress;

namespace Analyzer.Practice.Log;

/// <summary>The whole log as one zip: practice-log.json (everything) and blocks.csv (one row a block). Reading it in again changes nothing that is there.</summary>
public static class LogArchive
{
    public const string SchemaName = "stitch-practice-log/1";

    private const string JsonName = "practice-log.json";

    /// <summary>Room for some 3,000 blocks; more than that is no practice log.</summary>
    private const long LargestJsonBytes = 600_000_000;

    /// <summary>Above so many bytes an export packed more than a hundredfold is none of ours: reports pack about tenfold.</summary>
    private const long PlainBytes = 20_000_000, TightestPacking = 100;

    private static readonly JsonSerializerOptions Options = new() { PropertyNamingPolicy = JsonNamingPolicy.CamelCase, WriteIndented = true };

    private sealed record Content(string Schema, IReadOnlyList<PracticeSession> Sessions, IReadOnlyList<StoredPlan> Plans);

    /// <summary>Writes aside, then renames.</summary>
    public static void Export(PracticeLog log, string zipPath)
    {
        string part = zipPath + "." + Guid.NewGuid().ToString("N") + ".part";
        try
        {
            using (ZipArchive zip = ZipFile.Open(part, ZipArchiveMode.Create))
            {
                IReadOnlyList<PracticeSession> sessions = log.Sessions();
                using (Stream json = zip.CreateEntry(JsonName).Open())
                    JsonSerializer.Serialize(json, new Content(SchemaName, sessions, log.Plans()), Options);
                using var csv = new StreamWriter(zip.CreateEntry("blocks.csv").Open(), new UTF8Encoding(false));
                csv.Write(Csv(sessions));
            }
            File.Move(part, zipPath, overwrite: true);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            throw new PracticeLogException($"{zipPath} cannot be written; check the folder and the room on the disk.", trouble);
        }
        finally
        {
            if (File.Exists(part)) File.Delete(part);
        }
    }

    /// <summary>Adds what is not there yet; returns new sessions and all sessions in the zip.</summary>
    public static (int New, int All) Import(PracticeLog log, string zipPath)
    {
        Content content = ReadContent(zipPath);
        foreach (PracticeSession session in content.Sessions)
            foreach (PracticeBlock block in session.Blocks)
                try
                {
                    ReportJson.Read(block.ReportJson);
                }
                catch (FormatException trouble)
                {
                    throw new PracticeLogException($"{zipPath}: the block of {session.Who} on {session.HeldOn:yyyy-MM-dd} holds no readable report, so nothing was read in. Export it again.", trouble);
                }
        return (log.AddAll(content.Sessions, content.Plans), content.Sessions.Count);
    }

    private static Content ReadContent(string zipPath)
    {
        try
        {
            using ZipArchive zip = ZipFile.OpenRead(zipPath);
            ZipArchiveEntry entry = zip.GetEntry(JsonName)
                ?? throw new PracticeLogException($"{zipPath} holds no {JsonName}, so it is not an export of the practice log.");
            // Nothing is unpacked to the disk, so names inside the zip do no harm; what is read is bounded.
            if (entry.Length > LargestJsonBytes || (entry.Length > PlainBytes && entry.Length > TightestPacking * entry.CompressedLength)) throw new PracticeLogException($"{zipPath} is far too large to be an export of the practice log.");
            using Stream json = new BoundedStream(entry.Open(), entry.Length);
            Content? content = JsonSerializer.Deserialize<Content>(json, Options);
            if (content is null || content.Schema != SchemaName || content.Sessions is null || content.Plans is null
                || content.Sessions.Any(s => s is null || s.Uid is null || s.Who is null || s.Blocks is null || s.Blocks.Any(b => b is null || b.Uid is null || b.ReportJson is null))
                || content.Plans.Any(p => p is null || p.Name is null || p.PlanJson is null))
                throw new PracticeLogException($"{zipPath} is not an export that this version can read.");
            return content;
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or InvalidDataException or JsonException or NotSupportedException)
        {
            throw new PracticeLogException($"{zipPath} cannot be read as an export of the practice log; check its name, or export it again.", trouble);
        }
    }

    /// <summary>One row a block, numbers in invariant culture.</summary>
    public static string Csv(IReadOnlyList<PracticeSession> sessions)
    {
        var text = new StringBuilder("who,date,session_minutes,block_minutes,machine,foot,thread,fabric,photo,offset_mm,angle_deg,wobble_mm,crossing_mm,within_percent\n");
        foreach (PracticeSession session in sessions)
            foreach (PracticeBlock block in session.Blocks)
            {
                BlockNumbers? n = BlockNumbers.TryOf(block.ReportJson);
                text.AppendJoin(',', CsvText.Cell(session.Who), session.HeldOn.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture), CsvText.Cell(session.Minutes), CsvText.Cell(block.StitchMinutes),
                    CsvText.Cell(session.Machine), CsvText.Cell(session.Foot), CsvText.Cell(session.Thread), CsvText.Cell(session.Fabric), CsvText.Cell(block.PhotoPath),
                    CsvText.Cell(n?.OffsetMm.Value), CsvText.Cell(n?.AngleDeg.Value), CsvText.Cell(n?.WobbleMm.Value), CsvText.Cell(n?.CrossingMm.Value), CsvText.Cell(n?.WithinPercent.Value)).Append('\n');
            }
        return text.ToString();
    }
}

/// <summary>Cells of a CSV file (RFC 4180); a text that a spreadsheet would run as a formula gets a leading apostrophe.</summary>
public static class CsvText
{
    public static string Cell(string? text)
    {
        if (string.IsNullOrEmpty(text)) return "";
        if (text[0] is '=' or '+' or '-' or '@' or '\t' or '\r') text = "'" + text;
        return text.AsSpan().IndexOfAny(",\"\n\r") >= 0 ? "\"" + text.Replace("\"", "\"\"", StringComparison.Ordinal) + "\"" : text;
    }

    public static string Cell(double? value) => value is { } v && double.IsFinite(v) ? v.ToString("0.####", CultureInfo.InvariantCulture) : "";
}
