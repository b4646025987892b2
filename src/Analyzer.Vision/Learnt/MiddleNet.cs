using OpenCvSharp;
using OpenCvSharp.Dnn;

namespace Analyzer.Vision.Learnt;

/// <summary>
/// A small net that was taught, on cross sections of thread and cloth worked out from the laws of light, where in such a section the thread has its middle. A thread is round: the side toward the light is brighter than the
/// other, its shadow and the furrow's flank lie beside it, and what stands out most is not its middle.
/// </summary>
internal static class MiddleNet
{
    /// <summary>Places of a section, their distance and how far it reaches to either side of its origin, mm.</summary>
    public const int Places = 49;

    public const double StepMm = 0.05, ReachMm = StepMm * (Places / 2);

    /// <summary>Places at either end that are taken for the ground.</summary>
    private const int GroundPlaces = 6;

    private const string Model = "Analyzer.Vision.Learnt.thread-middle.onnx";

    private static readonly Lock Gate = new();

    private static readonly Lazy<Net> Shared = new(() => LearntModel.Read(Model));

    /// <summary>How far a section's origin lies from the thread's middle, mm, positive toward the section's end, and the standard uncertainty of that.</summary>
    /// <param name="section">Mean blue, green and red in linear light, 0 to 1, place by place.</param>
    public static (double AsideMm, double UMm) Aside(IReadOnlyList<double> section)
    {
        const int one = 3 * Places;
        var both = new float[2 * one];
        for (int channel = 0; channel < 3; channel++)
        {
            double ground = 0;
            for (int k = 0; k < GroundPlaces; k++) ground += section[3 * k + channel] + section[3 * (Places - 1 - k) + channel];
            ground /= 2 * GroundPlaces;
            for (int k = 0; k < Places; k++)
            {
                double here = section[3 * k + channel];
                // Red first. What is turned about must come out turned about: both ways are asked.
                float relative = (float)(2 * (here - ground) / (here + ground + 0.002));
                both[(2 - channel) * Places + k] = relative;
                both[one + (2 - channel) * Places + Places - 1 - k] = relative;
            }
        }
        using Mat blob = Mat.FromPixelData([2, one], MatType.CV_32F, both);
        lock (Gate)
        {
            Shared.Value.SetInput(blob);
            using Mat said = Shared.Value.Forward();
            if (said.Rows != 2 || said.Cols != 2) throw new InvalidOperationException($"{Model} is not the net this program knows.");
            return (0.1 * (said.At<float>(0, 0) - said.At<float>(1, 0)), Math.Exp(0.5 * (said.At<float>(0, 1) + said.At<float>(1, 1)) - 3));
        }
    }
}
