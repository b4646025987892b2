namespace Analyzer.Vision.Tracing;

/// <summary>The thread's profile across a line, learned from the block: a bar of some width, blurred, with its place in the mean profile.</summary>
/// <param name="CentreMm">Where the thread lies in the mean profile, mm from the traced path.</param>
/// <param name="WidthMm">Width of the bar.</param>
/// <param name="BlurMm">Standard deviation of the blur on the bar's edges.</param>
/// <param name="CentreUMm">Standard uncertainty of the centre: the side light's part cannot be told apart below this, mm.</param>
/// <param name="MisfitShare">Root mean square misfit of the model over the thread's height.</param>
/// <param name="ShadowShare">One-sided shadow over the thread's height: 0 for even light.</param>
internal sealed record ThreadTemplate(double CentreMm, double WidthMm, double BlurMm, double CentreUMm, double MisfitShare, double ShadowShare)
{
    /// <summary>Which side of the line, +1 or -1, looks more like thread because of the one-sided shadow.</summary>
    public int ShadowSide { get; init; }

    /// <summary>The part of <see cref="CentreUMm"/> (in squares) that comes of the light: a shadow on one side, a width that is more than the thread's, mm.</summary>
    public double LightUMm { get; init; }

    /// <summary>
    /// How far the thread's middle lies from the apparent one, mm: in strong side light its lit (or shaded) flank is seen for it, on the side away from the
    /// one-sided shadow's likeness. The share that photos of two unrelated photo makers have in common; the rest stays in the uncertainty.
    /// </summary>
    public double LitFlankMm => ShadowSide * 0.08 * Math.Clamp((ShadowShare - 0.5) / 0.7, 0, 1);

    /// <summary>Half width of the window the profile is fitted in, mm.</summary>
    public const double WindowMm = 1.3;

    /// <summary>Scale of the one-sided step that takes up furrow shadow, mm.</summary>
    public const double ShadowScaleMm = 0.35;

    public double At(double u) => Bar(u, WidthMm, BlurMm);

    public double SlopeAt(double u)
    {
        double k = 1 / (Math.Sqrt(2 * Math.PI) * BlurMm);
        double a = (u + WidthMm / 2) / BlurMm, b = (u - WidthMm / 2) / BlurMm;
        return k * (Math.Exp(-a * a / 2) - Math.Exp(-b * b / 2)) / Peak(WidthMm, BlurMm);
    }

    /// <summary>The ground's columns of the fit: level, slope, one-sided shadow, and the furrow's broad dip.</summary>
    public static double[] Ground(double u, bool oneSidedStep = true)
    {
        double dip = Math.Exp(-u * u / (2 * 0.65 * 0.65));
        return oneSidedStep ? [1, u, Math.Tanh(u / ShadowScaleMm), dip] : [1, u, dip];
    }

    public static double Bar(double u, double width, double blur)
    {
        double k = 1 / (Math.Sqrt(2) * blur);
        return 0.5 * (Erf((u + width / 2) * k) - Erf((u - width / 2) * k)) / Peak(width, blur);
    }

    private static double Peak(double width, double blur) => Math.Max(1e-9, Erf(width / 2 / (Math.Sqrt(2) * blur)));

    /// <summary>Error function, Abramowitz and Stegun 7.1.26 (absolute error below 1.5e-7).</summary>
    public static double Erf(double x)
    {
        double t = 1 / (1 + 0.3275911 * Math.Abs(x));
        double y = 1 - ((((1.061405429 * t - 1.453152027) * t + 1.421413741) * t - 0.284496736) * t + 0.254829592) * t * Math.Exp(-x * x);
        return Math.Sign(x) * y;
    }

    /// <summary>Apparent width beyond which a line is more than its thread, mm (common practice, no source: heavy quilting thread is 0.4 mm thick).</summary>
    private const double WidestThreadMm = 0.48;

    /// <summary>Half width of the profile the template is learned from, mm.</summary>
    private const double LearnedMm = 1.6;

    /// <summary>The templates tried first, each with its fit worked out once for all blocks: they depend on the strip's steps only.</summary>
    private static readonly Lazy<PreparedFit[]> Starts = new(() => MakeStarts(true)), EvenStarts = new(() => MakeStarts(false));

    private static PreparedFit[] MakeStarts(bool oneSidedStep)
    {
        var starts = new List<PreparedFit>();
        for (double blur = 0.06; blur <= 0.32; blur *= 1.6)
            for (double width = 0.12; width <= 0.65; width += 0.13)
                for (double centre = -0.3; centre <= 0.3001; centre += 0.1)
                    starts.Add(PreparedFit.Of(centre, width, blur, (int)Math.Round(LearnedMm / ThreadStrip.AcrossStepMm), ThreadStrip.AcrossStepMm, oneSidedStep));
        return [.. starts];
    }

    /// <summary>Learns the template from a mean profile sampled at the strip's steps.</summary>
    public static ThreadTemplate Learn(double[] profile, bool oneSidedStep = true)
    {
        double stepMm = ThreadStrip.AcrossStepMm;
        int middle = profile.Length / 2, half = (int)Math.Round(LearnedMm / stepMm);
        if (half > middle) throw new ArgumentException("The profile is too narrow to learn the thread from.", nameof(profile));
        double[] y = profile.AsSpan(middle - half, 2 * half + 1).ToArray();
        (double Error, double Centre, double Width, double Blur, double Height, double Shadow) best = (double.PositiveInfinity, 0, 0.3, 0.1, 1, 0);
        foreach (PreparedFit start in (oneSidedStep ? Starts : EvenStarts).Value) Try(start);
        for (double step = 0.06; step > 0.001; step /= 1.6)
        {
            (_, double c, double w, double b, _, _) = best;
            Try(PreparedFit.Of(c - step, w, b, half, stepMm, oneSidedStep));
            Try(PreparedFit.Of(c + step, w, b, half, stepMm, oneSidedStep));
            Try(PreparedFit.Of(c, Math.Max(0.08, w - step), b, half, stepMm, oneSidedStep));
            Try(PreparedFit.Of(c, w + step, b, half, stepMm, oneSidedStep));
            Try(PreparedFit.Of(c, w, Math.Max(0.05, b - step), half, stepMm, oneSidedStep));
            Try(PreparedFit.Of(c, w, b + step, half, stepMm, oneSidedStep));
        }
        double height = Math.Max(1e-9, Math.Abs(best.Height));
        double misfit = Math.Sqrt(best.Error / y.Length) / height, shadow = Math.Abs(best.Shadow) / height;
        // Wider than thread is thread with its shadow on one or both sides, or with a mark: the middle of the whole need not be the thread's.
        double tooWide = 0.5 * Math.Max(0, best.Width - WidestThreadMm), evenU = 0.006 + 0.05 * Math.Min(1, misfit), centreU = evenU + 0.15 * Math.Min(1, shadow) + tooWide;
        return new ThreadTemplate(best.Centre, best.Width, best.Blur, centreU, misfit, shadow) { ShadowSide = Math.Sign(best.Shadow), LightUMm = Math.Sqrt(centreU * centreU - evenU * evenU) };

        void Try(PreparedFit fit)
        {
            (double error, double barHeight, double shadowHeight) = fit.To(y);
            if (barHeight > 0 && error < best.Error) best = (error, fit.CentreMm, fit.WidthMm, fit.BlurMm, barHeight, shadowHeight);
        }
    }
}
