using Analyzer.Practice.Statistics;

namespace Analyzer.Practice.Findings;

/// <summary>One thing to practise, with its number, its evidence and a drill.</summary>
/// <param name="Code">Stable short name of the rule, with the family's letter where it is about one: "placement-A".</param>
/// <param name="Kind">The rule: "placement", "rotation" and so on.</param>
/// <param name="InCommon">What a class would say about it, without the number: "set the lines across (family A) low".</param>
/// <param name="SharePercent">Share of the block's mean squared deviation that it explains; null where it is not a share.</param>
public sealed record Finding(string Code, string Kind, string Sentence, string Drill, string InCommon, double? SharePercent, TestResult Test, double AdjustedP);

/// <summary>What stands out in a block, at most three things, and how many were looked for.</summary>
public sealed record FindingList(IReadOnlyList<Finding> Findings, int Tested)
{
    public const string NothingStandsOut = "Nothing stands out: what is left looks like chance spread over all lines. Keep practising as you do, and photograph the next block.";

    public const string Safety = "While practising: keep fingers and ruler out of the needle's path, follow your machine's manual, and rest hands and shoulders often.";
}

/// <summary>A finding before it is tested together with all others.</summary>
internal sealed record Candidate(string Code, string Kind, TestResult Test, double? SharePercent, string Sentence, string Drill, string InCommon);
