using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Testing.Scene;

namespace Analyzer.Testing;

/// <summary>What is true of a rendered photo, in the frames of the measuring contract. Made by the renderer's own geometry, never by measuring.</summary>
/// <remarks>
/// "Block mm" is the plane rectified by the homography of the four true corners in the photo, lens distortion and all:
/// needle holes were traced through camera and lens into the photo and from there back through that homography.
/// </remarks>
public sealed record SceneTruth
{
    public required int Seed { get; init; }

    public string Tier { get; init; } = "";

    public string Description { get; init; } = "";

    public string GridName { get; init; } = "";

    public required int WidthPx { get; init; }

    public required int HeightPx { get; init; }

    public required IntendedGrid Grid { get; init; }

    /// <summary>Top-left, top-right, bottom-right, bottom-left of the finished block in the photo, as truly projected; uncertainty 0.</summary>
    public required BlockCorners Corners { get; init; }

    /// <summary>Photo px from block mm: the homography of the four true corners.</summary>
    public Homography PhotoFromBlock => Homography.FromFourPoints(
        [.. Grid.Size.Corners().Select(c => (c.Xmm, c.Ymm))], [.. Corners.ToArray().Select(p => (p.X, p.Y))]);

    /// <summary>Corners of an ID-1 card (85.60 mm x 53.98 mm, its rounded corners made sharp) in the photo, or empty.</summary>
    public IReadOnlyList<PhotoPoint> CardCornersPx { get; init; } = [];

    /// <summary>Smallest and largest scale over the block, px per mm.</summary>
    public required double PixelsPerMmLowest { get; init; }

    public required double PixelsPerMmHighest { get; init; }

    /// <summary>One per intended line, in the grid's order.</summary>
    public required IReadOnlyList<LineTruth> Lines { get; init; }

    /// <summary>Stitched lines that belong to no family: holes in block mm.</summary>
    public IReadOnlyList<IReadOnlyList<BlockPoint>> ExtraLines { get; init; } = [];

    /// <summary>Every pair of stitched lines at every intended crossing.</summary>
    public IReadOnlyList<CrossingTruth> Crossings { get; init; } = [];

    /// <summary>Bounces at the ditch that were sewn round; empty where every line was sewn by itself.</summary>
    public IReadOnlyList<TurnTruth> Turns { get; init; } = [];

    public LineTruth Line(string id) => Lines.First(l => l.Id == id);
}

/// <summary>One rounded bounce: how far the arc's middle lies from where the straight runs would have met, block mm, and the circle's radius.</summary>
public sealed record TurnTruth(string LineA, string LineB, BlockPoint CornerMm, double AngleDeg, double RadiusMm, double CutOffMm);

/// <summary>The truth of one intended line. Angle and deviation are positive toward the family's n at growing along.</summary>
public sealed record LineTruth
{
    public required string Id { get; init; }

    public required int Family { get; init; }

    public required int Index { get; init; }

    public bool IsMissing { get; init; }

    /// <summary>Needle holes in block mm; the thread's centre runs straight from hole to hole. Empty when missing.</summary>
    public IReadOnlyList<BlockPoint> Holes { get; init; } = [];

    /// <summary>Deviation of the thread's centre from the intended line at 1 mm steps along it, mm, by the contract (with lens).</summary>
    public IReadOnlyList<DeviationSample> Samples { get; init; } = [];

    /// <summary>Mean and slope line, straightness of <see cref="Samples"/>.</summary>
    public LineSummary Summary { get; init; } = new();

    /// <summary>The same without lens distortion: the plane rectified by its own four corners.</summary>
    public IReadOnlyList<DeviationSample> IdealSamples { get; init; } = [];

    public LineSummary IdealSummary { get; init; } = new();

    /// <summary>Where the first and last hole lie beyond the block's edge along the line, mm; negative = short of it.</summary>
    public double OvershootStartMm { get; init; }

    public double OvershootEndMm { get; init; }

    /// <summary>Mean stitch length, mm.</summary>
    public double StitchLengthMm { get; init; }

    /// <summary>Mean squares of the causes, ideal plane.</summary>
    public LineCauses Causes { get; init; } = new();

    /// <summary>Mean square of the common distortion's part at this line, mm², ideal plane.</summary>
    public double DistortionMeanSquare { get; init; }

    /// <summary>The drawn mark in block mm, or empty.</summary>
    public IReadOnlyList<BlockPoint> Mark { get; init; } = [];

    public IReadOnlyList<DeviationSample> MarkSamples { get; init; } = [];

    public LineSummary MarkSummary { get; init; } = new();

    /// <summary>The thread's path from hole to hole in dense steps, block mm.</summary>
    public IReadOnlyList<BlockPoint> PathMm(double stepMm = 0.25)
    {
        var path = new List<BlockPoint>();
        for (int i = 0; i + 1 < Holes.Count; i++)
        {
            int steps = Math.Max(1, (int)Math.Ceiling(Holes[i].DistanceTo(Holes[i + 1]) / stepMm));
            for (int k = 0; k < steps; k++)
            {
                double t = (double)k / steps;
                path.Add(new BlockPoint(Holes[i].Xmm + t * (Holes[i + 1].Xmm - Holes[i].Xmm), Holes[i].Ymm + t * (Holes[i + 1].Ymm - Holes[i].Ymm)));
            }
        }
        if (Holes.Count > 0) path.Add(Holes[^1]);
        return path;
    }
}

public readonly record struct DeviationSample(double AlongMm, double DeviationMm);

/// <summary>Least-squares reference line of the samples: offset at the intended line's mid-length, angle; and ISO 12780-1 STRt and STRq about it.</summary>
public sealed record LineSummary
{
    public double OffsetMm { get; init; }

    /// <summary>Slope of deviation against along as an angle, degrees.</summary>
    public double AngleDeg { get; init; }

    public double StraightnessTotalMm { get; init; }

    public double StraightnessRmsMm { get; init; }
}

/// <summary>Where two stitched lines truly cross near an intended crossing, block mm.</summary>
public sealed record CrossingTruth(string NodeId, string LineA, string LineB, BlockPoint IntendedMm, BlockPoint AtMm);
