namespace Analyzer.Vision.Stitches;

/// <summary>The places of one family's evidence that the Hough transform looks at: every second column, of each the stretch inside the block.</summary>
/// <remarks>Column by column, so that a whole column is added to the accumulator in one sweep. The same places serve every colour.</remarks>
internal sealed class ScoreColumns
{
    private const int ColumnStep = 2;

    private readonly float[] _blue, _green, _red;

    private ScoreColumns(FamilyEvidence evidence, int[] first, int[] start, float[] blue, float[] green, float[] red)
    {
        Evidence = evidence;
        First = first;
        Start = start;
        (_blue, _green, _red) = (blue, green, red);
    }

    public FamilyEvidence Evidence { get; }

    public int Cols => First.Length;

    /// <summary>Row of each column's first place.</summary>
    public int[] First { get; }

    /// <summary>Where each column begins in a score array; one entry more than there are columns.</summary>
    public int[] Start { get; }

    public int Count(int col) => Start[col + 1] - Start[col];

    public double ColumnMm => ColumnStep / Evidence.AlongPixelsPerMm;

    public static ScoreColumns Of(FamilyEvidence e, double insetMm)
    {
        int cols = (e.Cols + ColumnStep - 1) / ColumnStep;
        int[] first = new int[cols], start = new int[cols + 1];
        for (int col = 0; col < cols; col++)
        {
            (int from, int to) = RowsInside(e, e.AlongStartMm + col * ColumnStep / e.AlongPixelsPerMm, insetMm);
            first[col] = from;
            start[col + 1] = start[col] + Math.Max(0, to - from);
        }
        float[] blue = new float[start[cols]], green = new float[start[cols]], red = new float[start[cols]];
        const int bandRows = 128;
        Parallel.For(0, (e.Rows + bandRows - 1) / bandRows, band =>
        {
            ReadOnlySpan<float> bgr = e.Bgr;
            for (int row = band * bandRows; row < Math.Min(e.Rows, (band + 1) * bandRows); row++)
                for (int col = 0; col < cols; col++)
                {
                    int k = row - first[col];
                    if (k < 0 || k >= start[col + 1] - start[col]) continue;
                    int i = 3 * (row * e.Cols + col * ColumnStep), at = start[col] + k;
                    blue[at] = bgr[i];
                    green[at] = bgr[i + 1];
                    red[at] = bgr[i + 2];
                }
        });
        return new ScoreColumns(e, first, start, blue, green, red);
    }

    /// <summary>Rows (first, one after last) whose places at u·p lie inside the block.</summary>
    private static (int From, int To) RowsInside(FamilyEvidence e, double alongMm, double insetMm)
    {
        // p = u·s + n·t: clip t by the inset block.
        double from = double.NegativeInfinity, to = double.PositiveInfinity;
        Clip(e.Family.AlongX * alongMm, e.Family.AcrossX, e.Size.WidthMm);
        Clip(e.Family.AlongY * alongMm, e.Family.AcrossY, e.Size.HeightMm);
        if (!(to > from)) return (0, 0);
        int first = Math.Max(0, (int)Math.Floor((from - e.AcrossStartMm) * e.PixelsPerMm) + 1), last = Math.Min(e.Rows - 1, (int)Math.Ceiling((to - e.AcrossStartMm) * e.PixelsPerMm) - 1);
        return last >= first ? (first, last + 1) : (0, 0);

        void Clip(double at, double growth, double end)
        {
            if (Math.Abs(growth) < 1e-12)
            {
                if (at <= insetMm || at >= end - insetMm) (from, to) = (1, 0);
                return;
            }
            double a = (insetMm - at) / growth, b = (end - insetMm - at) / growth;
            from = Math.Max(from, Math.Min(a, b));
            to = Math.Min(to, Math.Max(a, b));
        }
    }

    /// <summary>Strength of every place, within limits.</summary>
    public float[] Strengths(in StrengthMeasure measure, float least, float most)
    {
        const int piece = 100_000;
        var result = new float[_blue.Length];
        StrengthMeasure own = measure;
        Parallel.For(0, (result.Length + piece - 1) / piece, p =>
        {
            for (int i = p * piece; i < Math.Min(result.Length, (p + 1) * piece); i++) result[i] = Math.Clamp(own.Of(_blue[i], _green[i], _red[i]), least, most);
        });
        return result;
    }
}

/// <summary>One number per place for the Hough transform: how much it looks like stitching, less the median.</summary>
internal sealed class ScoreMap
{
    private ScoreMap(ScoreColumns columns, float[] score)
    {
        Columns = columns;
        Score = score;
    }

    public ScoreColumns Columns { get; }

    /// <summary>Column by column, as <see cref="ScoreColumns.Start"/> tells.</summary>
    public float[] Score { get; }

    /// <summary>Strength in noise units whatever the colour: thread lighter, darker or of another hue.</summary>
    public static ScoreMap AnyColour(ScoreColumns columns, EvidenceSettings settings, ColourCovariance noise) =>
        Build(columns, columns.Strengths(StrengthMeasure.AnyColour(noise), 0, (float)settings.Cap));

    /// <summary>Strength in noise units of one colour direction; the opposite counts against.</summary>
    public static ScoreMap OfColour(ScoreColumns columns, EvidenceSettings settings, Colour3 discriminant) =>
        Build(columns, columns.Strengths(StrengthMeasure.Along(discriminant), -2, (float)settings.Cap));

    /// <summary>Largest of three rows (a line may wander a little between columns), less the median.</summary>
    private static ScoreMap Build(ScoreColumns columns, float[] raw)
    {
        var pooled = new float[raw.Length];
        for (int col = 0; col < columns.Cols; col++)
        {
            int start = columns.Start[col], end = columns.Start[col + 1];
            for (int i = start; i < end; i++)
            {
                float v = raw[i];
                if (i > start) v = MathF.Max(v, raw[i - 1]);
                if (i + 1 < end) v = MathF.Max(v, raw[i + 1]);
                pooled[i] = v;
            }
        }
        var sample = new List<float>(pooled.Length / 29 + 1);
        for (int i = 0; i < pooled.Length; i += 29) sample.Add(pooled[i]);
        sample.Sort();
        float median = sample.Count > 0 ? sample[sample.Count / 2] : 0;
        for (int i = 0; i < pooled.Length; i++) pooled[i] -= median;
        return new ScoreMap(columns, pooled);
    }
}
