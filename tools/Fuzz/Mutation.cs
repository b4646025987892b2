namespace Analyzer.Fuzz;

/// <summary>Damage done to bytes, from a seed: flipped, cut, doubled, overwritten, or numbers put to their extremes.</summary>
internal static class Mutation
{
    private static readonly byte[] Extremes = [0, 1, 0x7F, 0x80, 0xFE, 0xFF];

    /// <param name="headShare">Share of the hits that fall into the first 64 bytes.</param>
    public static byte[] Of(byte[] source, Random random, double headShare)
    {
        byte[] b = [.. source];
        int hits = 1 + random.Next(8);
        for (int i = 0; i < hits && b.Length > 0; i++)
        {
            int at = random.NextDouble() < headShare ? random.Next(Math.Min(64, b.Length)) : random.Next(b.Length);
            switch (random.Next(7))
            {
                case 0: b[at] ^= (byte)(1 << random.Next(8)); break;
                case 1: b[at] = (byte)random.Next(256); break;
                case 2: b[at] = Extremes[random.Next(Extremes.Length)]; break;
                case 3: b = b[..at]; break;
                case 4:
                    int take = random.Next(Math.Min(200, b.Length - at) + 1);
                    b = [.. b[..(at + take)], .. b[at..]];
                    break;
                case 5:
                    var garbage = new byte[random.Next(60)];
                    random.NextBytes(garbage);
                    b = [.. b[..at], .. garbage, .. b[at..]];
                    break;
                default:
                    // A 16- or 32-bit number put to an extreme: sizes, offsets and counts.
                    int width = random.Next(2) == 0 ? 2 : 4;
                    byte value = Extremes[random.Next(Extremes.Length)];
                    for (int k = at; k < Math.Min(b.Length, at + width); k++) b[k] = value;
                    break;
            }
        }
        return b;
    }

    /// <summary>Damage to a text that is made of numbers, words and punctuation.</summary>
    public static string OfText(string source, Random random)
    {
        string text = source;
        int hits = 1 + random.Next(4);
        for (int i = 0; i < hits && text.Length > 1; i++)
        {
            int at = random.Next(text.Length), end = Math.Min(text.Length, at + random.Next(30));
            string[] pieces = ["null", "-1", "1e999", "NaN", "\"\"", "[]", "{}", "0", "99999999999999999999", "true", ",", "\"", "\0", "\u202E", "<script>", "=1+1", "\r\n", "-0.0000001"];
            int number = text.AsSpan(at).IndexOfAnyInRange('0', '9');
            text = random.Next(5) switch
            {
                0 => text[..at] + text[end..],
                1 => text[..at] + pieces[random.Next(pieces.Length)] + text[at..],
                2 => text[..at] + text[at..end] + text[at..],
                3 when number >= 0 => text[..(at + number)] + pieces[random.Next(pieces.Length)] + text[(at + number + 1)..],
                // A whole value replaced: what stands between a colon and the next comma.
                _ when text.IndexOf(':', at) is > 0 and int colon && text.IndexOf(',', colon) is > 0 and int comma => text[..(colon + 1)] + pieces[random.Next(pieces.Length)] + text[comma..],
                _ => text[..at],
            };
        }
        return text;
    }
}
