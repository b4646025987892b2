using System.Runtime.CompilerServices;

namespace Analyzer.Vision.Corners;

/// <summary>Long straight seams by a Hough transform in which every crest pixel votes only near its own direction.</summary>
/// <remarks>rho = x cos(theta) + y sin(theta): Duda and Hart, CACM 15(1), 1972. Voting along the gradient keeps prints, whose edges run every way, from making lines.</remarks>
internal static class SeamSearch
{
    private const int AngleBins = 360, SpreadBins = 6;
    private const double RhoStep = 1.5;

    /// <summary>Directions are counted in buckets of 4 degrees; one bucket may give a third of the lines.</summary>
    private const int BucketBins = 8, MostShareOfOneDirection = 3;

    /// <summary>Votes a line must have, as a share of the picture's shorter side: a faint ditch in cloth of one colour has few.</summary>
    private const float LeastVotesShare = 0.04f;

    /// <summary>Lines nearer than this at both arms are one line and its flank, small px.</summary>
    private const double FlankPx = 2.5;

    public static List<SeamLine> Find(EvidenceMap map, int most)
    {
        int reach = (int)Math.Ceiling(Math.Sqrt((double)map.Width * map.Width + (double)map.Height * map.Height) / RhoStep);
        int rhoBins = 2 * reach + 1;
        var cos = new double[AngleBins];
        var sin = new double[AngleBins];
        for (int a = 0; a < AngleBins; a++) (sin[a], cos[a]) = Math.SinCos(a * Math.PI / AngleBins);
        var votes = new float[AngleBins * rhoBins];
        Vote(map.Crests(), votes, rhoBins, reach, cos, sin);
        List<(double Angle, double Rho, float Votes)> peaks = Peaks(votes, rhoBins, LeastVotesShare * Math.Min(map.Width, map.Height), most, map.Width, map.Height);
        var lines = new SeamLine[peaks.Count];
        Parallel.For(0, lines.Length, i => lines[i] = new SeamLine(map, peaks[i].Angle * Math.PI / AngleBins, (peaks[i].Rho - reach) * RhoStep, peaks[i].Votes));
        return [.. lines];
    }

    /// <summary>Row by row of the votes, so that what is written lies close together: each angle is voted for by the crests of nearly that direction.</summary>
    private static void Vote(List<Crest> crests, float[] votes, int rhoBins, int reach, double[] cos, double[] sin)
    {
        (Crest[] sorted, int[] starts) = ByDirection(crests);
        Parallel.For(0, AngleBins, a =>
        {
            Span<float> row = votes.AsSpan(a * rhoBins, rhoBins);
            for (int d = -SpreadBins; d <= SpreadBins; d++)
            {
                int from = (a + d + AngleBins) % AngleBins;
                VoteFor(row, sorted.AsSpan(starts[from], starts[from + 1] - starts[from]), cos[a] / RhoStep, sin[a] / RhoStep, reach);
            }
        });
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void VoteFor(Span<float> row, ReadOnlySpan<Crest> crests, double cos, double sin, int reach)
    {
        foreach (ref readonly Crest crest in crests)
        {
            double rho = crest.X * cos + crest.Y * sin + reach;
            int low = (int)rho;
            float share = (float)(rho - low);
            row[low] += crest.Weight * (1 - share);
            row[low + 1] += crest.Weight * share;
        }
    }

    /// <summary>The crests in the order of their directions, and where each direction begins.</summary>
    private static (Crest[] Sorted, int[] Starts) ByDirection(List<Crest> crests)
    {
        var starts = new int[AngleBins + 1];
        var bins = new int[crests.Count];
        for (int i = 0; i < bins.Length; i++)
        {
            int bin = (int)Math.Round(crests[i].Direction * AngleBins / Math.PI) % AngleBins;
            bins[i] = bin < 0 ? bin + AngleBins : bin;
            starts[bins[i] + 1]++;
        }
        for (int a = 0; a < AngleBins; a++) starts[a + 1] += starts[a];
        int[] next = [.. starts];
        var sorted = new Crest[bins.Length];
        for (int i = 0; i < bins.Length; i++) sorted[next[bins[i]]++] = crests[i];
        return (sorted, starts);
    }

    private static List<(double Angle, double Rho, float Votes)> Peaks(float[] votes, int rhoBins, float least, int most, int width, int height)
    {
        var byAngle = new List<(int A, int R, float V)>[AngleBins];
        Parallel.For(0, AngleBins, a => byAngle[a] = PeaksAt(votes, rhoBins, a, least));
        List<(int A, int R, float V)> peaks = [.. byAngle.SelectMany(p => p)];
        peaks.Sort((p, q) => q.V.CompareTo(p.V));
        return Distinct([.. peaks.Select(p => Centred(votes, rhoBins, p.A, p.R, p.V))], most, (rhoBins - 1) / 2, width, height);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static List<(int A, int R, float V)> PeaksAt(float[] votes, int rhoBins, int a, float least)
    {
        var peaks = new List<(int A, int R, float V)>();
        for (int r = 2; r < rhoBins - 2; r++)
        {
            float v = votes[a * rhoBins + r];
            if (v >= least && IsHighest(votes, rhoBins, a, r, v)) peaks.Add((a, r, v));
        }
        return peaks;
    }

    /// <summary>Strongest first; a line that runs within a few pixels of a stronger one is its flank, and no one direction may fill the list.</summary>
    private static List<(double Angle, double Rho, float Votes)> Distinct(List<(double Angle, double Rho, float Votes)> peaks, int most, int reach, int width, int height)
    {
        var taken = new int[AngleBins / BucketBins + 1];
        var kept = new List<(double Angle, double Rho, float Votes)>();
        var lines = new List<(double Cos, double Sin, double Rho)>();
        double cx = width / 2.0, cy = height / 2.0, arm = 0.3 * Math.Min(width, height);
        foreach ((double angle, double binned, float v) in peaks)
        {
            if (kept.Count == most) break;
            (double sin, double cos) = Math.SinCos(angle * Math.PI / AngleBins);
            double rho = (binned - reach) * RhoStep, gap = rho - cos * cx - sin * cy;
            (double x, double y) = (cx + gap * cos, cy + gap * sin);
            bool Near((double Cos, double Sin, double Rho) l) =>
                Math.Abs(l.Cos * (x - arm * sin) + l.Sin * (y + arm * cos) - l.Rho) < FlankPx && Math.Abs(l.Cos * (x + arm * sin) + l.Sin * (y - arm * cos) - l.Rho) < FlankPx;
            int bucket = (int)(angle / BucketBins);
            if (bucket < 0 || taken[bucket] >= most / MostShareOfOneDirection || lines.Any(Near)) continue;
            taken[bucket]++;
            kept.Add((angle, binned, v));
            lines.Add((cos, sin, rho));
        }
        return kept;
    }

    private static bool IsHighest(float[] votes, int rhoBins, int a, int r, float v)
    {
        for (int da = -3; da <= 3; da++)
        {
            int b = a + da, flip = 0;
            if (b < 0) { b += AngleBins; flip = 1; }
            if (b >= AngleBins) { b -= AngleBins; flip = 1; }
            for (int dr = -2; dr <= 2; dr++)
            {
                if (da == 0 && dr == 0) continue;
                int s = flip == 1 ? rhoBins - 1 - r + dr : r + dr;
                if (s < 0 || s >= rhoBins) continue;
                float other = votes[b * rhoBins + s];
                if (other > v || (other == v && (da < 0 || (da == 0 && dr < 0)))) return false;
            }
        }
        return true;
    }

    /// <summary>Centre of gravity of the peak over its neighbours.</summary>
    private static (double, double, float) Centred(float[] votes, int rhoBins, int a, int r, float v)
    {
        double sum = 0, da = 0, dr = 0;
        for (int i = -1; i <= 1; i++)
            for (int j = -1; j <= 1; j++)
            {
                int b = a + i;
                if (b < 0 || b >= AngleBins) continue;
                double w = votes[b * rhoBins + r + j];
                sum += w; da += w * i; dr += w * j;
            }
        return (a + da / sum, r + dr / sum, v);
    }
}
