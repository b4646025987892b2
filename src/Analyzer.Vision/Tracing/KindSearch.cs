using Analyzer.Core.Pattern;
using Analyzer.Vision.Photos;
using Analyzer.Vision.Rectification;
using Analyzer.Vision.Stitches;

namespace Analyzer.Vision.Tracing;

/// <summary>The kinds of line that a block shows, each with its lines along the intended grid: thread, marks, print, shade. Evidence and what is made of it are made once.</summary>
internal sealed class KindSearch
{
    private readonly IntendedGrid _grid;

    private readonly StitchSettings _settings;

    private readonly Lazy<ScoreColumns>[] _columns;

    public KindSearch(Photo photo, BlockPlane plane, IntendedGrid grid, StitchSettings settings)
    {
        (_grid, _settings) = (grid, settings);
        EvidenceSettings s = settings.Evidence with { PixelsPerMm = Math.Min(settings.Evidence.PixelsPerMm, Math.Max(3, Math.Floor(plane.PixelsPerMm))) };
        Evidence = FamilyEvidence.OfAll(new ReducedPhoto(photo, plane), plane, grid.Families, s);
        _columns = [.. Evidence.Select(e => new Lazy<ScoreColumns>(() => ScoreColumns.Of(e, settings.Evidence.EdgeInsetMm)))];
        Work = new StripWorkshop(photo, plane, grid, Evidence, settings);
    }

    public FamilyEvidence[] Evidence { get; }

    public StripWorkshop Work { get; }

    /// <summary>Every kind of line that might be the thread, each with its lines found and its score.</summary>
    /// <param name="everyKind">Whether all kinds are looked at even if the first is plainly stitched.</param>
    public List<Candidate> Kinds(bool everyKind = false, Action<string>? stage = null, CancellationToken cancel = default)
    {
        cancel.ThrowIfCancellationRequested();
        stage?.Invoke("lines");
        Parallel.For(0, _columns.Length, f => _ = _columns[f].Value);
        Candidate any = Seek("any colour", null);
        List<Candidate> candidates = [any];
        List<Colour3> kinds = ColourKinds(any);
        using IEnumerator<Candidate> colours = OfColours(kinds).GetEnumerator();
        if (colours.MoveNext()) candidates.Add(colours.Current);
        cancel.ThrowIfCancellationRequested();
        stage?.Invoke("thread colour");
        // The colour that shows most is nearly always the thread's. Where it is plainly stitched, and there is nothing else but its shade, the rest needs no look.
        Candidate first = candidates[^1];
        if (!everyKind && kinds.Count <= 2 && _settings.DashScore)
        {
            first.Score = Work.Judge(first, _settings.FirstProbes);
            if (first.Score.IsPlainlyStitched) return [first];
            first.Score = null;
        }
        while (colours.MoveNext()) candidates.Add(colours.Current);
        foreach (Candidate c in candidates) c.Score ??= Work.Judge(c);
        if (BesideTheMarks(candidates) is { } freed)
        {
            freed.Score = Work.Judge(freed);
            // As straight as the marks, or without a thread's profile, it is the marks seen in a worse colour. Otherwise it stands for any colour: with the marks in it, that goes now
            // along the thread, now along them.
            if (freed.Score.SwayMm >= ClassScore.RuledSwayMm && freed.Score.MisfitShare < ClassScore.ClearMisfitShare)
            {
                candidates.Remove(any);
                candidates.Add(freed);
            }
        }
        foreach (Candidate c in BesideTheShadow(candidates))
        {
            c.Score = Work.Judge(c);
            candidates.Add(c);
        }
        return candidates;
    }

    /// <summary>Where lines of some colours are straight as a ruler: whatever else shows, as these colours do not count. A thread of changing colour beside pen or pencil.</summary>
    private Candidate? BesideTheMarks(List<Candidate> candidates)
    {
        const double sameKind = 0.9;
        ColourCovariance noise = MeanNoise();
        var marks = new List<Colour3>();
        foreach (Candidate c in candidates.Where(c => c.Score!.IsRuledColour).OrderByDescending(c => c.Score!.Contrast))
            if (marks.All(m => Math.Abs(noise.Whiten(m).Cosine(noise.Whiten(c.Direction!.Direction))) < sameKind)) marks.Add(c.Direction!.Direction);
        return marks.Count == 0 ? null : Seek("any colour but the marks'", null, marks);
    }

    /// <summary>
    /// Under low side light the furrow's shadow stands out more than the thread in it, and the best lines follow the shadow. What changes along the lines,
    /// stitch by stitch, lies beside them then: the thread is looked for there, in every colour that shows.
    /// </summary>
    private List<Candidate> BesideTheShadow(List<Candidate> candidates)
    {
        Candidate best = candidates.MaxBy(c => c.Score!.Score)!;
        if (best.Score!.DashCorrelation >= ClassScore.PlainStitches || best.Score.TextureBesideMm.All(t => Math.Abs(t) < 0.15)) return [];
        return [.. candidates.Where(c => c.Direction is not null).Select(c => best.Moved($"{c.Name}, beside", family => best.Score.TextureBesideMm[family], c.Direction!, _grid))];
    }

    private ColourCovariance MeanNoise() => ColourCovariance.Mean(Evidence.Select(e => e.Noise));

    public Candidate Seek(string name, ThreadColour? direction, IReadOnlyList<Colour3>? marks = null)
    {
        var hough = new List<HoughLine>[_columns.Length];
        var assigned = new HoughLine?[_grid.Lines.Count];
        Parallel.For(0, _columns.Length, f =>
        {
            ScoreMap map = direction is not null
                ? ScoreMap.OfColour(_columns[f].Value, _settings.Evidence, direction.Discriminant(Evidence[f].Noise))
                : ScoreMap.AnyColour(_columns[f].Value, _settings.Evidence, Candidate.NoiseWith(marks ?? [], Evidence[f].Noise));
            hough[f] = HoughLines.Find(map, _settings.LeastStrength);
            int[] own = [.. Enumerable.Range(0, _grid.Lines.Count).Where(i => _grid.Lines[i].Family == f)];
            HoughLine?[] pairs = LineAssignment.Assign([.. own.Select(i => _grid.Lines[i])], _grid.Families[f], hough[f], _settings.GridPrior);
            for (int k = 0; k < own.Length; k++) assigned[own[k]] = pairs[k];
        });
        return new Candidate(name, direction, hough, assigned) { Marks = marks ?? [] };
    }

    /// <summary>
    /// The kinds of ridge colour that the block shows along its lines. Where marks and threads lie so close that hardly a line stands out of the whole, the places
    /// meant for the lines are looked at.
    /// </summary>
    private List<Colour3> ColourKinds(Candidate any)
    {
        ColourCovariance noise = MeanNoise();
        var ridges = new List<Colour3>();
        bool crowded = any.Assigned.Count(a => a is not null) < 0.25 * any.Assigned.Length;
        for (int i = 0; i < _grid.Lines.Count; i++)
        {
            if ((any.Assigned[i] ?? (crowded ? Intended(_grid.Lines[i], _grid.Families[_grid.Lines[i].Family]) : null)) is not { } line) continue;
            CollectRidges(Evidence[_grid.Lines[i].Family], _grid.Lines[i], line, noise, ridges);
        }
        return ColourClasses.Find(ridges, noise);

        static HoughLine Intended(GridLine line, LineFamily family) => new(family.AcrossOfLine(line.Index), family.Along(line.From) + line.LengthMm / 2, 0, 0, line.LengthMm);
    }

    /// <summary>Each kind of colour sought again on its own.</summary>
    private IEnumerable<Candidate> OfColours(List<Colour3> kinds)
    {
        ColourCovariance noise = MeanNoise();
        int number = 0;
        foreach (Colour3 direction in kinds)
        {
            yield return Seek($"colour {++number}", new ThreadColour(direction, []));
            // The same with the other kinds as nuisance; a kind of nearly opposite or equal hue cannot be told apart by colour and is not held against it.
            Colour3[] others = [.. kinds.Where(k => k != direction && Math.Abs(k.Dot(noise.Solve(direction))) < 0.9)];
            if (others.Length > 0) yield return Seek($"colour {number} apart from the others", new ThreadColour(direction, others));
        }
    }

    private static void CollectRidges(FamilyEvidence e, GridLine line, HoughLine hough, ColourCovariance noise, List<Colour3> ridges)
    {
        double start = e.Family.Along(line.From), half = Math.Min(2.2, 0.42 * e.Family.SpacingMm);
        StrengthMeasure any = StrengthMeasure.AnyColour(noise);
        var strength = new float[2 * (int)Math.Ceiling(half * e.PixelsPerMm) + 1];
        for (double s = 1; s < line.LengthMm; s += 1)
        {
            int first = (int)Math.Round((hough.AcrossAt(start + s) - half - e.AcrossStartMm) * e.PixelsPerMm);
            e.Column(start + s, first, strength, any);
            for (int k = 1; k + 1 < strength.Length; k++)
                if (strength[k] > 2.5f && strength[k] >= strength[k - 1] && strength[k] > strength[k + 1])
                    ridges.Add(e.AtMm(start + s, e.AcrossStartMm + (first + k) / e.PixelsPerMm));
        }
    }
}
