using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing.Noise;

namespace Analyzer.Testing.Scene;

/// <summary>Every line of the scene as it was stitched, in the order of stitching.</summary>
internal sealed class StitchPlan
{
    private readonly SceneSettings _settings;
    private readonly PlaneDistortion _distortion;
    private readonly SeededRandom _random;

    private StitchPlan(SceneSettings settings, IntendedGrid grid, PlaneDistortion distortion)
    {
        (_settings, Grid, _distortion) = (settings, grid, distortion);
        _random = new SeededRandom(settings.Seed, "stitching");
        HashSet<string> missing = PickMissing();
        StitchedLine[] lines = [.. grid.Lines.Select(line => Stitch(line, missing.Contains(line.Id)))];
        if (settings.Stitch.TurnRadiusMm is { } radius) Turns = TurnMaker.Round(lines, grid, radius, p => _distortion.Apply(p.X, p.Y));
        Lines = lines;
        for (int i = 0; i < settings.Stitch.ExtraLines; i++) Extra.Add(MakeExtra(i));
        if (settings.Surround.DitchStitched) AddDitch();
    }

    public IntendedGrid Grid { get; }

    /// <summary>One per intended line, in the grid's order.</summary>
    public IReadOnlyList<StitchedLine> Lines { get; }

    public List<StitchedLine> Extra { get; } = [];

    /// <summary>Bounces at the ditch that were sewn round.</summary>
    public IReadOnlyList<RoundedTurn> Turns { get; } = [];

    public List<StitchedLine> Ditch { get; } = [];

    public static StitchPlan Make(SceneSettings settings, IntendedGrid grid, PlaneDistortion distortion) => new(settings, grid, distortion);

    private HashSet<string> PickMissing()
    {
        if (_settings.Stitch.NothingStitched) return [.. Grid.Lines.Select(l => l.Id)];
        var ids = new HashSet<string>();
        // Short corner pieces are left alone: a forgotten line is one somebody would notice.
        var candidates = Grid.Lines.Where(l => l.LengthMm > 0.3 * Grid.Size.WidthMm).ToList();
        while (ids.Count < Math.Min(_settings.Stitch.MissingLines, candidates.Count)) ids.Add(_random.Pick(candidates).Id);
        return ids;
    }

    private StitchedLine Stitch(GridLine line, bool isMissing)
    {
        StitchSettings s = _settings.Stitch;
        double length = line.LengthMm, factor = Math.Exp(0.25 * _random.Gaussian());
        Func<double, double>? mark = _settings.Marks is { } m ? MarkShape(m, Grid.Families[line.Family], length) : null;
        double followed = _settings.Marks?.Followed ?? 0;
        double offset = s.OffsetSdMm * Bounded(), slope = Math.Tan(s.AngleSdDeg * Math.PI / 180 * Bounded());
        double bow = s.BowSdMm * Bounded() * Math.Min(1, length / 100);
        Func<double, double>[] bands = [Band(20, 60, s.WobbleLongMm * factor * Math.Min(1, length / 60)), Band(8, 20, s.WobbleMidMm * factor), Band(4.6, 8, s.WobbleShortMm * factor)];
        double Bow(double t) => bow * (1 - 4 * Math.Pow(t / length - 0.5, 2) - 2.0 / 3);
        double Across(double t) => offset + slope * (t - length / 2) + Bow(t) + bands.Sum(b => b(t)) + followed * (mark?.Invoke(t) ?? 0);
        double[] along = HolePlaces(-s.EndSdMm * Bounded(), length + s.EndSdMm * Bounded());
        double[] jitter = [.. along.Select(_ => s.HoleJitterMm * Bounded())];
        double[] across = [.. along.Select((t, i) => Across(t) + jitter[i])];
        double MeanSquare(Func<double, double> f) => Enumerable.Range(0, 101).Average(i => Math.Pow(f(length * i / 100), 2));
        double Placed(Func<double, double> f) => Enumerable.Range(0, 101).Average(i => f(length * i / 100));
        double markOffset = mark is null ? 0 : followed * Placed(mark);
        return new StitchedLine
        {
            Intended = line,
            IsMissing = isMissing,
            HoleAlongMm = along,
            HoleAcrossMm = across,
            Holes = [.. along.Select((t, i) => OnPlane(line, t, across[i]))],
            Mark = mark is null ? [] : [.. Steps(length).Select(t => OnPlane(line, t, mark(t)))],
            Causes = new LineCauses
            {
                Offset = Math.Pow(offset + markOffset, 2),
                Angle = MeanSquare(t => slope * (t - length / 2) + (mark is null ? 0 : followed * mark(t) - markOffset)),
                Bow = MeanSquare(Bow),
                WobbleLong = MeanSquare(bands[0]),
                WobbleMid = MeanSquare(bands[1]),
                WobbleShort = MeanSquare(bands[2]),
                HoleJitter = jitter.Average(j => j * j),
            },
        };
    }

    private Func<double, double> MarkShape(MarkSettings m, LineFamily family, double length)
    {
        double offset = m.OffsetSdMm * Bounded() + family.AcrossX * m.SlipXMm + family.AcrossY * m.SlipYMm, slope = Math.Tan(m.AngleSdDeg * Math.PI / 180 * Bounded());
        Func<double, double> wobble = Band(25, 80, m.WobbleMm);
        return t => offset + slope * (t - length / 2) + wobble(t);
    }

    private static IEnumerable<double> Steps(double length)
    {
        int count = Math.Max(2, (int)Math.Ceiling(length / 1.0));
        return Enumerable.Range(0, count + 1).Select(i => length * i / count);
    }

    private (double X, double Y) OnPlane(GridLine line, double along, double across)
    {
        LineFamily f = Grid.Families[line.Family];
        return _distortion.Apply(
            line.From.Xmm + f.AlongX * along + f.AcrossX * across, line.From.Ymm + f.AlongY * along + f.AcrossY * across);
    }

    /// <summary>Normal deviate kept within 2.2 standard deviations, so that settings mean what they say.</summary>
    private double Bounded()
    {
        double g;
        do g = _random.Gaussian();
        while (Math.Abs(g) > 2.2);
        return g;
    }

    /// <summary>A smooth random curve with wavelengths between two bounds and the given r.m.s.</summary>
    private Func<double, double> Band(double shortestMm, double longestMm, double rms)
    {
        const int count = 6;
        var terms = new (double Amplitude, double Wave, double Phase)[count];
        for (int i = 0; i < count; i++)
        {
            double wavelength = shortestMm * Math.Pow(longestMm / shortestMm, (i + _random.NextDouble()) / count);
            terms[i] = (rms * Math.Sqrt(2.0 / count) * _random.Uniform(0.8, 1.2), 2 * Math.PI / wavelength, _random.Uniform(0, 2 * Math.PI));
        }
        return t =>
        {
            double sum = 0;
            foreach ((double amplitude, double wave, double phase) in terms) sum += amplitude * Math.Sin(wave * t + phase);
            return sum;
        };
    }

    private double[] HolePlaces(double start, double end)
    {
        StitchSettings s = _settings.Stitch;
        var places = new List<double> { start };
        while (places[^1] < end - 0.5 * s.PitchMm)
            places.Add(places[^1] + s.PitchMm * Math.Max(0.4, 1 + s.PitchSpread * Bounded()));
        // The last stitch is shortened or lengthened to end where the line ends.
        if (places.Count > 1) places[^1] = Math.Max(end, places[^2] + 0.4 * s.PitchMm);
        return [.. places];
    }

    private StitchedLine MakeExtra(int number)
    {
        (double w, double h) = (Grid.Size.WidthMm, Grid.Size.HeightMm);
        double startX, startY, angle, length;
        if (number % 2 == 0)
        {
            // A wandering repair across part of the block.
            (startX, startY) = (w * _random.Uniform(0.15, 0.45), h * _random.Uniform(0.2, 0.8));
            angle = _random.Uniform(8, 25) * _random.Sign() * Math.PI / 180;
            length = w * _random.Uniform(0.3, 0.5);
        }
        else
        {
            // A doubled run beside an intended line.
            GridLine line = _random.Pick(Grid.Lines.Where(l => l.LengthMm > 0.5 * w).ToList());
            LineFamily f = Grid.Families[line.Family];
            double gap = _random.Sign() * Math.Min(0.3 * f.SpacingMm, _random.Uniform(2.5, 4.5)), from = line.LengthMm * _random.Uniform(0.1, 0.4);
            (startX, startY) = (line.From.Xmm + f.AlongX * from + f.AcrossX * gap, line.From.Ymm + f.AlongY * from + f.AcrossY * gap);
            angle = Math.Atan2(-f.AlongY, f.AlongX);
            length = line.LengthMm * _random.Uniform(0.3, 0.5);
        }
        return Free(startX, startY, angle, length, Band(15, 60, 0.5), false);
    }

    private StitchedLine Free(double startX, double startY, double angleRad, double length, Func<double, double> shape, bool isDitch)
    {
        double[] along = HolePlaces(0, length);
        (double ux, double uy) = (Math.Cos(angleRad), -Math.Sin(angleRad));
        double[] across = [.. along.Select(t => shape(t) + _settings.Stitch.HoleJitterMm * Bounded())];
        return new StitchedLine
        {
            IsDitch = isDitch,
            HoleAlongMm = along,
            HoleAcrossMm = across,
            Holes = [.. along.Select((t, i) => _distortion.Apply(startX + ux * t - uy * across[i], startY + uy * t + ux * across[i]))],
        };
    }

    private void AddDitch()
    {
        (double w, double h) = (Grid.Size.WidthMm, Grid.Size.HeightMm);
        double wobble = _settings.Surround.DitchWobbleMm;
        Ditch.Add(Free(0, 0, 0, w, Band(15, 60, wobble), true));
        Ditch.Add(Free(w, 0, -Math.PI / 2, h, Band(15, 60, wobble), true));
        Ditch.Add(Free(w, h, Math.PI, w, Band(15, 60, wobble), true));
        Ditch.Add(Free(0, h, Math.PI / 2, h, Band(15, 60, wobble), true));
    }
}
