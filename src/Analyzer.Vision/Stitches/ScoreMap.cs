namespace Analyzer.Vision.Stitches;

/// <summary>One number per place for the Hough transform: how much it looks like stitching. Columns 1 mm apart along, rows as in the evidence.</summary>
internal sealed class ScoreMap
{
    private ScoreMap(FamilyEvidence evidence, float[] score, bool[] inside, int cols)
    {
        Evidence = evidence;
        Score = score;
        Inside = inside;
        Cols = cols;
    }

    public FamilyEvidence Evidence { get; }

    /// <summary>Row-major, less the median; zero outside the block.</summary>
    public float[] Score { get; }

    public bool[] Inside { get; }

    public int Cols { get; }

    public int Rows => Evidence.Rows;

    /// <summary>Strength in noise units whatever the colour: thread lighter, darker or of another hue.</summary>
    public static ScoreMap AnyColour(FamilyEvidence evidence, EvidenceSettings settings) =>
        Build(evidence, settings, v => Math.Min(settings.Cap, Math.Sqrt(evidence.Noise.SquaredDistance(v))));

    /// <summary>Strength in noise units of one colour direction; the opposite counts against.</summary>
    public static ScoreMap OfColour(FamilyEvidence evidence, EvidenceSettings settings, Colour3 discriminant) =>
        Build(evidence, settings, v => Math.Clamp(discriminant.Dot(v), -2, settings.Cap));

    private static ScoreMap Build(FamilyEvidence evidence, EvidenceSettings settings, Func<Colour3, double> strength)
    {
        int step = (int)Math.Round(evidence.PixelsPerMm);
        int cols = (evidence.Cols + step - 1) / step;
        var raw = new float[cols * evidence.Rows];
        var inside = new bool[raw.Length];
        for (int row = 0; row < evidence.Rows; row++)
        {
            double across = evidence.AcrossStartMm + row / evidence.PixelsPerMm;
            for (int col = 0; col < cols; col++)
            {
                if (!evidence.Inside(evidence.AlongStartMm + col * step / evidence.PixelsPerMm, across, settings.EdgeInsetMm)) continue;
                inside[row * cols + col] = true;
                raw[row * cols + col] = (float)strength(evidence.At(col * step, row));
            }
        }
        return new ScoreMap(evidence, Pooled(raw, inside, cols, evidence.Rows), inside, cols);
    }

    /// <summary>Largest of three rows (a line may wander a little between columns), less the median.</summary>
    private static float[] Pooled(float[] raw, bool[] inside, int cols, int rows)
    {
        var pooled = new float[raw.Length];
        var sample = new List<float>();
        for (int row = 0; row < rows; row++)
            for (int col = 0; col < cols; col++)
            {
                int i = row * cols + col;
                if (!inside[i]) continue;
                float v = raw[i];
                if (row > 0 && inside[i - cols]) v = Math.Max(v, raw[i - cols]);
                if (row + 1 < rows && inside[i + cols]) v = Math.Max(v, raw[i + cols]);
                pooled[i] = v;
                if (i % 7 == 0) sample.Add(v);
            }
        sample.Sort();
        float median = sample.Count > 0 ? sample[sample.Count / 2] : 0;
        for (int i = 0; i < pooled.Length; i++)
            if (inside[i]) pooled[i] -= median;
        return pooled;
    }
}
