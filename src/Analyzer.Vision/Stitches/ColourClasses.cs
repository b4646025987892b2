namespace Analyzer.Vision.Stitches;

/// <summary>Kinds of line that the block shows, by colour difference from the ground: thread, furrow shadow, drawn mark, print.</summary>
internal static class ColourClasses
{
    public const int Most = 4;

    /// <summary>Two kinds closer in direction than this are one.</summary>
    private const double SameDegrees = 28;

    /// <summary>Directions (unit length in noise-whitened colour) of the ridge colours seen, most weight first.</summary>
    /// <remarks>Spherical k-means in the space whitened by the ground's noise; starts are the farthest apart, so the result is the same at every run.</remarks>
    public static List<Colour3> Find(IReadOnlyList<Colour3> ridges, ColourCovariance noise)
    {
        if (ridges.Count == 0) return [];
        double Cos(Colour3 a, Colour3 b) => a.Dot(noise.Solve(b)) / Math.Sqrt(noise.SquaredDistance(a) * noise.SquaredDistance(b) + 1e-12);
        List<Colour3> centres = [Strongest(ridges, noise)];
        while (centres.Count < Most)
        {
            Colour3 far = default;
            double best = 0;
            foreach (Colour3 v in ridges)
            {
                double distance = (1 - centres.Max(c => Cos(c, v))) * Math.Sqrt(noise.SquaredDistance(v));
                if (distance > best) (best, far) = (distance, v);
            }
            if (best <= 0) break;
            centres.Add(far);
        }
        var weight = new double[centres.Count];
        for (int round = 0; round < 12; round++)
        {
            var sum = new Colour3[centres.Count];
            Array.Clear(weight);
            foreach (Colour3 v in ridges)
            {
                int best = 0;
                double top = double.NegativeInfinity;
                for (int k = 0; k < centres.Count; k++)
                {
                    double cos = Cos(centres[k], v);
                    if (cos > top) (top, best) = (cos, k);
                }
                if (top < 0.5) continue;
                sum[best] += v;
                weight[best] += Math.Sqrt(noise.SquaredDistance(v));
            }
            for (int k = 0; k < centres.Count; k++)
                if (weight[k] > 0) centres[k] = 1 / Math.Sqrt(noise.SquaredDistance(sum[k]) + 1e-12) * sum[k];
        }
        var result = new List<Colour3>();
        double total = weight.Sum();
        foreach (int k in Enumerable.Range(0, centres.Count).OrderByDescending(k => weight[k]))
        {
            if (weight[k] < 0.08 * total) continue;
            if (result.All(r => Cos(r, centres[k]) < Math.Cos(SameDegrees * Math.PI / 180))) result.Add(centres[k]);
        }
        return result;
    }

    private static Colour3 Strongest(IReadOnlyList<Colour3> ridges, ColourCovariance noise)
    {
        Colour3 sum = default;
        Colour3 first = ridges.MaxBy(noise.SquaredDistance);
        foreach (Colour3 v in ridges)
            if (v.Dot(noise.Solve(first)) > 0) sum += v;
        return sum;
    }
}
