namespace Analyzer.Vision.Photos;

/// <summary>The first page of a TIFF file (TIFF 6.0).</summary>
internal static class TiffHeader
{
    public static ImageHeader Read(ReadOnlyMemory<byte> file)
    {
        TiffDirectory? first = TiffDirectory.First(file);
        if (first?.Number(256) is not { } width || first.Number(257) is not { } height)
            return new ImageHeader(ImageFormat.Tiff, 0, 0) { IsCut = true };
        double photometric = first.Number(262) ?? 2, samples = first.Number(277) ?? 1;
        return new ImageHeader(ImageFormat.Tiff, (int)Math.Min(width, int.MaxValue), (int)Math.Min(height, int.MaxValue))
        {
            IsCmyk = photometric == 5,
            HasAlpha = first.Count(338) > 0 || (photometric == 2 && samples > 3),
            IsCut = EndsBeyond(first, 273, 279, file.Length) || EndsBeyond(first, 324, 325, file.Length),
            Exif = file,
            Icc = first.Bytes(34675),
        };
    }

    /// <summary>Whether a strip (tags 273, 279) or tile (324, 325) lies beyond the end of the file.</summary>
    private static bool EndsBeyond(TiffDirectory page, int offsets, int lengths, int fileLength)
    {
        for (int i = 0; i < page.Count(offsets); i++)
            if (page.Number(offsets, i) + (page.Number(lengths, i) ?? 0) > fileLength) return true;
        return false;
    }
}
