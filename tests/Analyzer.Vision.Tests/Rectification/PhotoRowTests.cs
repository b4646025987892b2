using Analyzer.Core.Geometry;
using Analyzer.Vision.Rectification;
using OpenCvSharp;

namespace Analyzer.Vision.Tests.Rectification;

/// <summary>Truth: another implementation, OpenCV's own perspective warp of the same picture.</summary>
public class PhotoRowTests
{
    private const int Wide = 300, High = 90, Cols = 240, Rows = 160;

    /// <summary>A place that falls on the border between two parts of a pixel may be put to either: one part in 32 of the largest step between two pixels.</summary>
    private const int OnePart = 8;

    [Theory]
    [InlineData(0.7, 0.1, 20, -0.1, 0.8, 30, 1e-4, 2e-4)]
    [InlineData(0.02, -1.1, 120, 1.2, 0.05, 3, -3e-4, 1e-4)]
    public void Read_WithinThePhotoAndBeyondItsRim_IsOpenCvsPerspectiveWarp(double a, double b, double c, double d, double e, double f, double g, double h)
    {
        using Mat photo = Noise();
        var photoFromRaster = new Homography([a, b, c, d, e, f, g, h, 1]);
        using Mat matrix = Mat.FromPixelData(3, 3, MatType.CV_64FC1, photoFromRaster.Rows.ToArray());
        using var warped = new Mat();
        Cv2.WarpPerspective(photo, warped, matrix, new Size(Wide, High), InterpolationFlags.Linear | InterpolationFlags.WarpInverseMap, BorderTypes.Replicate);
        int same = 0, all = 0;
        var row = new byte[3 * Wide];
        for (int y = 0; y < High; y++)
        {
            PhotoRow.Of(photoFromRaster, 0, y, 1, 0).Read(new BgrPixels(photo), row);
            for (int x = 0; x < Wide; x++)
                for (int channel = 0; channel < 3; channel++, all++)
                {
                    int theirs = warped.At<Vec3b>(y, x)[channel];
                    Assert.InRange(row[3 * x + channel], theirs - OnePart, theirs + OnePart);
                    if (row[3 * x + channel] == theirs) same++;
                }
        }
        Assert.True(same > 0.999 * all, $"{all - same} of {all} differ");
    }

    [Fact]
    public void Read_OfARow_LeavesWhatLiesBeyondIt()
    {
        using Mat photo = Noise();
        var bytes = new byte[3 * Wide + 4];
        Array.Fill(bytes, (byte)77);
        new PhotoRow(2, 3, 1, 0.5, 0.25, 0).Read(new BgrPixels(photo), bytes.AsSpan(0, 3 * Wide));
        Assert.All(bytes[(3 * Wide)..], b => Assert.Equal(77, b));
    }

    private static Mat Noise()
    {
        var random = new Random(5);
        var photo = new Mat(Rows, Cols, MatType.CV_8UC3);
        for (int y = 0; y < Rows; y++)
            for (int x = 0; x < Cols; x++) photo.Set(y, x, new Vec3b((byte)random.Next(256), (byte)random.Next(256), (byte)random.Next(256)));
        return photo;
    }
}
