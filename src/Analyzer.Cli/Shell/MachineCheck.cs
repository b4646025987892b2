using System.Globalization;
using System.Runtime.InteropServices;
using Analyzer.Core.Report;
using Analyzer.Practice.Log;
using Analyzer.Reporting;
using Analyzer.Vision.Photos;

namespace Analyzer.Cli.Shell;

internal enum MachineState
{
    Good,
    Lesser,
    Missing,
}

/// <param name="Advice">What to do, null when all is well.</param>
internal sealed record MachineFinding(string What, MachineState State, string Words, string? Advice = null);

/// <summary>What the machine has of that which the program needs: each thing is tried, not looked up.</summary>
internal static class MachineCheck
{
    /// <summary>What a 12 megapixel photo takes at its peak, with room to spare, bytes.</summary>
    private const long WantedMemory = 1L << 30;

    /// <summary>A grey BMP of the smallest size a photo may have (BITMAPINFOHEADER, 24 bits).</summary>
    private static byte[] SmallPicture()
    {
        const int side = PhotoReader.ShortestSidePx, row = side * 3;
        var bmp = new byte[54 + row * side];
        "BM"u8.CopyTo(bmp);
        BitConverter.TryWriteBytes(bmp.AsSpan(2), bmp.Length);
        bmp[10] = 54;
        bmp[14] = 40;
        BitConverter.TryWriteBytes(bmp.AsSpan(18), side);
        BitConverter.TryWriteBytes(bmp.AsSpan(22), side);
        bmp[26] = 1;
        bmp[28] = 24;
        bmp.AsSpan(54).Fill(128);
        return bmp;
    }

    public static IReadOnlyList<MachineFinding> All(string? outFolder)
    {
        var findings = new List<MachineFinding>
        {
            new("System", RuntimeInformation.ProcessArchitecture == Architecture.X64 && !OperatingSystem.IsMacOS() ? MachineState.Good : MachineState.Lesser,
                $"{RuntimeInformation.OSDescription}, {RuntimeInformation.ProcessArchitecture}, .NET {Environment.Version}",
                RuntimeInformation.ProcessArchitecture == Architecture.X64 && !OperatingSystem.IsMacOS() ? null : "The image library is supplied for Linux and Windows on x64 only."),
            Try("Image library (OpenCV)", () =>
            {
                using Photo photo = PhotoReader.Read(SmallPicture(), "trial.bmp");
                return photo.WidthPx == PhotoReader.ShortestSidePx ? null : "it reads pictures wrongly";
            }, OperatingSystem.IsLinux() ? "It needs GTK 3: on Debian and Ubuntu run \"sudo apt-get install libgtk-3-0\"." : "Install the Visual C++ runtime of Microsoft, or unpack the program again."),
            Try("Drawing library", () => ReportWriter.Render(new AccuracyReport { Outcome = "not-measurable" }, null, new ReportOptions()).Files.Count > 0 ? null : "it draws nothing",
                "Unpack or build the program again; its file libSkiaSharp is missing or damaged."),
            Fonts(),
            Try("Log library (SQLite)", () =>
            {
                string folder = Directory.CreateTempSubdirectory("stitch-doctor-").FullName;
                try
                {
                    using PracticeLog log = PracticeLog.Open(Path.Combine(folder, "trial.db"));
                    return log.People().Count == 0 ? null : "it reads wrongly";
                }
                finally
                {
                    Directory.Delete(folder, recursive: true);
                }
            }, "Unpack or build the program again; its file e_sqlite3 is missing or damaged."),
            Folder("Folder for temporary files", Path.GetTempPath(), "Set the variable TMPDIR (TEMP on Windows) to a folder you may write to."),
            Folder("Folder of the practice log", Path.GetDirectoryName(PracticeLog.DefaultPath)!, "Name another place with log ... --log FILE."),
            Memory(),
        };
        if (outFolder is not null) findings.Add(Folder("Output folder", outFolder, "Choose another folder with --out."));
        return findings;
    }

    private static MachineFinding Try(string what, Func<string?> trial, string advice)
    {
        try
        {
            return trial() is { } trouble ? new MachineFinding(what, MachineState.Missing, trouble, advice) : new MachineFinding(what, MachineState.Good, "works");
        }
#pragma warning disable CA1031 // Whatever goes wrong here is the finding.
        catch (Exception trouble)
#pragma warning restore CA1031
        {
            Exception root = trouble.GetBaseException();
            string words = root is DllNotFoundException or TypeInitializationException or BadImageFormatException or EntryPointNotFoundException ? "it cannot be loaded" : "it does not work";
            return new MachineFinding(what, MachineState.Missing, words, advice);
        }
    }

    private static MachineFinding Fonts()
    {
        bool any = false;
        MachineFinding tried = Try("Fonts", () =>
        {
            any = MachineFonts.CanDrawLetters;
            return null;
        }, "Install a font such as DejaVu Sans.");
        return tried.State == MachineState.Good && !any
            ? new MachineFinding("Fonts", MachineState.Lesser, "none that can draw letters", "Pictures will have no lettering; on Debian and Ubuntu run \"sudo apt-get install fonts-dejavu-core\".")
            : tried with { Words = tried.State == MachineState.Good ? "letters can be drawn" : tried.Words };
    }

    private static MachineFinding Folder(string what, string path, string advice)
    {
        try
        {
            OutputFolder.Prepare(what, path).Undo();
            return new MachineFinding(what, MachineState.Good, $"{path} can be written to");
        }
        catch (UserErrorException)
        {
            return new MachineFinding(what, MachineState.Missing, $"{path} cannot be written to", advice);
        }
    }

    private static MachineFinding Memory()
    {
        long bytes = GC.GetGCMemoryInfo().TotalAvailableMemoryBytes;
        string words = string.Create(CultureInfo.InvariantCulture, $"{bytes / (double)(1 << 30):0.0} GB");
        return bytes >= WantedMemory ? new MachineFinding("Memory", MachineState.Good, words)
            : new MachineFinding("Memory", MachineState.Lesser, words, "Large photos may not fit; give photos of 12 megapixels or less, one at a time.");
    }
}
