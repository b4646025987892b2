namespace Analyzer.Vision.Photos;

/// <summary>A picture that cannot be used, told in one sentence: what is wrong, where, and what to do.</summary>
public sealed class PhotoException : Exception
{
    public PhotoException(string code, string message, Exception? inner = null)
        : base(message, inner) => Code = code;

    /// <summary>Stable short code, such as "truncated" or "too-large".</summary>
    public string Code { get; }
}
