// Makes an invented practice log, an invented before/after pair and an invented class, all marked as invented.
//   dotnet run --project tools/MakeDemoLog -- FOLDER [--seed N]
using System.Globalization;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using Analyzer.Practice.Log;
using Analyzer.Practice.Simulation;

if (args.Length == 0)
{
    Console.WriteLine("Give the folder to write the demo into: MakeDemoLog FOLDER [--seed N].");
    return 2;
}
string folder = args[0];
int at = Array.IndexOf(args, "--seed"), seed = at >= 0 && at + 1 < args.Length ? int.Parse(args[at + 1], CultureInfo.InvariantCulture) : 7;
Directory.CreateDirectory(folder);
var size = new BlockSize(203.2, 203.2);
var grid = new IntendedGrid(size, NamedGrids.Families("triangle", Length.FromInches(1), size)!);
var random = new Random(seed);

WriteLog(Path.Combine(folder, "demo-log.db"));
WritePair(Path.Combine(folder, "pair"));
WriteClass(Path.Combine(folder, "class"));
Console.WriteLine($"Wrote an invented log, pair and class into {folder}.");
return 0;

void WriteLog(string path)
{
    if (File.Exists(path)) File.Delete(path);
    using PracticeLog log = PracticeLog.Open(path);
    var sessions = new List<PracticeSession>();
    var day = new DateOnly(2026, 1, 5);
    double minutes = 0;
    for (int i = 0; i < 14; i++, day = day.AddDays(random.Next(3, 9)))
    {
        double held = random.Next(25, 65);
        minutes += held;
        // Skill follows a floor plus an exponential of the minutes practised; wobble also grows with pace.
        double learnt = Math.Exp(-minutes / 180), pace = 0.22 + 0.18 * random.NextDouble();
        Skill skill = SkillAt(learnt, pace);
        double metres = grid.Lines.Sum(l => l.LengthMm) / 1000;
        sessions.Add(new PracticeSession
        {
            Uid = $"invented-{seed}-{i}",
            Who = "demo",
            HeldOn = day,
            Minutes = held,
            Machine = "invented machine",
            Foot = "1/2 in ruler foot",
            Thread = "50 wt cotton",
            Fabric = "plain cotton, cotton batting",
            Note = InventedBlock.Remark,
            Blocks = [Block($"demo-{i + 1:00}.jpg", skill, seed * 1000 + i, metres / pace, $"invented-block-{seed}-{i}")],
        });
    }
    log.AddAll(sessions, []);
}

Skill SkillAt(double learnt, double metresPerMinute) => new()
{
    FamilyOffsetMm = [0.1, 0, 0.25 + 0.5 * learnt],
    OffsetSdMm = 0.25 + 0.6 * learnt,
    AngleSdDeg = 0.1 + 0.15 * learnt,
    WobbleMm = (0.08 + 0.45 * metresPerMinute) * (1 + 1.2 * learnt),
    AimMm = 0.08 + 0.15 * learnt,
    OvershootMm = 0.3 * learnt,
    OvershootSdMm = 0.35 + 0.4 * learnt,
};

PracticeBlock Block(string file, Skill skill, int blockSeed, double minutes, string uid) => new()
{
    Uid = uid,
    PhotoPath = file,
    PhotoSha256 = uid,
    StitchMinutes = Math.Round(minutes, 1),
    ReportJson = ReportJson.Write(InventedBlock.Make(grid, skill, blockSeed, file)),
};

void WritePair(string pair)
{
    Write(Path.Combine(pair, "before", "report.json"), InventedBlock.Make(grid, SkillAt(0.9, 0.35), seed * 1000 + 101, "before.jpg"));
    Write(Path.Combine(pair, "after", "report.json"), InventedBlock.Make(grid, SkillAt(0.2, 0.25), seed * 1000 + 102, "after.jpg"));
}

void WriteClass(string place)
{
    string[] names = ["Anna", "Ben", "Carla", "Dora", "Emil", "Frida", "Gil", "Hanna", "Ida", "Jon", "Kaja", "Lore"];
    for (int i = 0; i < names.Length; i++)
    {
        // Most of the class aim the last family low; each also has a habit of their own.
        double low = i % 4 == 3 ? 0 : 0.55 + 0.2 * random.NextDouble();
        Skill skill = SkillAt(0.2 + 0.6 * random.NextDouble(), 0.3) with
        {
            FamilyOffsetMm = [i % 3 == 0 ? 0.7 : 0, 0, low],
            FamilyAngleDeg = [0, i % 5 == 1 ? 0.5 : 0],
            OffsetSdMm = 0.3,
            OvershootMm = i % 4 == 2 ? 1.0 : 0.1,
        };
        Write(Path.Combine(place, names[i], "2026-02-03.json"), InventedBlock.Make(grid, skill with { WobbleMm = 1.3 * skill.WobbleMm }, seed * 1000 + 200 + 2 * i, "2026-02-03.jpg"));
        if (i != 5) Write(Path.Combine(place, names[i], "2026-03-03.json"), InventedBlock.Make(grid, skill, seed * 1000 + 201 + 2 * i, "2026-03-03.jpg"));
    }
}

static void Write(string path, AccuracyReport report)
{
    Directory.CreateDirectory(Path.GetDirectoryName(path)!);
    File.WriteAllText(path, ReportJson.Write(report));
}
