using System.Globalization;
using Analyzer.Testing;
using MakeTestImages;

return args switch
{
    ["write", var folder, .. var names] => Write(folder, names),
    ["preview", var kind, var folder, var first, var count, ..] => Preview(kind, folder, Number(first), Number(count), args.Length > 5 ? Number(args[5]) : null),
    ["look", var photo, var output, ..] => Look(photo, output, [.. args[3..].Select(Number)]),
    _ => Help(),
};

static int Help()
{
    Console.WriteLine("""
        Makes the invented practice-block photos and their truth.
          MakeTestImages write FOLDER [NAME ...]                 the photos of testimages/ with truth and README
          MakeTestImages preview KIND FOLDER FIRST COUNT [MM]    random scenes: Easy, Ordinary, Hard, Setup, Bad or one bad kind such as MarksOnly; MM = small block
          MakeTestImages look PHOTO.jpg OUT.png [X Y W H [ZOOM]] the truth drawn over (part of) a photo
        Example: MakeTestImages preview Hard scenes 1 4 110
        """);
    return 2;
}

static int Number(string text) => int.Parse(text, CultureInfo.InvariantCulture);

static int Write(string folder, string[] names)
{
    Directory.CreateDirectory(folder);
    foreach (SampleScene scene in SampleScenes.All)
    {
        if (names.Length > 0 && !names.Contains(scene.Name)) continue;
        Save(scene.Settings with { Description = scene.About }, Path.Combine(folder, scene.Name), scene.TakenOn);
    }
    File.WriteAllText(Path.Combine(folder, "README.md"), SampleReadme.Text(folder));
    return 0;
}

static int Preview(string kind, string folder, int first, int count, int? sideMm)
{
    Directory.CreateDirectory(folder);
    for (int seed = first; seed < first + count; seed++)
    {
        SceneSettings settings = kind switch
        {
            "Setup" => SceneSettings.RandomSetup(seed, sideMm),
            "Bad" => BadPhotos.Random(seed, sideMm).Settings,
            _ when Enum.TryParse(kind, out BadKind bad) => BadPhotos.Of(bad, seed, sideMm).Settings,
            _ => SceneSettings.Random(seed, Enum.Parse<Tier>(kind), sideMm),
        };
        Save(settings, Path.Combine(folder, $"{kind}-{seed:00}"), null);
    }
    return 0;
}

static void Save(SceneSettings settings, string path, string? takenOn)
{
    var clock = System.Diagnostics.Stopwatch.StartNew();
    SyntheticPhoto photo = SceneRenderer.Render(settings);
    byte[] jpeg = photo.ToJpeg(settings.Finish.JpegQuality, 1, takenOn);
    File.WriteAllBytes(path + ".jpg", jpeg);
    string truth = TruthJson.Write(photo.Truth);
    File.WriteAllText(path + ".truth.json", truth);
    Console.WriteLine($"{Path.GetFileName(path)}: {photo.WidthPx} x {photo.HeightPx}, {jpeg.Length / 1000} kB, truth {truth.Length / 1000} kB, {clock.ElapsedMilliseconds} ms. {settings.GridName}; {settings.Description}");
}

static int Look(string photo, string output, int[] part)
{
    TruthOverlay.Draw(photo, photo[..^4] + ".truth.json", output, part);
    return 0;
}
