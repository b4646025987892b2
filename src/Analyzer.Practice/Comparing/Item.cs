namespace Analyzer.Practice.Comparing;

/// <summary>One value that enters a mean: of a line, or of a crossing.</summary>
/// <param name="Key">Line or crossing it belongs to; equal in two blocks of one grid.</param>
/// <param name="Family">Family it counts for; -1 where it counts for the whole block only.</param>
/// <param name="Lines">The lines it depends on: what is left out together with a line.</param>
internal readonly record struct Item(string Key, int Family, double Value, double Weight, int[] Lines);
