using System.Text;
using Analyzer.Core.Pattern;
using Analyzer.Core.Report;
using Analyzer.Core.Units;
using Analyzer.EndToEnd.Tests.Shell;
using Analyzer.Practice.Simulation;

namespace Analyzer.EndToEnd.Tests.Practice;

/// <summary>Reports of invented blocks as files.</summary>
internal static class InventedFiles
{
    public static IntendedGrid Grid(string name = "square")
    {
        var size = new BlockSize(203.2, 203.2);
        return new IntendedGrid(size, NamedGrids.Families(name, Length.FromInches(1), size)!);
    }

    /// <summary>A steady maker: nothing of the cloth, hardly anything of the photo.</summary>
    public static Skill Steady { get; } = new() { DistortionMm = 0.02, CornerUMm = 0.02, ClaimLogSd = 0, LostLines = 0 };

    public static string Report(Scratch scratch, string name, Skill skill, int seed, IntendedGrid? grid = null)
    {
        string path = scratch.At(name);
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        File.WriteAllBytes(path, Encoding.UTF8.GetBytes(ReportJson.Write(InventedBlock.Make(grid ?? Grid(), skill, seed, Path.GetFileNameWithoutExtension(name) + ".jpg"))));
        return path;
    }
}
