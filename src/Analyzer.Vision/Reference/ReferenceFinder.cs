using Analyzer.Core.Geometry;
using Analyzer.Core.Pattern;
using Analyzer.Core.Reference;
using Analyzer.Vision.Corners;
using Analyzer.Vision.Photos;

namespace Analyzer.Vision.Reference;

/// <summary>Looks for a reference of known size beside the block.</summary>
public static class ReferenceFinder
{
    /// <summary>ISO/IEC 7810 ID-1: bank, library and identity cards, mm.</summary>
    public const double CardWidthMm = 85.60, CardHeightMm = 53.98;

    /// <summary>Fewest marks of the corner rule that give scale in both directions.</summary>
    private const int FewestMarks = 2;

    /// <summary>The corner rule when its marks are seen; otherwise, when asked for, a card.</summary>
    public static ScaleCheck? Check(Photo photo, BlockCorners corners, BlockSize size, bool lookForCard)
    {
        return Check(photo, ReferenceMarks.Find(photo), corners, size, lookForCard);
    }

    /// <summary>The same with marks that were found already.</summary>
    public static ScaleCheck? Check(Photo photo, IReadOnlyDictionary<int, PhotoPoint[]> found, BlockCorners corners, BlockSize size, bool lookForCard)
    {
        Dictionary<int, PhotoPoint[]> marks = found.Where(p => CornerRule.Marks.Any(m => m.Id == p.Key)).ToDictionary(p => p.Key, p => p.Value);
        if (marks.Count >= FewestMarks) return ScaleCheck.Of("corner rule", Pairs(marks), corners, size);
        if (!lookForCard || CardFinder.Find(photo, corners, size) is not { } card) return null;
        BlockPoint[] truth = [new(0, 0), new(CardWidthMm, 0), new(CardWidthMm, CardHeightMm), new(0, CardHeightMm)];
        return ScaleCheck.Of("card", [.. truth.Zip(card)], corners, size);
    }

    private static List<(BlockPoint True, PhotoPoint Seen)> Pairs(Dictionary<int, PhotoPoint[]> marks)
    {
        var pairs = new List<(BlockPoint, PhotoPoint)>();
        foreach (RuleMark mark in CornerRule.Marks)
            if (marks.TryGetValue(mark.Id, out PhotoPoint[]? seen)) pairs.AddRange(mark.Corners().Zip(seen));
        return pairs;
    }
}
