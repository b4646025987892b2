using System.Globalization;
using Analyzer.Core.Pattern;

namespace Analyzer.Core.Causes;

/// <summary>One sentence per cause, as a friend at the next machine would say it.</summary>
internal sealed class CauseWords(IntendedGrid grid, IReadOnlyList<CauseAnalysis.LineEnergy> energies, bool distortionShown)
{
    public string Sentence(string code, double percent, double rmsMm)
    {
        if (percent < 1) return Nothing(code);
        string much = string.Create(CultureInfo.InvariantCulture, $"{percent:0} % of the squared error, typically {rmsMm:0.00} mm");
        return code switch
        {
            "distortion" when !distortionShown => $"Perhaps the cloth lies a little out of shape ({much}), but so few lines cannot tell that from rulers set down beside their marks.",
            "distortion" => $"The cloth itself lies out of shape ({much}): every family bends the same way, so the block was drawn in or stretched. Your hand is not to blame for this part.",
            "placement" => $"The ruler was set down beside the mark ({much}){Habit()}.",
            "rotation" => $"The ruler was set down at a slight turn ({much}): lines start on one side of their mark and end on the other.",
            "bow" => $"Lines bow ({much}): they leave the mark in the middle and come back, as when the ruler rocks or the cloth is pushed ahead of the foot.",
            "wobble-long" => $"Slow drifting while steering ({much}): waves of 20 mm and longer, as when the grip on the ruler changes.",
            "wobble-middle" => $"Steering corrections ({much}): waves of 8 to 20 mm, a sway every few stitches.",
            "wobble-short" => $"Quick jitters ({much}): waves under 8 mm, from stitch to stitch.",
            "aim" => $"Kinks right at the crossings ({much}): the last lines swerve to catch or miss the X.",
            _ => much,
        };
    }

    private static string Nothing(string code) => code switch
    {
        "distortion" => "The block lies true: no bending that all families share can be shown.",
        "placement" => "The ruler sat on its marks: nothing to gain here.",
        "rotation" => "Lines run true to their direction: nothing to gain here.",
        "bow" => "Lines do not bow.",
        "wobble-long" => "No slow drifting to speak of.",
        "wobble-middle" => "No sway of a few stitches to speak of.",
        "wobble-short" => "No stitch-to-stitch jitter beyond what the photo itself adds.",
        "aim" => "No kinks at the crossings beyond the wobble found everywhere else.",
        _ => "",
    };

    /// <summary>Names a family whose lines all sit to one side; t of the family mean above 3 is asked.</summary>
    private string Habit()
    {
        string best = "";
        double strongest = 3;
        foreach (var family in energies.GroupBy(e => e.Line.Trace.Line.Family).Where(g => g.Count() >= 4))
        {
            double[] offsets = [.. family.Select(e => e.Own(0))];
            double mean = offsets.Average(), t = mean / (Statistics.Moments.Sd(offsets) / Math.Sqrt(offsets.Length));
            if (Math.Abs(t) < strongest || Math.Abs(mean) < 0.1) continue;
            strongest = Math.Abs(t);
            best = string.Create(CultureInfo.InvariantCulture,
                $"; {FamilyName(family.Key)} sit {Math.Abs(mean):0.0} mm {Side(grid.Families[family.Key], mean)} on average, so check where the foot's edge meets the mark");
        }
        return best;
    }

    public string AimSentence(CrossingAim aim)
    {
        string lines = FamilyName(aim.Family), scatter = string.Create(CultureInfo.InvariantCulture, $"give or take {aim.ScatterMm:0.0} mm from crossing to crossing");
        return Math.Abs(aim.MeanMissMm) > 2.5 * aim.MeanMissUMm && Math.Abs(aim.MeanMissMm) >= 0.1
            ? string.Create(CultureInfo.InvariantCulture, $"At {aim.Crossings} crossings {lines} pass {Math.Abs(aim.MeanMissMm):0.0} mm {OfTheX(Side(grid.Families[aim.Family], aim.MeanMissMm))} on average, {scatter}.")
            : string.Create(CultureInfo.InvariantCulture, $"At {aim.Crossings} crossings {lines} pass through the X on average, {scatter}.");
    }

    private static string OfTheX(string side) => side.StartsWith("to ", StringComparison.Ordinal) ? side + " of the X" : side + " the X";

    public string FamilyName(int family) => LineWords.FamilyName(grid, family);

    private static string Side(LineFamily family, double deviation) => LineWords.Side(family, deviation);
}
