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
        // In whitened colour the distance is the plain one and the cosine a plain product of unit vectors.
        var unit = new Colour3[ridges.Count];
        var length = new double[ridges.Count];
        for (int i = 0; i < unit.Length; i++)
        {
            Colour3 white = noise.Whiten(ridges[i]);
            length[i] = white.Norm;
            unit[i] = 1 / Math.Max(1e-9, length[i]) * white;
        }
        List<Colour3> centres = [Strongest(unit, length)];
        var nearest = new double[unit.Length];
        Array.Fill(nearest, double.NegativeInfinity);
        while (centres.Count < Most)
        {
            int far = -1;
            double best = 0;
            for (int i = 0; i < unit.Length; i++)
            {
                nearest[i] = Math.Max(nearest[i], centres[^1].Dot(unit[i]));
                double distance = (1 - nearest[i]) * length[i];
                if (distance > best) (best, far) = (distance, i);
            }
            if (far < 0) break;
            centres.Add(unit[far]);
        }
        var weight = new double[centres.Count];
        for (int round = 0; round < 12; round++)
        {
            var sum = new Colour3[centres.Count];
            Array.Clear(weight);
            for (int i = 0; i < unit.Length; i++)
            {
                int best = 0;
                double top = double.NegativeInfinity;
                for (int k = 0; k < centres.Count; k++)
                {
                    double cos = centres[k].Dot(unit[i]);
                    if (cos > top) (top, best) = (cos, k);
                }
                if (top < 0.5) continue;
                sum[best] += length[i] * unit[i];
                weight[best] += length[i];
            }
            double moved = 0;
            for (int k = 0; k < centres.Count; k++)
            {
                if (!(weight[k] > 0)) continue;
                Colour3 next = 1 / Math.Max(1e-9, sum[k].Norm) * sum[k];
                moved = Math.Max(moved, (next - centres[k]).Norm);
                centres[k] = next;
            }
            if (moved < 1e-6) break;
        }
        var result = new List<Colour3>();
        double total = weight.Sum();
        foreach (int k in Enumerable.Range(0, centres.Count).OrderByDescending(k => weight[k]))
        {
            if (weight[k] < 0.08 * total) continue;
            if (result.All(r => r.Dot(centres[k]) < Math.Cos(SameDegrees * Math.PI / 180))) result.Add(centres[k]);
        }
        return [.. result.Select(noise.Unwhiten)];
    }

    private static Colour3 Strongest(Colour3[] unit, double[] length)
    {
        Colour3 first = unit[Array.IndexOf(length, length.Max())], sum = default;
        for (int i = 0; i < unit.Length; i++)
            if (unit[i].Dot(first) > 0) sum += length[i] * unit[i];
        return 1 / Math.Max(1e-9, sum.Norm) * sum;
    }
}
