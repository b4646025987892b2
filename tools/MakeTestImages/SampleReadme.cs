using System.Globalization;
using System.Text;
using Analyzer.Testing;

namespace MakeTestImages;

/// <summary>The README of testimages/, with a table made from the scenes and the files.</summary>
internal static class SampleReadme
{
    public static string Text(string folder)
    {
        var text = new StringBuilder();
        text.AppendLine("""
            # Test photos

            Photos of practice blocks that never existed. They were drawn by `tools/MakeTestImages` from seeded settings, in this
            invented scenario: the Thursday sewing circle of the village of Fernbrook, where Ida and Tomas practise straight lines.
            No real person, place, product or photo is in them. Licence: the same as the program's (Apache-2.0).

            Beside each `name.jpg` lies `name.truth.json`: what is true of the photo.

            | photo | size of block | grid | photo, px | px/mm | what it shows |
            | --- | --- | --- | --- | --- | --- |
            """);
        foreach (SampleScene scene in SampleScenes.All)
        {
            string path = Path.Combine(folder, scene.Name + ".truth.json");
            if (!File.Exists(path)) continue;
            SceneTruth t = TruthJson.Load(path);
            double w = t.Grid.Size.WidthMm / 25.4, h = t.Grid.Size.HeightMm / 25.4;
            string size = w == h ? $"{F(w)} in" : $"{F(w)} in x {F(h)} in";
            text.AppendLine($"| {scene.Name} | {size} | `{t.GridName}` | {t.WidthPx} x {t.HeightPx} | {F1(t.PixelsPerMmLowest)} to {F1(t.PixelsPerMmHighest)} | {scene.About} |");
        }
        text.AppendLine("""

            ## How the truth was made

            From the geometry that drew the pixels, never by measuring. Each stitched line has needle holes on a plane in millimetres;
            the thread's centre runs straight from hole to hole, and it was painted there. Every hole was traced through the same
            camera and lens into the photo, and from there through the homography of the four true corners of the finished edge back to
            block millimetres: that is the frame of report.json. The deviation at 1 mm steps, offset at mid-length, angle (slope of the
            deviation, positive toward the family's across-direction at growing along), straightness STRt and STRq about the
            least-squares line and all pairwise crossings follow from the holes. `idealDeviations` is the same without lens distortion.
            Not modelled: the parallax of cloth standing higher than the thread (the thread lies in the furrows, in the plane of the edge).

            ## truth.json, schema "synthetic-block-truth/1"

            - `cornersPx`: finished edge, top-left, top-right, bottom-right, bottom-left; centre of the first pixel is (0,0).
            - `cardCornersPx`: an ID-1 card (85.60 mm x 53.98 mm) lying beside the block, or empty.
            - `families`: angle, spacing, a point that line 0 passes through, as in report.json.
            - `lines`: `holesMm` x,y,x,y...; `deviations` from `fromMm` in 1 mm steps; `summary`; the same for `ideal...` and, where drawn
              marks are visible, `mark...`; `overshootMm` of both ends; `causesMeanSquareMm2`: offset, angle, bow, wobble 20-60 mm,
              8-20 mm, 4.6-8 mm, needle jitter, common distortion of the block; `missing` lines have no holes.
            - `extraLines`: holes of stitched lines that belong to no family. `crossings`: node, the two lines, where they truly cross.

            To make them again: `dotnet run -c Release --project tools/MakeTestImages -- write FOLDER`. The same program gives the same photos.
            To see the truth on a photo: `... -- look FOLDER/sample.jpg out.png 1200 900 400 300 3`.
            """);
        return text.ToString();
    }

    private static string F(double v) => v.ToString("0.##", CultureInfo.InvariantCulture);

    private static string F1(double v) => v.ToString("0.0", CultureInfo.InvariantCulture);
}
