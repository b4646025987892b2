using System.Security.Cryptography;
using System.Text;

namespace Analyzer.Reporting;

/// <summary>Two runs into one folder put their files in place one after the other, so that the files of one report belong together.</summary>
internal sealed class FolderTurn : IDisposable
{
    private static readonly TimeSpan Longest = TimeSpan.FromSeconds(30);

    private readonly FileStream? _held;

    private FolderTurn(FileStream? held) => _held = held;

    /// <summary>Waits for the folder's lock, which lies in the system's folder for temporary files. Where none can be had, goes on without.</summary>
    public static FolderTurn Take(string folder)
    {
        string path;
        try
        {
            string key = Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(Path.GetFullPath(folder))))[..16];
            string place = Path.Combine(Path.GetTempPath(), "stitch-accuracy-analyzer");
            Directory.CreateDirectory(place);
            path = Path.Combine(place, $"folder-{key}.lock");
        }
        catch (Exception trouble) when (trouble is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            return new FolderTurn(null);
        }
        long end = Environment.TickCount64 + (long)Longest.TotalMilliseconds;
        while (Environment.TickCount64 < end)
        {
            try
            {
                return new FolderTurn(new FileStream(path, FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None));
            }
            catch (IOException)
            {
                Thread.Sleep(40);
            }
            catch (UnauthorizedAccessException)
            {
                break;
            }
        }
        return new FolderTurn(null);
    }

    public void Dispose() => _held?.Dispose();
}
