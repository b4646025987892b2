namespace Analyzer.Vision.Tracing;

/// <summary>A family's lines followed by more than their thread's own bar, and where in what was followed the thread lies.</summary>
/// <param name="Rows">Fit of the whole profile that was followed.</param>
/// <param name="ThreadRows">Fit of the thread alone, a narrow bar: its dashes are read with it.</param>
/// <param name="ThreadMm">The thread's middle beside the followed centre, mm.</param>
/// <param name="ThreadUMm">Standard uncertainty of that, mm.</param>
/// <param name="MisfitShare">How badly it fits: the share of the profiles that the common one leaves unexplained, or the bar's misfit where only the bar tells the thread.</param>
internal sealed record FollowedFurrow(TemplateRows Rows, TemplateRows ThreadRows, double ThreadMm, double ThreadUMm, double MisfitShare)
{
    /// <summary>A furrow whose mean profile leaves more than this share of the energy unexplained is not the same all along.</summary>
    private const double MostLeft = 0.15;

    /// <summary>From this share of one-sided shadow on, the whole furrow is followed.</summary>
    private const double FurrowShadow = 0.35;

    /// <summary>From this misfit on a bar is not a thread's.</summary>
    private const double BadFit = 0.05;

    /// <summary>Change along the line over the ground's that may be stitches, and how broad the band is that single stitches make, mm.</summary>
    private const double LeastChange = 0.4, StitchWidthMm = 0.75;

    /// <summary>A band of change farther off than this is not the line's own, mm: half of a mark, say, on one side of the thread.</summary>
    private const double BesideMm = 0.3;

    /// <summary>The thread is never placed in its furrow with less doubt than this, mm: what photos of two unrelated photo makers differ by.</summary>
    private const double LeastUMm = 0.06;

    /// <summary>The strips to read from now on, where a mark had to be taken off them; else null.</summary>
    public IReadOnlyList<ProjectedStrip>? Strips { get; init; }

    /// <summary>Where the course was told by the stitches' change alone and is not to be moved any more: each strip's standard uncertainty at every step, mm; else null.</summary>
    public IReadOnlyList<double[]>? StillUMm { get; init; }

    /// <summary>Follows the strips; the centres are moved in place, or left as they are where the thread's own bar tells more (null).</summary>
    /// <param name="thread">The thread's template as seen alone.</param>
    public static FollowedFurrow? Of(IReadOnlyList<ProjectedStrip> strips, double[][] centres, ThreadTemplate thread, double pixelsPerMm, TracingSettings settings)
    {
        if (thread.ShadowShare <= FurrowShadow)
        {
            (double change, double beside, double wide) = Change(strips, centres);
            FollowedFurrow? onMark = change > LeastChange && (wide > 0.5 || Math.Abs(beside) > BesideMm) ? OnMark(strips, centres, centres, thread, change, Math.Abs(beside) > BesideMm ? StitchWidthMm : wide, pixelsPerMm) : null;
            return onMark ?? (thread.MisfitShare > BadFit ? Aside(strips, centres, thread) : null);
        }
        // One line alone does not tell what is common to all.
        if (strips.Count < 2) return Aside(strips, centres, thread);
        double[][] followed = [.. centres.Select(c => (double[])c.Clone())];
        if (FurrowProfile.Follow(strips, followed) is not { LeftShare: < MostLeft } furrow) return Aside(strips, centres, thread);
        var rows = new TemplateRows(furrow);
        Parallel.For(0, strips.Count, k => ThreadTracer.Settle(strips[k], rows, followed[k], settings, settings.Rounds));
        (double height, double at, double width) = Change(strips, followed);
        // Stitches that wander about in the profile: it is a mark's, which the thread did not follow.
        if (height > LeastChange && width > StitchWidthMm) return OnMark(strips, centres, followed, thread, height, width, pixelsPerMm) ?? Aside(strips, centres, thread);
        // Where the bar was seen, from the furrow's centre.
        double barMm = UpperMedian.Of(strips.SelectMany((_, k) => centres[k].Zip(followed[k], (b, f) => b - f)));
        double contrast = Contrast(strips, centres, thread, settings);
        Put(followed, centres);
        if (height > 0.3 && width is > 0 and <= StitchWidthMm && Math.Abs(at) < 1)
        {
            (double place, double u) = Place(at, height, barMm, thread.ShadowShare, contrast);
            return new FollowedFurrow(rows, Alone(thread), place, u, furrow.LeftShare);
        }
        // Without stitches to see it is the bar that tells the thread from its furrow, and how well it fits.
        return new FollowedFurrow(rows, Alone(thread), thread.LitFlankMm, thread.CentreUMm, thread.MisfitShare);
    }

    /// <summary>
    /// Where the change along the lines is a band much broader than stitches, the lines may follow a mark in which the stitches wander: then the course along
    /// which the cloth changes most shows a much narrower and higher band, and is taken.
    /// </summary>
    private static FollowedFurrow? OnMark(IReadOnlyList<ProjectedStrip> strips, double[][] centres, double[][] marks, ThreadTemplate thread, double change, double wide, double pixelsPerMm)
    {
        // From comparison with known truth on drawn marks of several kinds; patchy chalk changes in a broad band of its own and is not resolved so.
        const double leastHeight = 1.4, leastShare = 0.7, higher = 1.2, narrowMm = 0.42, narrowerMm = 0.1, commonU = 0.05;
        if (strips.Any(x => double.IsFinite(x.ReachMm))) return null;
        (ProjectedStrip[] without, double[][] onStitches, double[][] unsure) = ThreadOnMark.Of(strips, marks);
        double[][] changes = Changes(strips, onStitches);
        (double height, _, double width) = StitchTexture.Peak(changes);
        if (height < Math.Max(leastHeight, higher * change) || width <= 0 || width > Math.Min(narrowMm + 1 / pixelsPerMm, wide - narrowerMm)) return null;
        if (changes.Count(c => StitchTexture.Middle(c) > 0.4 * height) < leastShare * strips.Count) return null;
        if (AreAlike(marks, onStitches) || FurrowProfile.Of(without, onStitches) is not { } rest) return null;
        Put(onStitches, centres);
        return new FollowedFurrow(new TemplateRows(rest), Alone(thread), 0, commonU, 0) { Strips = without, StillUMm = unsure };
    }

    /// <summary>Whether two courses of the lines differ by quick change alone: a thread that wanders in a mark leaves its middle for some way, one that is stitched unevenly is the mark that was followed.</summary>
    internal static bool AreAlike(double[][] one, double[][] other)
    {
        const double smoothSigmaMm = 2, leastApartMm = 0.12;
        var filter = new AlongFilter(smoothSigmaMm);
        double[] slow = [.. one.Zip(other).SelectMany(pair =>
        {
            double[] apart = [.. pair.First.Zip(pair.Second, (a, b) => a - b)], mean = new double[apart.Length];
            filter.Apply(apart, [.. apart.Select(_ => 1.0)], mean, new double[apart.Length]);
            return mean;
        })];
        return Math.Sqrt(slow.Average(a => a * a)) < leastApartMm;
    }

    /// <summary>
    /// The bar that was followed has a tall shadow or fits badly, and the cloth changes along the line in a band beside it: the thread lies there, about where
    /// the band's centre is, but no farther than a thread's own thickness, as photos of three unrelated photo makers have it.
    /// </summary>
    private static FollowedFurrow? Aside(IReadOnlyList<ProjectedStrip> strips, double[][] centres, ThreadTemplate thread)
    {
        const double leastHeight = 0.8, leastMm = 0.2, mostOnLine = 0.85, share = 0.7, mostMm = 0.3, u = 0.15;
        if (StitchTexture.Band(Changes(strips, centres)) is not { } band || band.Height < leastHeight || Math.Abs(band.CentreMm) < leastMm || band.OnLineShare > mostOnLine) return null;
        return new FollowedFurrow(new TemplateRows(thread), Alone(thread), Math.Clamp(share * band.CentreMm, -mostMm, mostMm), TracedLine.Joined(thread.CentreUMm, u), thread.MisfitShare);
    }

    private static (double Height, double AtMm, double WidthMm) Change(IReadOnlyList<ProjectedStrip> strips, double[][] centres) => StitchTexture.Peak(Changes(strips, centres));

    /// <summary>Change along each line against distance from it, for the lines of which enough is seen.</summary>
    private static double[][] Changes(IReadOnlyList<ProjectedStrip> strips, double[][] centres) =>
        [.. strips.Select((s, k) => StitchTexture.Of(s.Strip, centres[k], s.Others)).OfType<double[]>()];

    private static TemplateRows Alone(ThreadTemplate thread) => new(thread with { WidthMm = Math.Min(thread.WidthMm, 0.4) });

    private static void Put(double[][] from, double[][] into)
    {
        for (int k = 0; k < into.Length; k++) from[k].CopyTo(into[k], 0);
    }

    /// <summary>Height of the thread's bar over the ground's unevenness, median over the strips; not a number where no ground is free.</summary>
    private static double Contrast(IReadOnlyList<ProjectedStrip> strips, double[][] centres, ThreadTemplate thread, TracingSettings settings)
    {
        var rows = new TemplateRows(thread);
        double[] seen = [.. strips.Select((s, k) => ThreadTracer.Contrast(s, rows, centres[k], settings)).Where(double.IsFinite)];
        return seen.Length == 0 ? double.NaN : UpperMedian.Of(seen);
    }

    /// <summary>
    /// Where in the furrow the thread lies: between the place where the cloth changes most along the line (stitches come and go) and the place of the bar that
    /// was seen, each weighed by how sure it is. A faint bar beside a tall shadow may be the shadow itself; a clear one in a slight shadow is the thread.
    /// The scales are those of photos of three unrelated photo makers.
    /// </summary>
    private static (double Mm, double U) Place(double changeMm, double height, double barMm, double shadowShare, double contrast)
    {
        const double mostApartMm = 0.3, doubtPerApart = 0.3, bluntMm = 0.05, clear = 8, faintMm = 0.3, shadowMm = 0.33, tallest = 3, leastBarMm = 0.03;
        double apart = Math.Abs(changeMm - barMm), doubt = doubtPerApart * Math.Min(apart, mostApartMm), blunt = bluntMm / height;
        double changeVariance = LeastUMm * LeastUMm + doubt * doubt + blunt * blunt;
        double faint = faintMm * (double.IsFinite(contrast) ? Math.Clamp(1 - contrast / clear, 0, 1) : 1), tall = Math.Min(tallest, shadowShare), shade = shadowMm * tall * tall * tall;
        double barVariance = leastBarMm * leastBarMm + faint * faint + shade * shade;
        // Close together, both see a part of the thread.
        double most = 0.6 + 0.4 * Math.Clamp((apart - 0.15) / 0.15, 0, 1), share = Math.Min(most, barVariance / (barVariance + changeVariance));
        double own = share * share * changeVariance + (1 - share) * (1 - share) * barVariance, between = share * (1 - share) * apart * apart;
        return (barMm + share * (changeMm - barMm), Math.Max(LeastUMm, Math.Sqrt(own + between)));
    }
}
