namespace Analyzer.Core.Report;

/// <summary>The rectified block as a picture. Block millimetre (x, y) lies at pixel ((x + MarginMm)·PixelsPerMm, (y + MarginMm)·PixelsPerMm).</summary>
/// <param name="Encoded">JPEG or PNG bytes.</param>
/// <param name="MediaType">"image/jpeg" or "image/png".</param>
/// <param name="MarginMm">How much of the surroundings is shown on each side, mm.</param>
public sealed record BlockPicture(byte[] Encoded, string MediaType, int WidthPx, int HeightPx, double PixelsPerMm, double MarginMm);
