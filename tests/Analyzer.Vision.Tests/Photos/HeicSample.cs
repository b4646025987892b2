namespace Analyzer.Vision.Tests.Photos;

/// <summary>A photo as phones write it, made once elsewhere because no library here writes HEIC.</summary>
internal static class HeicSample
{
    /// <summary>64 x 64, a ramp drawn from blue at the left to red at the right, written by heif-enc of libheif 1.15.1.</summary>
    private const string Base64 = "AAAAHGZ0eXBoZWljAAAAAG1pZjFoZWljbWlhZgAAAUBtZXRhAAAAAAAAACFoZGxyAAAAAAAAAABwaWN0AAAAAAAAAAAAAAAAAAAAAA5waXRtAAAAAAABAAAAImlsb2MAAAAAREAAAQABAAAAAAFkAAEAAAAAAAAALAAAACNpaW5mAAAAAAABAAAAFWluZmUCAAAAAAEAAGh2YzEAAAAAwGlwcnAAAACiaXBjbwAAAHZodmNDAQQIAAAAAAAAAAAAHvAA/P36+gAADwMgAAEAF0ABDAH//wQIAAADAJ24AAADAAAeugJAIQABACpCAQEECAAAAwCduAAAAwAAHqAggQTZbqSSmubgQEDAgAAAAwCAAAADAIQiAAEAB0QBwXKwIkAAAAAUaXNwZQAAAAAAAABAAAAAQAAAABBwaXhpAAAAAAMKCgoAAAAWaXBtYQAAAAAAAAABAAEDgQKDAAAANG1kYXQAAAAoKAGvGYD3hnyxYYnCHBkQoBwCvaanU57gg5KbiEy+B4CtkHZx0vDH4A==";

    public static byte[] Bytes() => Convert.FromBase64String(Base64);
}
