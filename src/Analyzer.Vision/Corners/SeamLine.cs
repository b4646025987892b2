using System.Runtime.CompilerServices;

namespace Analyzer.Vision.Corners;

/// <summary>A long straight seam candidate in the small picture: cos·x + sin·y = rho.</summary>
internal sealed class SeamLine
{
    private readonly float[] _sum;
    private readonly double _first;

    public SeamLine(EvidenceMap map, double thetaRad, double rho, double votes)
    {
        ThetaRad = thetaRad;
        Rho = rho;
        Votes = votes;
        (Sin, Cos) = Math.SinCos(thetaRad);
        double reach = Math.Sqrt((double)map.Width * map.Width + (double)map.Height * map.Height);
        _first = -reach;
        _sum = new float[(int)(reach * Steps) + 2];
        Fill(map, EvidenceMap.SectorOf(thetaRad));
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Fill(EvidenceMap map, int sector)
    {
        for (int i = 0; i + 1 < _sum.Length; i++)
        {
            (double x, double y) = At(_first + i * 2.0 / Steps);
            _sum[i + 1] = _sum[i] + map.SeamNear(x, y, sector) / 255f;
        }
    }

    /// <summary>Two looks per two pixels of length.</summary>
    private const int Steps = 1;

    public double ThetaRad { get; }

    public double Rho { get; }

    public double Votes { get; }

    public double Cos { get; }

    public double Sin { get; }

    /// <summary>The point at distance t along the line from the foot of the origin.</summary>
    public (double X, double Y) At(double t) => (Rho * Cos - t * Sin, Rho * Sin + t * Cos);

    public double Along(double x, double y) => -x * Sin + y * Cos;

    /// <summary>Share of the stretch between two places along the line that shows a seam, 0..1.</summary>
    public double Support(double t1, double t2)
    {
        int a = Index(Math.Min(t1, t2)), b = Index(Math.Max(t1, t2));
        return b - a < 2 ? 0 : (_sum[b] - _sum[a]) / (b - a);
    }

    public (double X, double Y)? Meets(SeamLine other)
    {
        double det = Cos * other.Sin - Sin * other.Cos;
        return Math.Abs(det) < 0.2 ? null : ((Rho * other.Sin - other.Rho * Sin) / det, (Cos * other.Rho - other.Cos * Rho) / det);
    }

    private int Index(double t) => Math.Clamp((int)((t - _first) * Steps / 2 + 0.5), 0, _sum.Length - 1);
}
