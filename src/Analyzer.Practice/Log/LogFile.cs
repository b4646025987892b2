using System.Buffers.Binary;
using System.Globalization;
using Microsoft.Data.Sqlite;

namespace Analyzer.Practice.Log;

/// <summary>Opens the log's file safely: looks before it touches, backs up before it changes the layout.</summary>
internal static class LogFile
{
    private const int HeaderBytes = 100, BackupsKept = 10;

    private static readonly TimeSpan BackupEvery = TimeSpan.FromHours(24);

    public static string BackupFolder(string path) => Path.Combine(Path.GetDirectoryName(Path.GetFullPath(path))!, "backups");

    /// <summary>Opens for reading and writing, creating or migrating as needed.</summary>
    public static SqliteConnection Open(string path)
    {
        try
        {
            Directory.CreateDirectory(Path.GetDirectoryName(Path.GetFullPath(path))!);
            bool empty = LookAtHeader(path);
            if (!empty) CheckIntegrity(path);
            SqliteConnection connection = Connect(path, SqliteOpenMode.ReadWriteCreate);
            try
            {
                Migrate(connection, path);
                Run(connection, "PRAGMA journal_mode = WAL");
                Run(connection, "PRAGMA synchronous = FULL");
                Run(connection, "PRAGMA foreign_keys = ON");
                Run(connection, "PRAGMA secure_delete = ON");
                BackUpIfDue(connection, path);
                return connection;
            }
            catch
            {
                connection.Dispose();
                throw;
            }
        }
        catch (SqliteException trouble)
        {
            throw Explain(trouble, path);
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException)
        {
            throw new PracticeLogException($"The practice log {path} cannot be opened: its folder or file cannot be read or written. Check the place, or give another with --log FILE.", trouble);
        }
    }

    public static PracticeLogException Explain(SqliteException trouble, string path) => trouble.SqliteErrorCode switch
    {
        11 or 26 => Damaged(path, trouble),
        13 => new PracticeLogException($"The disk is full, so the practice log {path} was not changed. Make room and try again.", trouble),
        5 or 6 => new PracticeLogException($"The practice log {path} is busy in another window. Wait a moment and try again.", trouble),
        8 or 14 => new PracticeLogException($"The practice log {path} cannot be written: check that the folder exists and may be written to, or give another with --log FILE.", trouble),
        _ => new PracticeLogException($"The practice log {path} could not be used ({trouble.SqliteErrorCode}). Nothing was changed.", trouble),
    };

    /// <summary>Copies the whole log beside itself: written aside, then renamed.</summary>
    public static string BackUp(SqliteConnection connection, string path, string reason)
    {
        string folder = BackupFolder(path);
        Directory.CreateDirectory(folder);
        foreach (string left in Directory.EnumerateFiles(folder, "*.part"))
            if (DateTime.UtcNow - File.GetLastWriteTimeUtc(left) > TimeSpan.FromHours(1)) File.Delete(left);
        string stamp = DateTime.UtcNow.ToString("yyyyMMdd-HHmmss", CultureInfo.InvariantCulture);
        string target = Path.Combine(folder, $"{Path.GetFileNameWithoutExtension(path)}-{stamp}-{reason}.db"), part = target + "." + Guid.NewGuid().ToString("N") + ".part";
        using (SqliteCommand command = connection.CreateCommand())
        {
            command.CommandText = "VACUUM INTO $part";
            command.Parameters.AddWithValue("$part", part);
            command.ExecuteNonQuery();
        }
        File.Move(part, target, overwrite: true);
        foreach (string old in Backups(path).Skip(BackupsKept)) File.Delete(old);
        return target;
    }

    /// <summary>Backups of this log, newest first.</summary>
    public static List<string> Backups(string path)
    {
        string folder = BackupFolder(path);
        return !Directory.Exists(folder) ? [] :
            [.. Directory.EnumerateFiles(folder, Path.GetFileNameWithoutExtension(path) + "-*.db").OrderByDescending(Path.GetFileName, StringComparer.Ordinal)];
    }

    /// <summary>Reads the first bytes without a database engine, so that a foreign or newer file stays untouched.</summary>
    /// <returns>True when there is nothing there yet.</returns>
    private static bool LookAtHeader(string path)
    {
        if (Directory.Exists(path)) throw new PracticeLogException($"{path} is a folder; --log needs the name of a file.");
        if (!File.Exists(path)) return true;
        using var file = new FileStream(path, FileMode.Open, FileAccess.Read, FileShare.ReadWrite | FileShare.Delete);
        if (file.Length == 0) return true;
        var header = new byte[HeaderBytes];
        if (file.ReadAtLeast(header, HeaderBytes, throwOnEndOfStream: false) < HeaderBytes || !header.AsSpan(0, 16).SequenceEqual("SQLite format 3\0"u8))
            throw Damaged(path, null);
        int version = BinaryPrimitives.ReadInt32BigEndian(header.AsSpan(60)), application = BinaryPrimitives.ReadInt32BigEndian(header.AsSpan(68));
        if (application != Migrations.ApplicationId)
            throw new PracticeLogException($"{path} is a database of another program, not a practice log. It was left as it is; give another file with --log.");
        RefuseNewer(version, path);
        return false;
    }

    private static void CheckIntegrity(string path)
    {
        using SqliteConnection connection = Connect(path, SqliteOpenMode.ReadOnly);
        if (Run(connection, "PRAGMA integrity_check(1)") as string != "ok") throw Damaged(path, null);
    }

    private static void Migrate(SqliteConnection connection, string path)
    {
        int version = Version(connection);
        RefuseNewer(version, path);
        if (version == Migrations.Current) return;
        if (version > 0) BackUp(connection, path, $"before-layout-{Migrations.Current}");
        using SqliteTransaction transaction = connection.BeginTransaction(deferred: false);
        // Another window may have done it while this one waited.
        version = Version(connection);
        RefuseNewer(version, path);
        for (int step = version; step < Migrations.Current; step++) Run(connection, Migrations.Steps[step]);
        Run(connection, $"PRAGMA application_id = {Migrations.ApplicationId}");
        Run(connection, $"PRAGMA user_version = {Migrations.Current}");
        transaction.Commit();
    }

    private static void BackUpIfDue(SqliteConnection connection, string path)
    {
        if (Convert.ToInt64(Run(connection, "SELECT count(*) FROM session"), CultureInfo.InvariantCulture) == 0) return;
        string? newest = Backups(path).FirstOrDefault();
        if (newest is null || (DateTime.UtcNow - File.GetLastWriteTimeUtc(newest)).Duration() > BackupEvery) BackUp(connection, path, "daily");
    }

    private static SqliteConnection Connect(string path, SqliteOpenMode mode)
    {
        var connection = new SqliteConnection(new SqliteConnectionStringBuilder { DataSource = path, Mode = mode, Pooling = false, DefaultTimeout = 30 }.ToString());
        connection.Open();
        Run(connection, "PRAGMA busy_timeout = 30000");
        return connection;
    }

    private static int Version(SqliteConnection connection) => Convert.ToInt32(Run(connection, "PRAGMA user_version"), CultureInfo.InvariantCulture);

    private static object? Run(SqliteConnection connection, string sql)
    {
        using SqliteCommand command = connection.CreateCommand();
#pragma warning disable CA2100 // Only this file's and the migrations' own constants come here.
        command.CommandText = sql;
#pragma warning restore CA2100
        return command.ExecuteScalar();
    }

    private static void RefuseNewer(int version, string path)
    {
        if (version > Migrations.Current)
            throw new PracticeLogException($"The practice log {path} was written by a newer version of this program (layout {version}; this one knows {Migrations.Current}). It was left as it is; use the newer version.");
    }

    private static PracticeLogException Damaged(string path, Exception? inner)
    {
        string? backup = Backups(path).FirstOrDefault();
        string advice = backup is null
            ? "There is no backup of it yet; move it away and start a new one, or restore it from your own backups."
            : $"The last backup is {backup}: move the damaged file away and copy the backup to its place.";
        return new PracticeLogException($"The practice log {path} is damaged and was left as it is. {advice}", inner);
    }
}
