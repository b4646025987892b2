using System.Globalization;

namespace Analyzer.Reporting;

/// <summary>When a photo was taken, as a person writes it.</summary>
internal static class TakenOnWords
{
    /// <summary>"12 March 2026, 10:14" of "2026-03-12T10:14:05"; what is not of that form stays as it is.</summary>
    public static string Of(string takenOn) => DateTime.TryParseExact(takenOn, "yyyy-MM-dd'T'HH:mm:ss", CultureInfo.InvariantCulture, DateTimeStyles.None, out DateTime moment)
        ? moment.ToString("d MMMM yyyy, HH:mm", CultureInfo.InvariantCulture)
        : takenOn;
}
