using System.Buffers.Binary;
using System.Globalization;
using System.IO.Compression;
using System.Text;
using Analyzer.Cli.Shell;
using Analyzer.Planning;
using Analyzer.Practice.Classroom;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Tests.Photos;
using ImageMagick;

namespace Analyzer.Fuzz;

/// <summary>One damaged input of each kind. What the program says is allowed; what it does not catch is thrown on.</summary>
internal sealed class Cases : IDisposable
{
    private readonly string _folder = Directory.CreateTempSubdirectory("stitch-fuzz-").FullName;
    private readonly List<byte[]> _images = [];
    private readonly string _report, _plan, _list;
    private readonly string _photo;

    public Cases(string samples)
    {
        foreach (MagickFormat format in (MagickFormat[])[MagickFormat.Jpeg, MagickFormat.Png, MagickFormat.WebP, MagickFormat.Tiff, MagickFormat.Gif, MagickFormat.Bmp, MagickFormat.Pjpeg])
            foreach (bool notes in (bool[])[false, true])
                _images.Add(Picture(format, notes));
        _photo = Path.Combine(_folder, "plain.jpg");
        using (var plain = new MagickImage(new MagickColor("#e8e0d0"), 300, 240)) File.WriteAllBytes(_photo, plain.ToByteArray(MagickFormat.Jpeg));
        _report = File.ReadAllText(Path.Combine(samples, "report.json"));
        _plan = File.ReadAllText(Path.Combine(samples, "plan.json"));
        _list = "person,photo,size,grid\nann,a.jpg,8in,square:1in\n\"bea, b\",\"b \"\"2\"\".jpg\",6in,triangle:1in\n";
    }

    public static readonly string[] Kinds = ["image", "heic", "plan", "report", "list", "zip", "grid"];

    public void Run(string kind, int seed)
    {
        var random = new Random(unchecked(seed * 1_000_003 + kind.Length * 7919));
        switch (kind)
        {
            case "image": Image(random); break;
            case "heic": Decode(Mutation.Of(HeicSample.Bytes(), random, headShare: 0.2)); break;
            case "plan": Expect<FormatException>(() => PlanFile.Read(Mutation.OfText(_plan, random))); break;
            case "report": Report(random); break;
            case "list":
                File.WriteAllText(At("list.csv"), Mutation.OfText(_list, random));
                Expect<ClassListException>(() => ClassFolder.ReadList(At("list.csv")));
                break;
            case "zip": Zip(random); break;
            default: Grid(random); break;
        }
    }

    private void Image(Random random)
    {
        byte[] source = _images[random.Next(_images.Count)];
        byte[] bytes = random.Next(4) == 0 ? Lie(source, random) : Mutation.Of(source, random, headShare: 0.6);
        Decode(bytes);
    }

    private static void Decode(byte[] bytes) => Expect<PhotoException>(() => PhotoReader.Read(bytes, "fuzz").Dispose());

    /// <summary>The header tells another size than the data hold.</summary>
    private static byte[] Lie(byte[] source, Random random)
    {
        byte[] b = [.. source];
        int[] sides = [0, 1, 63, 64, 65, 97, 255, 1000, 4000, 13_999, 30_000, 30_001, 65_535];
        int w = sides[random.Next(sides.Length)], h = sides[random.Next(sides.Length)];
        if (b[0] == 0xFF)
        {
            for (int i = 2; i + 9 < b.Length; i++)
                if (b[i] == 0xFF && b[i + 1] is 0xC0 or 0xC1 or 0xC2)
                {
                    BinaryPrimitives.WriteUInt16BigEndian(b.AsSpan(i + 5), (ushort)h);
                    BinaryPrimitives.WriteUInt16BigEndian(b.AsSpan(i + 7), (ushort)w);
                    break;
                }
        }
        else if (b[0] == 0x89)
        {
            BinaryPrimitives.WriteInt32BigEndian(b.AsSpan(16), w);
            BinaryPrimitives.WriteInt32BigEndian(b.AsSpan(20), h);
            BinaryPrimitives.WriteUInt32BigEndian(b.AsSpan(29), Crc(b.AsSpan(12, 17)));
        }
        else if (b[0] == 'G')
        {
            BinaryPrimitives.WriteUInt16LittleEndian(b.AsSpan(6), (ushort)w);
            BinaryPrimitives.WriteUInt16LittleEndian(b.AsSpan(8), (ushort)h);
        }
        else if (b[0] == 'B')
        {
            BinaryPrimitives.WriteInt32LittleEndian(b.AsSpan(18), w);
            BinaryPrimitives.WriteInt32LittleEndian(b.AsSpan(22), random.Next(2) == 0 ? h : -h);
        }
        else return Mutation.Of(b, random, 1);
        return b;
    }

    /// <summary>CRC-32 of ISO/IEC 15948, annex D, so that the lie passes the first check.</summary>
    private static uint Crc(ReadOnlySpan<byte> bytes)
    {
        uint crc = uint.MaxValue;
        foreach (byte b in bytes)
        {
            crc ^= b;
            for (int i = 0; i < 8; i++) crc = (crc & 1) == 1 ? 0xEDB88320 ^ (crc >> 1) : crc >> 1;
        }
        return ~crc;
    }

    private void Report(Random random)
    {
        File.WriteAllText(At("mutated.json"), Mutation.OfText(_report, random));
        File.WriteAllText(At("whole.json"), _report);
        Shell("compare", At("whole.json"), At("mutated.json"), "--out", At("compared"));
    }

    private void Zip(Random random)
    {
        string zip = At("log.zip"), db = At("log.db");
        string json = "{\"schema\":\"stitch-practice-log/1\",\"sessions\":[{\"id\":1,\"uid\":\"u1\",\"who\":\"me\",\"heldOn\":\"2026-03-14\",\"minutes\":40,\"blocks\":[{\"uid\":\"b1\",\"reportJson\":"
            + System.Text.Json.JsonSerializer.Serialize(_report) + "}]}],\"plans\":[{\"name\":\"p\",\"planJson\":\"{}\"}]}";
        bool inside = random.Next(2) == 0;
        using (var stream = new MemoryStream())
        {
            using (var archive = new ZipArchive(stream, ZipArchiveMode.Create, leaveOpen: true))
                foreach (string name in (string[])["practice-log.json", "../../escaped.txt", "/absolute.txt"])
                    using (Stream entry = archive.CreateEntry(name).Open())
                        entry.Write(Encoding.UTF8.GetBytes(inside ? Mutation.OfText(json, random) : json));
            File.WriteAllBytes(zip, inside ? stream.ToArray() : Mutation.Of(stream.ToArray(), random, 0.3));
        }
        Shell("log", "import", zip, "--log", db);
        foreach (string file in Directory.EnumerateFiles(_folder, "log.db*")) File.Delete(file);
        if (Directory.EnumerateFiles(Path.GetTempPath(), "escaped.txt").Any()) throw new InvalidOperationException("an entry escaped from its zip");
    }

    private void Grid(Random random)
    {
        string[] numbers = ["NaN", "Infinity", "-1", "0", "1e-300", "1e300", "0.001", "2", "19.9", "25.4", "60", "150", "203.2", "1500", "99999999999"];
        string N() => random.Next(3) == 0 ? numbers[random.Next(numbers.Length)] : (random.NextDouble() * 320).ToString("0.##", CultureInfo.InvariantCulture);
        string unit = random.Next(4) == 0 ? "in" : "mm";
        string[] grids = ["square", "diamond", "triangle", "triangle45", "diamond60", "diamond0", "hexagon"];
        var words = new List<string> { "measure", _photo, "--no-pictures", "--out", At("measured"), "--size", random.Next(2) == 0 ? $"{N()}{unit}" : $"{N()}mm x {N()}mm" };
        if (random.Next(2) == 0) words.AddRange(["--grid", $"{grids[random.Next(grids.Length)]}:{N()}mm"]);
        else for (int i = 0; i <= random.Next(3); i++) words.AddRange(["--lines", $"{N()}deg {N()}mm {N()}mm,{N()}mm"]);
        // Half of the corners make a quadrilateral that can be measured, so that the stages see odd shapes too.
        string corners = random.Next(2) == 0 ? string.Join(' ', Enumerable.Range(0, 4).Select(_ => $"{N()},{N()}"))
            : string.Create(CultureInfo.InvariantCulture, $"{random.Next(140)},{random.Next(110)} {150 + random.Next(150)},{random.Next(110)} {150 + random.Next(150)},{120 + random.Next(120)} {random.Next(140)},{120 + random.Next(120)}");
        words.AddRange(["--corners", corners]);
        if (random.Next(2) == 0) words.Add("--corners-exact");
        Shell([.. words]);
    }

    private static void Shell(params string[] words)
    {
        using var output = new StringWriter();
        using var error = new StringWriter();
        int code = CommandShell.Run(words, new Terminal(TextReader.Null, output, error, IsInteractive: false), CancellationToken.None);
        string said = error.ToString();
        if (said.Contains("not prepared for", StringComparison.Ordinal) || said.Contains("   at ", StringComparison.Ordinal) || code is not (0 or 1 or 2 or 3))
            throw new InvalidOperationException($"exit {code}: {said.Trim()} after {string.Join(' ', words)}");
        if (code != 0 && said.Length == 0 && output.ToString().Length == 0) throw new InvalidOperationException($"exit {code} without a word after {string.Join(' ', words)}");
    }

    private static void Expect<T>(Action action) where T : Exception
    {
        try
        {
            action();
        }
        catch (T allowed) when (allowed.Message.Length is > 10 and < 600)
        {
            // One sentence for the user: as it should be.
        }
    }

    private static byte[] Picture(MagickFormat format, bool notes)
    {
        using var image = new MagickImage(MagickColors.Wheat, 96, 80);
        if (notes)
        {
            var exif = new ExifProfile();
            exif.SetValue(ExifTag.Model, "Invented");
            exif.SetValue(ExifTag.Orientation, (ushort)6);
            image.SetProfile(exif);
            image.SetProfile(ColorProfiles.AdobeRGB1998);
            if (format == MagickFormat.Png) image.Alpha(AlphaAction.On);
        }
        return image.ToByteArray(format);
    }

    private string At(string name) => Path.Combine(_folder, name);

    public void Dispose() => Directory.Delete(_folder, recursive: true);
}
