using System.Globalization;
using Analyzer.Practice.Log;

namespace Analyzer.Practice.Tests.Log;

/// <summary>Writes entries without end; says each entry's uid on standard output only after it is stored.</summary>
internal static class LogWriter
{
    public static int Run(string path, string name)
    {
        Stream output = Console.OpenStandardOutput();
        void Say(string text)
        {
            output.Write(System.Text.Encoding.ASCII.GetBytes(text + "\n"));
            output.Flush();
        }
        string report = new('x', 20_000);
        using PracticeLog log = PracticeLog.Open(path);
        Say("open");
        for (int i = 0; ; i++)
        {
            string uid = string.Create(CultureInfo.InvariantCulture, $"{name}-{i}");
            log.Add(new PracticeSession { Uid = uid, Who = name, HeldOn = new DateOnly(2026, 1, 1), Minutes = i, Blocks = [new PracticeBlock { Uid = uid + "-block", ReportJson = report }] });
            Say(uid);
        }
    }
}
