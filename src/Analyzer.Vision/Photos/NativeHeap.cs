using System.Runtime.InteropServices;

namespace Analyzer.Vision.Photos;

/// <summary>
/// What the image libraries free stays with the process, in a pool of each thread that ever asked for memory, and a batch would grow by it. Under Linux the
/// pools are emptied every few photos.
/// </summary>
internal static partial class NativeHeap
{
    private const int Every = 4;

    private static int s_photos;

    private static bool s_isMissing;

    public static void PhotoIsDone()
    {
        if (!OperatingSystem.IsLinux() || s_isMissing || Interlocked.Increment(ref s_photos) % Every != 0) return;
        try
        {
            _ = Trim(0);
        }
        catch (Exception e) when (e is EntryPointNotFoundException or DllNotFoundException)
        {
            // Not every C library has it.
            s_isMissing = true;
        }
    }

    /// <summary>malloc_trim of the GNU C library: gives unused memory of all pools back to the system.</summary>
    [LibraryImport("libc", EntryPoint = "malloc_trim")]
    [DefaultDllImportSearchPaths(DllImportSearchPath.SafeDirectories)]
    private static partial int Trim(nuint padBytes);
}
