namespace Analyzer.Web.Blocks;

/// <summary>A photo's name for showing. It is never part of a path.</summary>
internal static class DisplayName
{
    public const int Longest = 80;

    public static string Of(string? given)
    {
        string name = (given ?? "").Split('/', '\\')[^1];
        // Control characters and marks that turn the writing direction do not belong in a name.
        name = new string([.. name.Where(c => !char.IsControl(c) && char.GetUnicodeCategory(c) is not (System.Globalization.UnicodeCategory.Format or System.Globalization.UnicodeCategory.Surrogate))]).Trim();
        if (name.Length == 0) return "photo";
        return name.Length <= Longest ? name : name[..(Longest - 1)] + "…";
    }
}
