using System.Globalization;
using System.Security.Cryptography;
using Analyzer.Planning;

namespace Analyzer.Web.Plans;

/// <summary>A plan that photos can be measured against.</summary>
/// <param name="Json">plan.json as it was made or given.</param>
internal sealed record KeptPlan(string Id, string Name, StitchPlan Plan, string Json)
{
    public string SizeText => string.Create(CultureInfo.InvariantCulture, $"{Plan.Grid.Size.WidthMm:0.####}mm x {Plan.Grid.Size.HeightMm:0.####}mm");
}

/// <summary>The plans of this run, a bounded number; the oldest goes first.</summary>
internal sealed class PlanShelf
{
    private const int Most = 20;

    private readonly Lock _gate = new();
    private readonly List<KeptPlan> _plans = [];

    /// <summary>Takes plan.json in; throws <see cref="FormatException"/> with one sentence when it is none.</summary>
    public KeptPlan Keep(string json, string? name)
    {
        StitchPlan plan = PlanFile.Read(json);
        var kept = new KeptPlan(Convert.ToHexStringLower(RandomNumberGenerator.GetBytes(16)), Name(plan, name), plan, json);
        lock (_gate)
        {
            if (_plans.Count >= Most) _plans.RemoveAt(0);
            _plans.Add(kept);
        }
        return kept;
    }

    public KeptPlan? Find(string? id)
    {
        lock (_gate) return _plans.Find(plan => plan.Id == id);
    }

    private static string Name(StitchPlan plan, string? name)
    {
        string size = string.Create(CultureInfo.InvariantCulture, $"{plan.Grid.Size.WidthMm:0.#} x {plan.Grid.Size.HeightMm:0.#} mm");
        string said = Blocks.DisplayName.Of(name ?? (plan.GridName.Length > 0 ? plan.GridName : "own lines"));
        return $"{said}, {size}";
    }
}
