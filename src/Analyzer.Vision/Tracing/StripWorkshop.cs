using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>Cuts and projects the strips of one block, for a few probe lines or for all.</summary>
internal sealed class StripWorkshop(Photo photo, BlockPlane plane, IntendedGrid grid, FamilyEvidence[] evidence, StitchSettings settings)
{
    /// <summary>Shorter than this a line is a corner line: a few stitches and the gaps between them, whose mean says little on its own, mm.</summary>
    private const double ShortLineMm = 20;

    /// <summary>The same units for all families, so that their lines' colours can be compared.</summary>
    private readonly ColourCovariance _noise = ColourCovariance.Mean(evidence.Select(e => e.Noise));

    /// <summary>How far from the course that the net saw the thread may lie, mm.</summary>
    private const double SeenReachMm = 0.35;

    /// <summary>Half width of a strip: the fit's window beside the farthest place where noise is measured, and the wobble between.</summary>
    private static double HalfWidthMm(TracingSettings t) => t.GroundShiftMm + ThreadTemplate.WindowMm + 0.5;

    /// <summary>How much one hypothesis behaves like stitching, from a few lines looked at closely.</summary>
    public ClassScore Judge(Candidate candidate, int? probeCount = null)
    {
        // Once its lines have been followed, no more are added: one kind may be judged twice, by few probes and by all.
        if (settings.GridPrior && candidate.Paths is null && candidate.Sight is null) Rescue(candidate);
        int found = candidate.Assigned.Count(a => a is not null);
        double share = found / (double)grid.Lines.Count;
        if (found == 0) return new ClassScore(candidate.Name, double.NegativeInfinity, 0, 0, 0, 0, 0, 0) { Direction = candidate.Direction?.Direction };
        CoarsePath?[] paths = Paths(candidate);
        TracedLine?[] probed = TraceChosen(candidate, paths, Probes(candidate, probeCount ?? settings.Probes), settings.Tracing);
        candidate.Probed = Enumerable.Range(0, probed.Length).Where(i => probed[i] is { AlongMm.Length: > 1 }).ToDictionary(i => i, i => probed[i]!);
        TracedLine[] probes = [.. probed.OfType<TracedLine>()];
        if (probes.Length == 0) return new ClassScore(candidate.Name, double.NegativeInfinity, share, 0, 0, 0, 0, 0) { Direction = candidate.Direction?.Direction };
        double contrast = UpperMedian.Of(probes.Select(p => double.IsFinite(p.Contrast) ? p.Contrast : 0));
        double ratio = UpperMedian.Of(probes.Select(p => p.DashRatio));
        double coverage = UpperMedian.Of(probes.Select(p => p.Coverage));
        double wobble = UpperMedian.Of(probes.Select(p => p.DeviationMm.Length < 5 ? 0 : Core.Deviation.Straightness.Of(p.AlongMm, p.DeviationMm).RmsMm));
        double width = UpperMedian.Of(probes.Select(p => p.WidthMm)), misfit = UpperMedian.Of(probes.Select(p => p.MisfitShare));
        (double texture, double textureAt, double textureWidth) = StitchTexture.Peak([.. probes.Select(p => p.Texture).OfType<double[]>()]);
        var result = new ClassScore(candidate.Name, 0, share, contrast, 0, ratio, coverage, wobble)
        {
            TextureHeight = texture,
            TextureAtMm = textureAt,
            TextureWidthMm = textureWidth,
            WidthMm = width,
            SwayMm = probes.Select(p => Core.Deviation.HandSway.Of(p.AlongMm, p.DeviationMm)).OfType<double>().ToArray() is { Length: > 0 } sways ? UpperMedian.Of(sways) : null,
            MisfitShare = misfit,
            ShadowShare = UpperMedian.Of(probes.Select(p => p.ShadowShare)),
            FollowsFurrow = 2 * probes.Count(p => p.IsFurrow) > probes.Length,
            InFurrowMm = UpperMedian.Of(probes.Select(p => Math.Abs(p.InFurrowMm))),
            Direction = candidate.Direction?.Direction,
            TextureBesideMm = [.. Enumerable.Range(0, grid.Families.Count).Select(f => Beside([.. probes.Where(p => p.Line.Family == f).Select(p => p.Texture).OfType<double[]>()]))],
        };
        result = result with { DashCorrelation = DashReading.CommonPeak([.. probes.Where(p => p.DashRho.Length > 0 && p.Line.LengthMm > 25).Select(p => (p.DashRho, p.GroundRho))], ratio, result.ChangesInTheMiddle) };
        return result with { Score = Likeness(result, settings.DashScore) };
    }

    /// <summary>Place of a narrow band of change, mm from the lines; 0 where there is none.</summary>
    private static double Beside(double[][] textures)
    {
        (double height, double at, double width) = StitchTexture.Peak(textures);
        return height > 0.6 && width is > 0 and <= 0.75 ? at : 0;
    }

    /// <summary>One number for how much a kind of line behaves like stitching; weights from comparing many photos of three unrelated photo makers with their truth.</summary>
    private static double Likeness(ClassScore c, bool dashes)
    {
        double score = 2 * c.FoundShare + 3 * c.Coverage + (dashes ? 0.8 * Math.Log(Math.Max(0.1, c.DashRatio)) + 3 * Math.Sqrt(Math.Max(0, c.DashCorrelation - 0.06)) : 0)
            + 0.6 * Math.Log(Math.Max(0.1, c.Contrast)) - 3.8 * Math.Max(0, c.WidthMm - 0.45) - 4.3 * Math.Max(0, c.MisfitShare - 0.05);
        // Stitches in the line's middle speak for it, beside it against it: then the thread lies there.
        if (dashes && c.HasNarrowTexture) score += 0.9 * Math.Min(1, c.TextureHeight / 0.6) * (1 - 2 * Math.Clamp((Math.Abs(c.TextureAtMm) + c.InFurrowMm - 0.15) / 0.2, 0, 1));
        // A tall one-sided shadow is what is followed then, sooner than the thread; and a lighter crest without stitches beside one is the furrow's lit flank.
        score -= (c.FollowsFurrow ? 0.2 : 0.43) * Math.Min(2, c.ShadowShare);
        // Beside a shadow twice as tall as itself even change along its middle is no sign of stitches: it may be the shadow's rough edge.
        if (c is { Direction.L: > 0, ShadowShare: > 0.5, StitchesShow: false } or { Direction.L: > 0, ShadowShare: > 2, DashCorrelation: < 0.1 }) score -= 0.8;
        return c.Direction is null ? score - 0.3 : score;
    }

    /// <summary>Traces every assigned line.</summary>
    public TracedLine?[] TraceAll(Candidate candidate)
    {
        CoarsePath?[] paths = Paths(candidate);
        TracedLine?[] lines = TraceChosen(candidate, paths, [.. Enumerable.Range(0, grid.Lines.Count).Where(i => paths[i] is not null)], settings.Tracing, true);
        return [.. lines.Select(l => l is { AlongMm.Length: > 0 } ? l with { Colour = UpperMedian.Of(ColoursOf(l)) } : l)];
    }

    /// <summary>Adds to each line's common uncertainty a share of its distance from the look-alike beside it; gives the median distance too.</summary>
    public (TracedLine?[] Lines, double MedianMm) WidenBy(TracedLine?[] lines, Candidate thread, Candidate other, double share)
    {
        CoarsePath?[] own = Paths(thread), second = Paths(other);
        var distances = new List<double>();
        var result = (TracedLine?[])lines.Clone();
        for (int i = 0; i < lines.Length; i++)
        {
            if (lines[i] is not { } line || own[i] is not { } a || second[i] is not { } b || b.Coverage < 0.5) continue;
            double[] gap = [.. a.DeviationMm.Zip(b.DeviationMm, (x, y) => Math.Abs(x - y))];
            double distance = UpperMedian.Of(gap);
            distances.Add(distance);
            // A tenth of a millimetre is the coarse path's own grain.
            if (distance > 0.12) result[i] = line.LessSure(share * distance);
        }
        return (result, distances.Count == 0 ? 0 : UpperMedian.Of(distances));
    }

    /// <summary>Median distance of a kind's path from a trace of the same line, mm, over what was seen of that; not a number where the kind has no path.</summary>
    public double GapMm(TracedLine traced, Candidate kind, int line) =>
        Paths(kind)[line] is { } path ? UpperMedian.Of(traced.AlongMm.Zip(traced.DeviationMm, (along, across) => Math.Abs(path.At(along) - across))) : double.NaN;

    /// <summary>What is seen along a kind's probe lines, by their number in the grid.</summary>
    public Dictionary<int, AlongTrace> Along(Candidate kind)
    {
        int[] lines = [.. kind.Probed.Keys];
        CoarsePath[] all = [.. Paths(kind).OfType<CoarsePath>().Where(p => p.Coverage > 0.3)];
        var along = new AlongTrace[lines.Length];
        Parallel.For(0, lines.Length, k => along[k] = Along(kind.Probed[lines[k]], Paths(kind)[lines[k]]!, all));
        return lines.Zip(along).ToDictionary(p => p.First, p => p.Second);
    }

    private AlongTrace Along(TracedLine traced, CoarsePath path, CoarsePath[] all)
    {
        LineFamily family = grid.Families[path.Line.Family];
        FamilyEvidence e = evidence[path.Line.Family];
        CoarsePath fine = path with { DeviationMm = [.. Enumerable.Range(0, path.DeviationMm.Length).Select(i => traced.At(i * path.StepMm))] };
        ThreadStrip strip = ThreadStrip.Cut(photo.Bgr, plane, family, fine, HalfWidthMm(settings.Tracing));
        (double[][] change, double[] free) = ThreadOnMark.ChangeAbout(new ProjectedStrip(strip, [], OtherLine.Of(path, grid, all)), new double[strip.Along]);
        StrengthMeasure any = StrengthMeasure.AnyColour(e.Noise);
        double start = family.Along(path.Line.From), across = family.AcrossOfLine(path.Line.Index);
        const int middle = ThreadOnMark.States / 2;
        var near = new float[3];
        var changes = new double[traced.AlongMm.Length];
        var strength = new float[changes.Length];
        for (int i = 0; i < changes.Length; i++)
        {
            int k = Math.Min(free.Length - 1, (int)Math.Round(traced.AlongMm[i] / ThreadOnMark.ChangeStepMm));
            changes[i] = free[k] == 0 ? double.NaN : (Mean(k - 2) + Mean(k - 1) + Mean(k) + Mean(k + 1) + Mean(k + 2)) / 5 - 1;
            e.Column(start + traced.AlongMm[i], (int)Math.Round((across + traced.DeviationMm[i] - e.AcrossStartMm) * e.PixelsPerMm) - 1, near, any);
            strength[i] = near.Max();
        }
        return new AlongTrace(traced, changes, strength);

        double Mean(int place)
        {
            int k = Math.Clamp(place, 0, free.Length - 1);
            return (change[middle - 1][k] + change[middle][k] + change[middle + 1][k]) / 3;
        }
    }

    /// <summary>Long lines of each family in turn, from all over the block: light and cloth may differ from one side to the other.</summary>
    private int[] Probes(Candidate candidate, int count)
    {
        const double nearlyLongest = 0.8;
        int each = (count + grid.Families.Count - 1) / grid.Families.Count;
        List<int>[] byFamily = [.. Enumerable.Range(0, grid.Families.Count).Select(f =>
        {
            int[] own = [.. Enumerable.Range(0, grid.Lines.Count).Where(i => grid.Lines[i].Family == f && candidate.Assigned[i] is not null)];
            double leastMm = nearlyLongest * own.Select(i => grid.Lines[i].LengthMm).DefaultIfEmpty().Max();
            int[] longest = [.. own.Where(i => grid.Lines[i].LengthMm >= leastMm)];
            int[] spread = longest.Length <= each ? longest : [.. Enumerable.Range(0, each).Select(i => longest[(2 * i + 1) * longest.Length / (2 * each)])];
            return (List<int>)[.. spread, .. own.Except(spread).OrderByDescending(i => grid.Lines[i].LengthMm)];
        })];
        var result = new List<int>();
        for (int rank = 0; result.Count < count && byFamily.Any(b => b.Count > rank); rank++)
            result.AddRange(byFamily.Where(b => b.Count > rank).Select(b => b[rank]));
        return [.. result];
    }

    /// <summary>
    /// Looks again for intended lines that the Hough transform did not show, mostly short ones in a corner: near the place that the family's other lines suggest,
    /// a straight piece along which the evidence is a usual thread's.
    /// </summary>
    private void Rescue(Candidate candidate)
    {
        const double leastMean = 0.4, insetMm = 0.8;
        double usual = UsualStrength(candidate);
        for (int i = 0; i < grid.Lines.Count; i++)
        {
            if (candidate.Assigned[i] is not null) continue;
            GridLine line = grid.Lines[i];
            LineFamily family = grid.Families[line.Family];
            FamilyEvidence e = evidence[line.Family];
            (StrengthMeasure measure, double less) = Strength(candidate, line.Family, usual);
            double start = family.Along(line.From), mid = start + line.LengthMm / 2, across = family.AcrossOfLine(line.Index);
            double[] offsets = [.. grid.Lines.Select((l, k) => (l, h: candidate.Assigned[k])).Where(x => x.l.Family == line.Family && x.h is not null)
                .Select(x => x.h!.AcrossAt(family.Along(x.l.From) + x.l.LengthMm / 2) - family.AcrossOfLine(x.l.Index))];
            double centre = across + UpperMedian.Of(offsets), reach = Math.Min(3, 0.3 * family.SpacingMm);
            (double Mean, double Across, double Slope) best = StraightPiece.Best(e, measure, less, start, line.LengthMm, centre, reach, insetMm);
            if (best.Mean <= leastMean && usual > 5)
            {
                // A well-seen thread may wobble too much for any straight piece: follow it, and see whether it is there nearly all the way.
                var prior = new HoughLine(centre, mid, 0, settings.LeastStrength, line.LengthMm);
                CoarsePath path = PathFinder.Follow(e, line, prior, family.SpacingMm, measure, less);
                if (path.Coverage > 0.7) best = (path.Reward.Average(), centre, 0);
            }
            double least = leastMean;
            if (line.LengthMm < ShortLineMm)
            {
                // A few stitches with their gaps: where the thread stands out many times over the noise, less of it will do, if halfway to the next lines there is nothing like it.
                double beside = Math.Max(Beside(-0.5), Beside(0.5));
                least = Math.Max(beside + leastMean / 2, leastMean * Math.Clamp(5 / usual, 0.1, 1));
                double Beside(double lines) => StraightPiece.Best(e, measure, less, start, line.LengthMm, centre + lines * family.SpacingMm, reach / 2, insetMm).Mean;
            }
            if (best.Mean <= least) continue;
            var found = new HoughLine(best.Across, mid, best.Slope, settings.LeastStrength, line.LengthMm);
            bool taken = Enumerable.Range(0, grid.Lines.Count).Any(k => grid.Lines[k].Family == line.Family && candidate.Assigned[k] is { } other
                && Math.Abs(other.AcrossAt(mid) - found.AcrossAt(mid)) < HoughLines.SameLineMm);
            if (!taken) candidate.Assigned[i] = found;
        }
    }

    /// <summary>A kind's courses through the evidence, by the line's number in the grid.</summary>
    public CoarsePath?[] Paths(Candidate candidate) => candidate.Paths ??= Followed(candidate);

    private CoarsePath?[] Followed(Candidate candidate)
    {
        double usual = UsualStrength(candidate);
        var paths = new CoarsePath?[grid.Lines.Count];
        Parallel.For(0, paths.Length, i =>
        {
            if (candidate.Assigned[i] is not { } hough) return;
            GridLine line = grid.Lines[i];
            (StrengthMeasure measure, double less) = Strength(candidate, line.Family, usual);
            double spacing = grid.Families[line.Family].SpacingMm;
            CoarsePath path = PathFinder.Follow(evidence[line.Family], line, hough, spacing, measure, less, candidate.Sight?[i]);
            // A straight line through thread and print is tilted; the seen part of the path tells how the line really runs.
            foreach (HoughLine other in candidate.Sight?[i] is not null ? [] : PathFinder.Straightened(path, evidence[line.Family].Family, hough))
            {
                CoarsePath second = PathFinder.Follow(evidence[line.Family], line, other, spacing, measure, less, candidate.Sight?[i]);
                if (second.Reward.Sum() > path.Reward.Sum()) path = second;
            }
            paths[i] = candidate.MovedMm is { } moved ? path with { DeviationMm = [.. path.DeviationMm.Select(d => d + moved[i])] } : path;
        });
        return paths;
    }

    /// <summary>How a place's strength is measured, in units of a usual thread, and what is taken off it so that plain ground earns nothing.</summary>
    private (StrengthMeasure Measure, double Less) Strength(Candidate candidate, int family, double usual) => (Measure(candidate, family).Over(usual), candidate.SoughtAs is null ? 0.4 : 0.25);

    private StrengthMeasure Measure(Candidate candidate, int family)
    {
        ColourCovariance noise = evidence[family].Noise;
        return candidate.SoughtAs is { } d ? StrengthMeasure.Along(d.Discriminant(noise)) : StrengthMeasure.AnyColour(Candidate.NoiseWith(candidate.Marks, noise));
    }

    /// <summary>Evidence of a usual thread: the median, over the straight lines found, of the better half of the evidence near each.</summary>
    private double UsualStrength(Candidate candidate)
    {
        var values = new List<double>();
        for (int i = 0; i < grid.Lines.Count; i++)
        {
            if (candidate.Assigned[i] is not { } hough) continue;
            FamilyEvidence e = evidence[grid.Lines[i].Family];
            StrengthMeasure measure = Measure(candidate, grid.Lines[i].Family);
            double start = e.Family.Along(grid.Lines[i].From);
            var tops = new List<float>();
            var near = new float[(int)Math.Round(1.2 * e.PixelsPerMm) + 1];
            for (double s = 2; s < grid.Lines[i].LengthMm - 2; s += 2)
            {
                e.Column(start + s, (int)Math.Round((hough.AcrossAt(start + s) - 0.6 - e.AcrossStartMm) * e.PixelsPerMm), near, measure);
                tops.Add(Math.Max(0, near.Max()));
            }
            if (tops.Count < 3) continue;
            tops.Sort();
            values.Add(tops[tops.Count * 2 / 3]);
        }
        return Math.Max(1.5, values.Count == 0 ? 1.5 : UpperMedian.Of(values));
    }

    private TracedLine?[] TraceChosen(Candidate candidate, CoarsePath?[] paths, IReadOnlyList<int> chosen, TracingSettings tracing, bool toTheEnd = false)
    {
        CoarsePath[] all = [.. paths.OfType<CoarsePath>().Where(p => p.Coverage > 0.3)];
        var strips = new ProjectedStrip?[grid.Lines.Count];
        Parallel.ForEach(chosen, i =>
        {
            CoarsePath path = paths[i]!;
            LineFamily family = grid.Families[path.Line.Family];
            ThreadStrip strip = ThreadStrip.Cut(photo.Bgr, plane, family, path, HalfWidthMm(tracing));
            strips[i] = new ProjectedStrip(strip, Projection(candidate, path, strip), OtherLine.Of(path, grid, all)) { ReachMm = candidate.Sight?[i] is null ? double.PositiveInfinity : SeenReachMm };
        });
        var result = new TracedLine?[grid.Lines.Count];
        Parallel.For(0, grid.Families.Count, f =>
        {
            int[] own = [.. chosen.Where(i => grid.Lines[i].Family == f)];
            if (own.Length == 0) return;
            ProjectedStrip[] cut = [.. own.Select(i => strips[i]!)];
            IReadOnlyList<TracedLine> traced = ThreadTracer.Trace(cut, grid, plane.PixelsPerMm, tracing);
            if (toTheEnd) traced = [.. traced.Select((l, k) => GroundEdge.Without(cut[k], l, grid))];
            if (toTheEnd && candidate.Sight is null) traced = StrayStretches.OntoTheStitches(cut, Leaned(traced));
            for (int k = 0; k < own.Length; k++) result[own[k]] = traced[k];
        });
        return result;
    }

    /// <summary>A family's lines where light from the side no longer draws them off their stitches.</summary>
    private static IReadOnlyList<TracedLine> Leaned(IReadOnlyList<TracedLine> lines)
    {
        double[] contrasts = [.. lines.Select(l => l.Contrast).Where(double.IsFinite)];
        double leanMm = contrasts.Length == 0 ? 0 : StitchTexture.LeanMm([.. lines.Select(l => l.Texture).OfType<double[]>()], UpperMedian.Of(contrasts), lines[0].ShadowShare);
        return leanMm == 0 ? lines : [.. lines.Select(l => l.Moved(leanMm))];
    }

    /// <summary>The colour of each sample against the ground beside it, in units of the cloth's own noise.</summary>
    public Colour3[] ColoursOf(TracedLine line) => [.. line.AlongMm.Select((s, i) => ColourAt(line.Line, s, line.DeviationMm[i]))];

    /// <summary>The same at one place beside an intended line.</summary>
    public Colour3 ColourAt(GridLine line, double alongMm, double deviationMm)
    {
        FamilyEvidence e = evidence[line.Family];
        return _noise.Whiten(e.AtMm(e.Family.Along(line.From) + alongMm, e.Family.AcrossOfLine(line.Index) + deviationMm));
    }

    /// <summary>A line's colour, as <see cref="ColoursOf"/> gives it, as a kind of colour to be sought.</summary>
    public Colour3 KindOf(Colour3 lineColour) => _noise.Unwhiten(1 / Math.Max(1e-9, lineColour.Norm) * lineColour);

    private float[] Projection(Candidate candidate, CoarsePath path, ThreadStrip strip)
    {
        FamilyEvidence e = evidence[path.Line.Family];
        ColourCovariance noise = e.Noise.WithColourInSteps();
        if (candidate.Direction is { } d) return strip.Project(d.Discriminant(noise));
        return strip.Project(LocalDirections(e, Candidate.NoiseWith(candidate.Marks, noise), path, strip.Along));
    }

    /// <summary>For a thread of changing colour: the direction of the evidence itself, averaged over some millimetres along the path.</summary>
    private static Colour3[] LocalDirections(FamilyEvidence e, ColourCovariance noise, CoarsePath path, int steps)
    {
        LineFamily family = e.Family;
        double start = family.Along(path.Line.From), across = family.AcrossOfLine(path.Line.Index);
        int n = path.DeviationMm.Length;
        var raw = new Colour3[n];
        for (int i = 0; i < n; i++) raw[i] = e.AtMm(start + i * path.StepMm, across + path.DeviationMm[i]);
        var smooth = new Colour3[n];
        for (int i = 0; i < n; i++)
        {
            Colour3 sum = default;
            for (int d = -8; d <= 8; d++)
                if (i + d >= 0 && i + d < n) sum += Math.Exp(-0.5 * d * d / 16.0) * raw[i + d];
            smooth[i] = noise.Discriminant(sum);
        }
        return [.. Enumerable.Range(0, steps).Select(i => smooth[Math.Clamp((int)Math.Round(i * ThreadStrip.AlongStepMm / path.StepMm), 0, n - 1)])];
    }
}
