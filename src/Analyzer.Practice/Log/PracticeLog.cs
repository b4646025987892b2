using System.Globalization;
using Microsoft.Data.Sqlite;

namespace Analyzer.Practice.Log;

/// <summary>The practice log: one SQLite file, every change one transaction, safe with several windows open.</summary>
public sealed class PracticeLog : IDisposable
{
    private readonly SqliteConnection _connection;
    private readonly string _path;

    private PracticeLog(SqliteConnection connection, string path) => (_connection, _path) = (connection, path);

    /// <summary>The log in the user's own data folder.</summary>
    public static string DefaultPath => Path.Combine(
        Environment.GetFolderPath(Environment.SpecialFolder.LocalApplicationData, Environment.SpecialFolderOption.DoNotVerify), "StitchAccuracyAnalyzer", "practice-log.db");

    /// <summary>Opens or creates the log.</summary>
    /// <exception cref="PracticeLogException">The file is damaged, newer, foreign, busy or cannot be written; it was not changed.</exception>
    public static PracticeLog Open(string path) => new(LogFile.Open(path), path);

    public void Dispose() => _connection.Dispose();

    /// <summary>Stores a session with its blocks in one transaction; false when its uid is already there.</summary>
    public bool Add(PracticeSession session) => InTransaction(() => Insert(session));

    /// <summary>Stores many sessions in one transaction: all or none. Returns how many were new.</summary>
    public int AddAll(IEnumerable<PracticeSession> sessions, IEnumerable<StoredPlan> plans) => InTransaction(() =>
    {
        foreach (StoredPlan plan in plans) InsertPlan(plan);
        return sessions.Count(Insert);
    });

    public void SavePlan(StoredPlan plan) => InTransaction(() =>
    {
        InsertPlan(plan);
        return true;
    });

    public IReadOnlyList<StoredPlan> Plans() =>
        Read("SELECT name, plan_json FROM plan ORDER BY name", r => new StoredPlan(r.GetString(0), r.GetString(1)));

    public IReadOnlyList<string> People() => Read("SELECT nickname FROM person ORDER BY nickname", r => r.GetString(0));

    /// <summary>Sessions, oldest first; of one person when a nickname is given.</summary>
    public IReadOnlyList<PracticeSession> Sessions(string? who = null, long? id = null)
    {
        ILookup<long, PracticeBlock> blocks = Read(
            "SELECT session_id, uid, photo_path, photo_sha256, stitch_minutes, report_json, plan_name, overlay_png FROM block ORDER BY id",
            r => (Session: r.GetInt64(0), Block: new PracticeBlock
            {
                Uid = r.GetString(1),
                PhotoPath = Text(r, 2),
                PhotoSha256 = Text(r, 3),
                StitchMinutes = Number(r, 4),
                ReportJson = r.GetString(5),
                Plan = Text(r, 6),
                OverlayPng = r.IsDBNull(7) ? null : (byte[])r[7],
            })).ToLookup(b => b.Session, b => b.Block);
        return Read(
            "SELECT s.id, s.uid, p.nickname, s.held_on, s.minutes, s.machine, s.foot, s.thread, s.fabric, s.note FROM session s JOIN person p ON p.id = s.person_id "
            + "WHERE ($who IS NULL OR p.nickname = $who COLLATE NOCASE) AND ($id IS NULL OR s.id = $id) ORDER BY s.held_on, s.id",
            r => new PracticeSession
            {
                Id = r.GetInt64(0),
                Uid = r.GetString(1),
                Who = r.GetString(2),
                HeldOn = DateOnly.ParseExact(r.GetString(3), "yyyy-MM-dd", CultureInfo.InvariantCulture),
                Minutes = Number(r, 4),
                Machine = Text(r, 5),
                Foot = Text(r, 6),
                Thread = Text(r, 7),
                Fabric = Text(r, 8),
                Note = Text(r, 9),
                Blocks = [.. blocks[r.GetInt64(0)]],
            },
            ("$who", who), ("$id", id));
    }

    /// <summary>One session, or null when there is none of that number.</summary>
    public PracticeSession? Session(long id) => Sessions(id: id) is [PracticeSession only, ..] ? only : null;

    /// <summary>True when a block of this photo is already in the log of this person.</summary>
    public bool Holds(string who, string photoSha256) => Read(
        "SELECT 1 FROM block b JOIN session s ON s.id = b.session_id JOIN person p ON p.id = s.person_id WHERE p.nickname = $who COLLATE NOCASE AND b.photo_sha256 = $hash LIMIT 1",
        _ => true, ("$who", who), ("$hash", photoSha256)).Count > 0;

    /// <summary>Takes one session out, with its blocks; a person without sessions goes too.</summary>
    public bool Remove(long id) => InTransaction(() =>
    {
        int removed = Execute("DELETE FROM session WHERE id = $id", ("$id", id));
        Execute("DELETE FROM person WHERE id NOT IN (SELECT person_id FROM session)");
        return removed > 0;
    });

    /// <summary>Takes a person and everything of theirs out.</summary>
    public bool RemovePerson(string who) => InTransaction(() => Execute("DELETE FROM person WHERE nickname = $who COLLATE NOCASE", ("$who", who)) > 0);

    /// <summary>Copies the log into its backup folder now; returns the copy's path.</summary>
    public string BackUp() => Guarded(() => LogFile.BackUp(_connection, _path, "asked"));

    private bool Insert(PracticeSession session)
    {
        Nickname.Check(session.Who);
        Execute("INSERT OR IGNORE INTO person(nickname) VALUES ($who)", ("$who", session.Who.Trim()));
        int added = Execute(
            "INSERT OR IGNORE INTO session(uid, person_id, held_on, minutes, machine, foot, thread, fabric, note) "
            + "SELECT $uid, id, $date, $minutes, $machine, $foot, $thread, $fabric, $note FROM person WHERE nickname = $who COLLATE NOCASE",
            ("$uid", session.Uid), ("$who", session.Who.Trim()), ("$date", session.HeldOn.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)), ("$minutes", session.Minutes),
            ("$machine", session.Machine), ("$foot", session.Foot), ("$thread", session.Thread), ("$fabric", session.Fabric), ("$note", session.Note));
        if (added == 0) return false;
        foreach (PracticeBlock block in session.Blocks)
            Execute(
                "INSERT INTO block(uid, session_id, photo_path, photo_sha256, stitch_minutes, report_json, plan_name, overlay_png) "
                + "SELECT $uid, id, $path, $hash, $minutes, $report, $plan, $overlay FROM session WHERE uid = $session",
                ("$uid", block.Uid), ("$session", session.Uid), ("$path", block.PhotoPath), ("$hash", block.PhotoSha256), ("$minutes", block.StitchMinutes),
                ("$report", block.ReportJson), ("$plan", block.Plan), ("$overlay", block.OverlayPng));
        return true;
    }

    private void InsertPlan(StoredPlan plan) => Execute(
        "INSERT INTO plan(name, plan_json) VALUES ($name, $json) ON CONFLICT(name) DO UPDATE SET plan_json = $json", ("$name", plan.Name), ("$json", plan.PlanJson));

    private T InTransaction<T>(Func<T> work) => Guarded(() =>
    {
        using SqliteTransaction transaction = _connection.BeginTransaction(deferred: false);
        T result = work();
        transaction.Commit();
        return result;
    });

    private int Execute(string sql, params (string Name, object? Value)[] parameters)
    {
        using SqliteCommand command = Command(sql, parameters);
        return command.ExecuteNonQuery();
    }

    private List<T> Read<T>(string sql, Func<SqliteDataReader, T> row, params (string Name, object? Value)[] parameters) => Guarded(() =>
    {
        using SqliteCommand command = Command(sql, parameters);
        using SqliteDataReader reader = command.ExecuteReader();
        var rows = new List<T>();
        while (reader.Read()) rows.Add(row(reader));
        return rows;
    });

    private SqliteCommand Command(string sql, (string Name, object? Value)[] parameters)
    {
        SqliteCommand command = _connection.CreateCommand();
#pragma warning disable CA2100 // Constants of this file only; every value is a parameter.
        command.CommandText = sql;
#pragma warning restore CA2100
        foreach ((string name, object? value) in parameters) command.Parameters.AddWithValue(name, value ?? DBNull.Value);
        return command;
    }

    private T Guarded<T>(Func<T> work)
    {
        try
        {
            return work();
        }
        catch (SqliteException trouble)
        {
            throw LogFile.Explain(trouble, _path);
        }
    }

    private static string? Text(SqliteDataReader reader, int column) => reader.IsDBNull(column) ? null : reader.GetString(column);

    private static double? Number(SqliteDataReader reader, int column) => reader.IsDBNull(column) ? null : reader.GetDouble(column);
}

/// <summary>What may be a nickname.</summary>
public static class Nickname
{
    public const int Longest = 40;

    /// <exception cref="PracticeLogException">The name is empty, too long, or holds control characters.</exception>
    public static void Check(string name)
    {
        if (string.IsNullOrWhiteSpace(name) || name.Trim().Length > Longest || name.Any(char.IsControl))
            throw new PracticeLogException($"A nickname has 1 to {Longest} ordinary characters; \"{new string([.. (name ?? "").Where(c => !char.IsControl(c)).Take(Longest)])}\" does not.");
    }
}
