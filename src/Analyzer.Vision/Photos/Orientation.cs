using OpenCvSharp;

namespace Analyzer.Vision.Photos;

/// <summary>Turns stored pixels upright.</summary>
internal static class Orientation
{
    /// <summary>EXIF 2.3, tag 0x0112: 2 mirrored, 3 half turn, 4 flipped, 5 transposed, 6 needs a quarter turn clockwise, 7 transverse, 8 needs one counter-clockwise.</summary>
    /// <returns>The same picture when it is upright already; otherwise a new one, and the old one is released.</returns>
    public static Mat Upright(Mat stored, int orientation)
    {
        if (orientation is <= 1 or > 8) return stored;
        var upright = new Mat();
        switch (orientation)
        {
            case 2: Cv2.Flip(stored, upright, FlipMode.Y); break;
            case 3: Cv2.Rotate(stored, upright, RotateFlags.Rotate180); break;
            case 4: Cv2.Flip(stored, upright, FlipMode.X); break;
            case 5: Cv2.Transpose(stored, upright); break;
            case 6: Cv2.Rotate(stored, upright, RotateFlags.Rotate90Clockwise); break;
            case 7:
                using (var half = new Mat())
                {
                    Cv2.Rotate(stored, half, RotateFlags.Rotate180);
                    Cv2.Transpose(half, upright);
                }
                break;
            default: Cv2.Rotate(stored, upright, RotateFlags.Rotate90Counterclockwise); break;
        }
        stored.Dispose();
        return upright;
    }
}
