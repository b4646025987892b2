using System.Diagnostics;
using System.Globalization;
using Analyzer.Testing;

// Renders one seeded scene: MakeTestImages preview FOLDER SEED TIER [SIDE_MM]
if (args is ["preview", var folder, var seedText, var tierText, ..])
{
    double? side = args.Length > 4 ? double.Parse(args[4], CultureInfo.InvariantCulture) : null;
    var clock = Stopwatch.StartNew();
    SceneSettings settings = SceneSettings.Random(int.Parse(seedText, CultureInfo.InvariantCulture), Enum.Parse<Tier>(tierText), side);
    SyntheticPhoto photo = SceneRenderer.Render(settings);
    Console.WriteLine($"{photo.WidthPx} x {photo.HeightPx}, {clock.ElapsedMilliseconds} ms: {settings.GridName}, {settings.Description}, {settings.Cloth.Weave}");
    Directory.CreateDirectory(folder);
    photo.SaveJpeg(Path.Combine(folder, $"{tierText}-{seedText}.jpg"), settings.Finish.JpegQuality);
    TruthJson.Save(photo.Truth, Path.Combine(folder, $"{tierText}-{seedText}.truth.json"));
    return 0;
}
Console.WriteLine("Usage: MakeTestImages preview FOLDER SEED Easy|Ordinary|Hard [SIDE_MM]");
return 2;
