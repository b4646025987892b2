using OpenCvSharp.Dnn;

namespace Analyzer.Vision.Learnt;

/// <summary>The taught nets that the program brings with it.</summary>
internal static class LearntModel
{
    /// <summary>Reads the net of a name from the program's own resources.</summary>
    public static Net Read(string name)
    {
        using Stream stream = typeof(LearntModel).Assembly.GetManifestResourceStream(name) ?? throw new InvalidOperationException($"{name} is missing from the program.");
        using var bytes = new MemoryStream();
        stream.CopyTo(bytes);
        return CvDnn.ReadNetFromOnnx(bytes.ToArray()) ?? throw new InvalidOperationException($"{name} cannot be read.");
    }
}
