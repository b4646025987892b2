using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Tests.Statistics;

/// <summary>External check F1, the negative control: pooled samples raise false alarms in two of three pairs, whole lines do not.</summary>
public class FalseAlarmTests
{
    [Fact]
    public void PooledSamples_RaiseFalseAlarms_WholeLinesDoNot()
    {
        const int pairs = 400, lines = 10, samples = 100;
        int pooled = 0, byLine = 0;
        for (int pair = 0; pair < pairs; pair++)
        {
            var random = new Random(1000 + pair);
            double[][] before = Block(random, lines, samples), after = Block(random, lines, samples);
            double f = Samples.Variance([.. before.SelectMany(l => l)]) / Samples.Variance([.. after.SelectMany(l => l)]);
            double p = MathNet.Numerics.Distributions.FisherSnedecor.CDF(lines * samples - 1, lines * samples - 1, f);
            if (2 * Math.Min(p, 1 - p) < 0.05) pooled++;
            if (Samples.WelchT([.. before.Select(LogRms)], [.. after.Select(LogRms)]).P < 0.05) byLine++;
        }
        // F1: 68 % and 4.8 %; of 400 pairs two standard errors are 4.7 and 2.2 points. The tool's own must sit in 3 to 7 %.
        Assert.InRange(100.0 * pooled / pairs, 60, 76);
        Assert.InRange(100.0 * byLine / pairs, 3, 7);
    }

    private static double LogRms(double[] line) => Math.Log(Math.Sqrt(line.Average(v => v * v)));

    private static double[][] Block(Random random, int lines, int samples)
    {
        double Normal() => MathNet.Numerics.Distributions.Normal.Sample(random, 0, 1);
        var block = new double[lines][];
        for (int l = 0; l < lines; l++)
        {
            double scale = Math.Exp(0.25 * Normal()), value = Normal();
            block[l] = new double[samples];
            for (int i = 0; i < samples; i++)
            {
                value = 0.9 * value + Math.Sqrt(1 - 0.81) * Normal();
                block[l][i] = scale * value;
            }
        }
        return block;
    }
}
