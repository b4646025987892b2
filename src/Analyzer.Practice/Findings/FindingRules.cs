namespace Analyzer.Practice.Findings;

/// <summary>The table of rules. A rule looks at one block and returns candidates; each carries its own test against the null.</summary>
internal static class FindingRules
{
    /// <param name="Kind">Stable name.</param>
    /// <param name="Null">What the test takes to be true until shown otherwise.</param>
    /// <param name="Drill">What to do about it.</param>
    internal sealed record Rule(string Kind, string Null, string Drill, Func<BlockView, Rule, IEnumerable<Candidate>> Look);

    public static IReadOnlyList<Rule> All { get; } =
    [
        new("placement", "the lines of a family lie as often on one side of the mark as on the other",
            "Before each run check that the ruler's edge is a foot's radius, 1/4 in (6.35 mm) for a 1/2 in foot, from the mark; measure it at both ends.",
            PlacementRules.Bias),
        new("rotation", "the lines of a family turn as much one way as the other",
            "Line the ruler up with two far marks, not one: check the distance at both ends before you start, and again halfway.",
            PlacementRules.Rotation),
        new("scatter", "the ruler's place varies no more from line to line than the needle wanders along a line",
            "Set the ruler ten times on a marked line without sewing and measure both ends each time, until it lands within 0.5 mm.",
            PlacementRules.Scatter),
        new("steering", "the needle wanders along a line no more than the ruler's place varies from line to line",
            "Sew slow straight runs of 6 in along the ruler with even pressure; look ahead along the line, not at the needle.",
            SteeringRules.Steering),
        new("family-wobble", "this family's lines wobble like the others",
            "Practise this direction alone: turn the block or yourself so that your arms move the way they do in your best direction.",
            SteeringRules.WorstFamily),
        new("crossing-wobble", "the wobble near crossings is the wobble between them",
            "Slow down an inch before a crossing and keep the speed through it; stop with the needle down before, not on, the crossing.",
            SteeringRules.NearCrossings),
        new("half", "both halves of a line wobble alike",
            "Stop halfway with the needle down, move your hands, and start the second half fresh.",
            SteeringRules.Halves),
        new("edge", "lines wobble near the block's edge as in its middle",
            "Near the edge support the block's weight, and keep the ruler on a scrap of the same thickness.",
            SteeringRules.Edges),
        new("aim", "at its crossings a family's line lies on its own straight line",
            "Aim through the crossing to the next one; do not bend the line to meet the crossing.",
            CrossingRules.Pull),
        new("third-line", "the third line passes through the crossing of the other two",
            "For the last family set the ruler from the stitched crossings, a foot's radius away from two of them, not from the drawn mark.",
            CrossingRules.ThirdLine),
        new("overshoot", "line ends lie as often beyond the ditch as short of it",
            "Count the last three stitches into the ditch, stop with the needle down in it, then turn.",
            EndRules.Overshoot),
        new("alternate", "every other line of a family lies like its neighbours",
            "Sew the family in one direction only, or check the ruler again after each turn: one direction pulls to the side.",
            PlacementRules.Alternate),
        new("travel-place", "a family's lines sewn one way lie like those sewn the other way",
            "Sew this family one way only, or set the ruler again after each turn and check it at both ends: you see the needle from another side.",
            TravelRules.Place),
        new("travel-wobble", "a family's lines sewn one way wobble like those sewn the other way",
            "Sew this family in your steadier direction; practise the other one on a scrap, slowly, until both feel alike.",
            TravelRules.Wobble),
        new("bow", "the lines of a family share no bow",
            "The cloth itself may be warped: press without pulling, baste closely, check the block is square before marking (test the marker first: heat can set some inks or erase others).",
            PlacementRules.SharedBow),
        new("order", "lines sewn early and late wobble alike",
            "Rest hands and shoulders after every few lines; sew the difficult family first.",
            EndRules.Order),
    ];
}
