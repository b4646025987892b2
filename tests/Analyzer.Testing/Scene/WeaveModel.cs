using Analyzer.Testing.Noise;

namespace Analyzer.Testing.Scene;

/// <summary>Brightness of woven cloth at a point of the plane, about 1.</summary>
internal sealed class WeaveModel
{
    private readonly Weave _kind;
    private readonly double _yarn, _cos, _sin;
    private readonly float _contrast;
    private readonly uint _seed;

    /// <param name="texelsPerMm">Resolution it will be sampled at: yarns finer than two texels fade out instead of making a moiré.</param>
    public WeaveModel(ClothSettings cloth, double texelsPerMm, uint seed)
    {
        _kind = cloth.WeaveContrast > 0 ? cloth.Weave : Weave.None;
        _yarn = cloth.YarnMm;
        (_sin, _cos) = Math.SinCos(cloth.GrainDeg * Math.PI / 180);
        double fade = Math.Clamp((_yarn * texelsPerMm - 1.6) / 2, 0.15, 1);
        _contrast = (float)(cloth.WeaveContrast * fade);
        _seed = seed;
    }

    /// <summary>Whether the yarn on top is a warp yarn (the weft may have another tint).</summary>
    public bool IsWarp(double xMm, double yMm)
    {
        double gx = (_cos * xMm - _sin * yMm) / _yarn, gy = (_sin * xMm + _cos * yMm) / _yarn;
        float bend = SmoothNoise.Value(gx * 0.07, gy * 0.07, _seed);
        return WarpUp((int)Math.Floor(gx + 0.5 * bend), (int)Math.Floor(gy - 0.4 * bend));
    }

    public float At(double xMm, double yMm)
    {
        if (_kind == Weave.None) return 1;
        double gx = (_cos * xMm - _sin * yMm) / _yarn, gy = (_sin * xMm + _cos * yMm) / _yarn;
        // Yarns are never quite straight or even.
        float bend = SmoothNoise.Value(gx * 0.07, gy * 0.07, _seed);
        double u = gx + 0.5 * bend, v = gy - 0.4 * bend;
        int iu = (int)Math.Floor(u), iv = (int)Math.Floor(v);
        float fu = (float)(u - iu) - 0.5f, fv = (float)(v - iv) - 0.5f;
        bool warpUp = WarpUp(iu, iv);
        float across = warpUp ? fu : fv, along = warpUp ? fv : fu;
        float round = 1 - 4 * across * across, dip = 1 - 2.2f * along * along;
        float yarnTone = warpUp ? SmoothNoise.Unit(iu, 7, _seed) : SmoothNoise.Unit(iv, 13, _seed);
        float slub = _kind == Weave.Linen
            ? 0.9f * SmoothNoise.Value(warpUp ? iu * 3.7 : u * 0.08, warpUp ? v * 0.08 : iv * 3.7, _seed + 5)
            : 0.35f * SmoothNoise.Value(warpUp ? iu * 3.7 : u * 0.3, warpUp ? v * 0.3 : iv * 3.7, _seed + 5);
        float fibre = SmoothNoise.Unit((int)(xMm * 11), (int)(yMm * 11), _seed + 9) - 0.5f;
        float crossing = warpUp ? 0.15f : -0.15f;
        return 1 + _contrast * (1.6f * (round * dip - 0.55f) + 0.9f * (yarnTone - 0.5f) + slub + 0.35f * fibre + crossing);
    }

    private bool WarpUp(int iu, int iv) => _kind switch
    {
        Weave.Twill => ((iu + iv) & 3) < 2,
        Weave.Basket => (((iu >> 1) + (iv >> 1)) & 1) == 0,
        Weave.Sateen => (iu * 2 + iv) % 5 != 0,
        _ => ((iu + iv) & 1) == 0,
    };
}
