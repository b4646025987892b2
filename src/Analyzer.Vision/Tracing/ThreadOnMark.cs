using System.Numerics;

namespace Analyzer.Vision.Tracing;

/// <summary>
/// Thread sewn along a drawn mark and not quite on it: the mark is what stands out, and the stitches wander about in it. The mark's own profile is taken off,
/// and the thread is looked for where the cloth changes along the line, stitch by stitch.
/// </summary>
internal static class ThreadOnMark
{
    /// <summary>Strip steps along from one place to the next; places averaged on either side when the change is looked at.</summary>
    private const int Stride = 2, LongHalf = 5;

    /// <summary>How far beside the mark's middle the thread is looked for, and where the ground begins and ends, steps across.</summary>
    private const int Reach = 14, GroundFrom = 22, GroundTo = 30;

    /// <summary>A drawn line's middle is told by so much of it: it sways little, mm.</summary>
    private const double MarkScaleMm = 8;

    /// <summary>The stitches' change is averaged over so much of the line, mm.</summary>
    private const double ChangeScaleMm = 2;

    /// <summary>How freely courses that collect less are weighed in: one step's best place is worth one. From comparison with known truth.</summary>
    private const double Temper = 0.6;

    /// <summary>The course found goes in whole steps across: they are averaged over so much of the line, mm.</summary>
    private const double SmoothScaleMm = 0.8;

    /// <summary>The strips without their mark, centre lines on the stitches (mm beside the strips' middles), and how unsure each place of them is (standard uncertainty, mm).</summary>
    public static (ProjectedStrip[] Strips, double[][] Centres, double[][] UMm) Of(IReadOnlyList<ProjectedStrip> strips, double[][] markCentres)
    {
        double[][] marks = [.. strips.Select((s, k) => Calm(s.Strip.PathMm, markCentres[k]))];
        double[] profile = MarkProfile(strips, marks);
        var without = new ProjectedStrip[strips.Count];
        double[][] centres = new double[strips.Count][], unsure = new double[strips.Count][];
        Parallel.For(0, without.Length, k =>
        {
            without[k] = strips[k] with { Projected = Without(strips[k], marks[k], profile) };
            (centres[k], unsure[k]) = OnTheStitches(strips[k], marks[k]);
        });
        return (without, centres, unsure);
    }

    private static double[] Calm(double[] pathMm, double[] centre)
    {
        int n = centre.Length;
        double[] whole = [.. centre.Zip(pathMm, (c, p) => c + p)], weight = new double[n], mean = new double[n], support = new double[n];
        Array.Fill(weight, 1);
        // About a straight line, so that the ends keep their slope.
        double slope = n < 2 ? 0 : (whole.Skip(n * 3 / 4).Average() - whole.Take(n / 4 + 1).Average()) / (0.75 * n);
        double[] level = [.. whole.Select((w, i) => w - slope * i)];
        new AlongFilter(MarkScaleMm).Apply(level, weight, mean, support);
        return [.. mean.Select((m, i) => m + slope * i - pathMm[i])];
    }

    /// <summary>Mean of all strips about the mark's middle, as wide as the strip.</summary>
    private static double[] MarkProfile(IReadOnlyList<ProjectedStrip> strips, double[][] marks)
    {
        int across = strips[0].Strip.Across;
        double[] sum = new double[across], seen = new double[across];
        for (int k = 0; k < strips.Count; k++)
        {
            bool[] crossed = Crossed(strips[k]);
            for (int i = 0; i < strips[k].Strip.Along; i += Stride)
            {
                if (crossed[i]) continue;
                double shift = marks[k][i] / ThreadStrip.AcrossStepMm;
                int whole = (int)Math.Floor(shift);
                double f = shift - whole;
                for (int j = 0; j < across; j++)
                {
                    int from = j + whole;
                    if (from < 0 || from + 1 >= across) continue;
                    int at = i * across + from;
                    sum[j] += (1 - f) * strips[k].Projected[at] + f * strips[k].Projected[at + 1];
                    seen[j]++;
                }
            }
        }
        double[] mean = [.. sum.Zip(seen, (s, n) => n > 0 ? s / n : double.NaN)];
        double ground = UpperMedian.Of(mean.Where(double.IsFinite));
        return [.. mean.Select(m => double.IsFinite(m) ? m - ground : 0)];
    }

    private static float[] Without(ProjectedStrip strip, double[] mark, double[] profile)
    {
        int across = strip.Strip.Across, n = strip.Strip.Along;
        var rest = (float[])strip.Projected.Clone();
        bool[] crossed = Crossed(strip);
        // How strongly this line's mark was drawn, against the family's.
        double both = 0, square = 0;
        for (int pass = 0; pass < 2; pass++)
        {
            double gain = pass == 0 ? 0 : square > 0 ? Math.Clamp(both / square, 0.3, 2) : 1;
            for (int i = 0; i < n; i++)
            {
                double shift = mark[i] / ThreadStrip.AcrossStepMm, mean = 0;
                if (pass == 0 && (i % Stride != 0 || crossed[i])) continue;
                if (pass == 0)
                    for (int j = 0; j < across; j++) mean += strip.Projected[i * across + j] / across;
                for (int j = 0; j < across; j++)
                {
                    double x = j - shift;
                    int a = (int)Math.Floor(x);
                    if (a < 0 || a + 1 >= across) continue;
                    double p = profile[a] + (x - a) * (profile[a + 1] - profile[a]);
                    if (pass == 0)
                    {
                        both += p * (strip.Projected[i * across + j] - mean);
                        square += p * p;
                    }
                    else
                    {
                        rest[i * across + j] -= (float)(gain * p);
                    }
                }
            }
        }
        return rest;
    }

    /// <summary>Whether another line crosses, at every step of the strip.</summary>
    private static bool[] Crossed(ProjectedStrip strip) =>
        OtherLine.Near(strip.Others, strip.Strip.Along, ThreadStrip.AlongStepMm, o => (0.6 + 1.3 * Math.Abs(o.AlongPart)) / Math.Abs(o.AcrossPart));

    /// <summary>Distances beside a centre line at which the change is looked at.</summary>
    internal const int States = 2 * Reach + 1;

    /// <summary>Step from one place of a change map to the next, mm.</summary>
    internal const double ChangeStepMm = Stride * ThreadStrip.AlongStepMm;

    /// <summary>Distance beside the centre line of one state of a change map, mm.</summary>
    internal static double BesideMm(int state) => (state - Reach) * ThreadStrip.AcrossStepMm;

    private static (double[] CentreMm, double[] UMm) OnTheStitches(ProjectedStrip strip, double[] mark)
    {
        (double[][] change, double[] free) = ChangeAbout(strip, mark);
        return CourseOf(strip, mark, change, free);
    }

    /// <summary>How much the cloth changes along the line, over what it does on the ground: at every distance beside the centre line, at every place; and 1 where no other line crosses, else 0.</summary>
    internal static (double[][] Change, double[] Free) ChangeAbout(ProjectedStrip strip, double[] centreMm)
    {
        const int first = 3 * (GroundTo - Reach), middle = 3 * States;
        ThreadStrip s = strip.Strip;
        int n = (s.Along - 1) / Stride + 1;
        bool[] crossed = Crossed(strip);
        double[] free = [.. Enumerable.Range(0, n).Select(i => crossed[i * Stride] ? 0.0 : 1.0)];
        (float[] about, float[] total) = Changes(new SeriesPlaces(s, centreMm, Stride, n), free, first, middle);
        double seen = Math.Max(1, free.Sum());
        var share = new double[3];
        for (int channel = 0; channel < 3; channel++)
        {
            var ground = new List<double>();
            for (int j = GroundFrom; j <= GroundTo; j += 2)
                foreach (int side in (int[])[-j, j]) ground.Add(total[3 * (side + GroundTo) + channel] / seen);
            share[channel] = 1 / Math.Max(0.3, UpperMedian.Of(ground)) / 3;
        }
        var change = new double[States][];
        for (int d = 0; d < States; d++)
        {
            var at = new double[n];
            for (int i = 0, k = 3 * d; i < n; i++, k += middle) at[i] = share[0] * about[k] + share[1] * about[k + 1] + share[2] * about[k + 2];
            change[d] = at;
        }
        return (change, free);
    }

    /// <summary>Distance of each value from the mean of a window about it along the line: row by row the middle part, and summed over the free places everywhere.</summary>
    private static (float[] Middle, float[] Total) Changes(SeriesPlaces places, double[] free, int first, int length)
    {
        const int row = 3 * (2 * GroundTo + 1), window = 2 * LongHalf + 1;
        int n = free.Length, wide = Vector<float>.Count, padded = (row + wide - 1) / wide * wide;
        float[] last = new float[window * padded], running = new float[padded], total = new float[padded], change = new float[padded], middle = new float[n * length];
        for (int i = -LongHalf; i < n; i++)
        {
            int newest = i + LongHalf;
            Span<float> slot = last.AsSpan(newest % window * padded, padded);
            for (int j = 0; j < padded; j += wide) (new Vector<float>(running, j) - new Vector<float>(slot[j..])).CopyTo(running, j);
            if (newest < n)
            {
                places.ReadRow(newest, GroundTo, slot[..row]);
                for (int j = 0; j < padded; j += wide) (new Vector<float>(running, j) + new Vector<float>(slot[j..])).CopyTo(running, j);
            }
            else
            {
                slot.Clear();
            }
            if (i < 0) continue;
            float mean = 1f / (Math.Min(n - 1, newest) - Math.Max(0, i - LongHalf) + 1), counts = (float)free[i];
            ReadOnlySpan<float> here = last.AsSpan(i % window * padded, padded);
            for (int j = 0; j < padded; j += wide)
            {
                Vector<float> off = Vector.Abs(new Vector<float>(here[j..]) - mean * new Vector<float>(running, j));
                off.CopyTo(change, j);
                (new Vector<float>(total, j) + counts * off).CopyTo(total, j);
            }
            change.AsSpan(first, length).CopyTo(middle.AsSpan(i * length));
        }
        return (middle, total);
    }

    /// <summary>The course along which the cloth changes most, stitch by stitch, near a centre line, and how unsure each place of it is; mm beside the strip's middle.</summary>
    internal static (double[] CentreMm, double[] UMm) CourseOf(ProjectedStrip strip, double[] mark, double[][] change, double[] free)
    {
        const int states = States;
        ThreadStrip s = strip.Strip;
        int n = free.Length;
        var filter = new AlongFilter(ChangeScaleMm / Stride);
        var reward = new double[n * states];
        double[] mean = new double[n], support = new double[n];
        for (int d = 0; d < states; d++)
        {
            filter.Apply(change[d], free, mean, support);
            for (int i = 0; i < n; i++) reward[i * states + d] = support[i] > 0.05 ? mean[i] : 0;
        }
        // The best place of each step is worth one.
        for (int i = 0; i < n; i++)
        {
            double low = double.PositiveInfinity, high = 0;
            for (int d = 0; d < states; d++)
            {
                low = Math.Min(low, reward[i * states + d]);
                high = Math.Max(high, reward[i * states + d]);
            }
            for (int d = 0; d < states; d++) reward[i * states + d] = high > low ? (reward[i * states + d] - low) / Math.Max(high - low, 0.3) : 0;
        }
        double[] moved = new double[n];
        for (int i = 1; i < n; i++) moved[i] = mark[i * Stride] + s.PathMm[i * Stride] - mark[(i - 1) * Stride] - s.PathMm[(i - 1) * Stride];
        (double[] place, double[] spread) = Course(reward, moved, states);
        double[] centre = new double[s.Along], unsure = new double[s.Along];
        for (int a = 0; a < centre.Length; a++)
        {
            double at = Math.Min(n - 1, a / (double)Stride);
            int i = Math.Min((int)at, n - 2);
            centre[a] = mark[a] + (place[i] + (at - i) * (place[i + 1] - place[i]) - Reach) * ThreadStrip.AcrossStepMm;
            unsure[a] = (spread[i] + (at - i) * (spread[i + 1] - spread[i])) * ThreadStrip.AcrossStepMm;
        }
        double[] whole = new double[centre.Length], some = new double[centre.Length], smooth = new double[centre.Length];
        Array.Fill(whole, 1);
        new AlongFilter(SmoothScaleMm).Apply(centre, whole, smooth, some);
        return (smooth, unsure);
    }

    /// <summary>Of all courses that a thread may take, each weighed by what it collects: the mean place at every step, and the spread about it, in steps across.</summary>
    private static (double[] Place, double[] Spread) Course(double[] reward, double[] movedMm, int states)
    {
        const int most = 2;
        int n = movedMm.Length;
        // Prices of moving by -2 to 2 steps, at every step along.
        var price = new double[n * (2 * most + 1)];
        for (int i = 1; i < n; i++)
            for (int b = -most; b <= most; b++)
            {
                double slope = (b * ThreadStrip.AcrossStepMm + movedMm[i]) / (Stride * ThreadStrip.AlongStepMm);
                price[i * (2 * most + 1) + b + most] = Math.Exp(-slope * slope / Temper);
            }
        double[] gain = [.. reward.Select(r => Math.Exp(r / Temper))], before = new double[n * states], after = new double[n * states];
        for (int d = 0; d < states; d++)
        {
            before[d] = gain[d];
            after[(n - 1) * states + d] = 1;
        }
        for (int i = 1; i < n; i++)
        {
            double sum = 0;
            for (int d = 0; d < states; d++)
            {
                double total = 0;
                for (int b = Math.Max(-most, d - states + 1); b <= Math.Min(most, d); b++) total += before[(i - 1) * states + d - b] * price[i * (2 * most + 1) + b + most];
                sum += before[i * states + d] = total * gain[i * states + d];
            }
            for (int d = 0; d < states; d++) before[i * states + d] /= sum;
        }
        double[] place = new double[n], spread = new double[n];
        for (int i = n - 1; i >= 0; i--)
        {
            double sum = 0, first = 0, second = 0, scale = 0;
            for (int d = 0; d < states; d++)
            {
                if (i + 1 < n)
                {
                    double total = 0;
                    for (int b = Math.Max(-most, -d); b <= Math.Min(most, states - 1 - d); b++) total += after[(i + 1) * states + d + b] * gain[(i + 1) * states + d + b] * price[(i + 1) * (2 * most + 1) + b + most];
                    after[i * states + d] = total;
                }
                scale += after[i * states + d];
                double p = before[i * states + d] * after[i * states + d];
                sum += p;
                first += p * d;
                second += p * d * d;
            }
            for (int d = 0; d < states; d++) after[i * states + d] /= scale;
            place[i] = first / sum;
            spread[i] = Math.Sqrt(Math.Max(0, second / sum - place[i] * place[i]));
        }
        return (place, spread);
    }
}
