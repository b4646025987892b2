using System.Security.Cryptography;
using System.Text;

namespace Analyzer.Web.Safety;

/// <summary>A secret of this run that only the workbench's own pages know; every write must bring it.</summary>
internal sealed class WriteToken
{
    public const string Header = "X-Workbench-Token";

    private readonly byte[] _bytes;

    public WriteToken()
    {
        Text = Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(32));
        _bytes = Encoding.ASCII.GetBytes(Text);
    }

    public string Text { get; }

    public bool Matches(string? given) =>
        given is { Length: > 0 and < 200 } && CryptographicOperations.FixedTimeEquals(_bytes, Encoding.UTF8.GetBytes(given));
}
