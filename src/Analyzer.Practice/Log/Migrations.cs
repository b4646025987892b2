namespace Analyzer.Practice.Log;

/// <summary>The log file's table layout, step by step. A step once released is never changed; a new one is added below it.</summary>
internal static class Migrations
{
    /// <summary>Marks the file as a practice log ("StPL").</summary>
    public const int ApplicationId = 0x5374504C;

    public static int Current => Steps.Count;

    public static IReadOnlyList<string> Steps { get; } =
    [
        // 1: people, sessions, blocks.
        """
        CREATE TABLE person (
            id INTEGER PRIMARY KEY,
            nickname TEXT NOT NULL UNIQUE COLLATE NOCASE);
        CREATE TABLE session (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            uid TEXT NOT NULL UNIQUE,
            person_id INTEGER NOT NULL REFERENCES person(id) ON DELETE CASCADE,
            held_on TEXT NOT NULL,
            minutes REAL CHECK (minutes >= 0),
            machine TEXT, foot TEXT, thread TEXT, fabric TEXT, note TEXT);
        CREATE INDEX session_by_person ON session(person_id, held_on);
        CREATE TABLE block (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            uid TEXT NOT NULL UNIQUE,
            session_id INTEGER NOT NULL REFERENCES session(id) ON DELETE CASCADE,
            photo_path TEXT,
            photo_sha256 TEXT,
            stitch_minutes REAL CHECK (stitch_minutes >= 0),
            report_json TEXT NOT NULL);
        CREATE INDEX block_by_session ON block(session_id);
        """,
        // 2: plans, and a small picture of each block.
        """
        CREATE TABLE plan (
            id INTEGER PRIMARY KEY,
            name TEXT NOT NULL UNIQUE COLLATE NOCASE,
            plan_json TEXT NOT NULL);
        ALTER TABLE block ADD COLUMN plan_name TEXT;
        ALTER TABLE block ADD COLUMN overlay_png BLOB;
        """,
    ];
}
