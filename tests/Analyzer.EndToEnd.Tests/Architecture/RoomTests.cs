using System.Reflection;
using System.Xml.Linq;
using Analyzer.Vision.Photos;

namespace Analyzer.EndToEnd.Tests.Architecture;

/// <summary>The arrows between the rooms, as DEVELOPERS.md draws them.</summary>
public class RoomTests
{
    /// <summary>What each room may know. A room missing here has no place yet.</summary>
    private static readonly Dictionary<string, string[]> Allowed = new()
    {
        ["Core"] = [],
        ["Vision"] = ["Core"],
        ["Pipeline"] = ["Core", "Vision"],
        ["Planning"] = ["Core"],
        ["Practice"] = ["Core"],
        ["Reporting"] = ["Core"],
        ["Web"] = ["Core", "Vision", "Pipeline", "Planning", "Practice", "Reporting"],
        ["Cli"] = ["Core", "Vision", "Pipeline", "Planning", "Practice", "Reporting", "Web"],
    };

    internal static string Root { get; } = FindRoot();

    private static string FindRoot()
    {
        string? folder = AppContext.BaseDirectory;
        while (folder is not null && !File.Exists(Path.Combine(folder, "Analyzer.sln"))) folder = Path.GetDirectoryName(folder);
        return folder ?? throw new InvalidOperationException("The tests do not run inside the source tree.");
    }

    private static List<(string Room, XDocument Project)> Rooms() =>
        [.. Directory.EnumerateFiles(Path.Combine(Root, "src"), "*.csproj", SearchOption.AllDirectories)
            .Select(path => (Path.GetFileNameWithoutExtension(path)["Analyzer.".Length..], XDocument.Load(path)))];

    [Fact]
    public void ProjectReferences_PointOneWay()
    {
        List<(string Room, XDocument Project)> rooms = Rooms();
        Assert.True(rooms.Count >= 7, $"only {rooms.Count} rooms were found under src");
        foreach ((string room, XDocument project) in rooms)
        {
            Assert.True(Allowed.TryGetValue(room, out string[]? allowed), $"the room {room} has no place in the picture");
            foreach (XElement reference in project.Descendants("ProjectReference"))
            {
                string target = Path.GetFileNameWithoutExtension(reference.Attribute("Include")!.Value.Replace('\\', '/'))["Analyzer.".Length..];
                Assert.True(allowed!.Contains(target), $"{room} must not know {target}");
            }
        }
    }

    [Theory]
    [InlineData("OpenCvSharp4", "Vision")]
    [InlineData("Magick.NET-Q8-x64", "Vision")]
    [InlineData("Microsoft.Data.Sqlite", "Practice")]
    [InlineData("ScottPlot", "Reporting")]
    public void Package_IsKnownToItsRoomOnly(string package, string room)
    {
        string[] users = [.. Rooms().Where(r => r.Project.Descendants("PackageReference").Any(p => p.Attribute("Include")!.Value == package)).Select(r => r.Room)];
        Assert.Equal([room], users);
    }

    /// <summary>It only draws the test photos; the program itself must not carry it.</summary>
    [Fact]
    public void ImageSharp_IsInNoRoom() =>
        Assert.DoesNotContain(Rooms(), r => r.Project.Descendants("PackageReference").Any(p => p.Attribute("Include")!.Value == "SixLabors.ImageSharp"));

    [Fact]
    public void Core_NeedsNoPackage() => Assert.Empty(Rooms().Single(r => r.Room == "Core").Project.Descendants("PackageReference"));

    [Fact]
    public void Vision_ShowsNoTypeOfItsImageLibraries()
    {
        const BindingFlags all = BindingFlags.Public | BindingFlags.NonPublic | BindingFlags.Instance | BindingFlags.Static | BindingFlags.DeclaredOnly;
        var shown = new List<string>();
        Type[] types = typeof(PhotoReader).Assembly.GetExportedTypes();
        Assert.NotEmpty(types);
        foreach (Type type in types)
        {
            if (IsForeign(type.BaseType) || type.GetInterfaces().Any(IsForeign)) shown.Add(type.Name);
            foreach (MethodBase method in type.GetMethods(all).Cast<MethodBase>().Concat(type.GetConstructors(all)).Where(m => m.IsPublic || m.IsFamily || m.IsFamilyOrAssembly))
                if (method.GetParameters().Any(p => IsForeign(p.ParameterType)) || (method is MethodInfo info && IsForeign(info.ReturnType))) shown.Add($"{type.Name}.{method.Name}");
            shown.AddRange(type.GetFields(all).Where(f => (f.IsPublic || f.IsFamily) && IsForeign(f.FieldType)).Select(f => $"{type.Name}.{f.Name}"));
        }
        Assert.Empty(shown);
    }

    private static bool IsForeign(Type? type) => type is not null &&
        (type.Namespace is { } name && (name.StartsWith("OpenCvSharp", StringComparison.Ordinal) || name.StartsWith("SixLabors", StringComparison.Ordinal) || name.StartsWith("ImageMagick", StringComparison.Ordinal))
         || IsForeign(type.GetElementType()) || type.GetGenericArguments().Any(IsForeign));
}
