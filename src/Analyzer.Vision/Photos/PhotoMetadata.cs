namespace Analyzer.Vision.Photos;

/// <summary>What the camera wrote beside the pixels. Null where it wrote nothing.</summary>
/// <param name="TakenOn">Local date and time as "yyyy-MM-ddTHH:mm:ss".</param>
/// <param name="Camera">Maker and model.</param>
/// <param name="FocalLengthMm">True focal length, mm.</param>
/// <param name="FocalLength35Mm">Focal length that gives the same view on 36 mm x 24 mm film, mm.</param>
/// <param name="Orientation">EXIF orientation 1 to 8 (EXIF 2.3, tag 0x0112); 1 when absent or senseless.</param>
public sealed record PhotoMetadata(string? TakenOn, string? Camera, double? FocalLengthMm, double? FocalLength35Mm, int Orientation)
{
    public static PhotoMetadata None { get; } = new(null, null, null, null, 1);
}
