using System.Text.RegularExpressions;
using Analyzer.Core.Quality;

namespace Analyzer.Core.Tests.Quality;

/// <summary>The catalogue's own promises.</summary>
public sealed class ReasonCatalogueTests
{
    [Fact]
    public void Catalogue_HasUniqueStableCodesAndWholeSentences()
    {
        Assert.Equal(ReasonCatalogue.All.Count, ReasonCatalogue.All.Select(k => k.Code).Distinct().Count());
        Assert.All(ReasonCatalogue.All, kind =>
        {
            Assert.Matches(new Regex("^[a-z]+(-[a-z]+)*$"), kind.Code);
            Assert.Matches(new Regex(@"^[A-Z].*\.$"), kind.Message);
            Assert.Matches(new Regex(@"^[A-Z].*\.$"), kind.Advice);
            Assert.Same(kind, ReasonCatalogue.Find(kind.Code));
        });
    }

    [Fact]
    public void Catalogue_HoldsEveryKindOfBadPhoto()
    {
        string[] asked = ["blurred", "too-dark", "glare", "too-few-pixels", "corner-outside", "no-stitching-seen", "marks-only", "wrong-object", "other-grid", "low-corner-confidence", "faint-thread", "block-not-flat"];
        Assert.All(asked, code => Assert.NotNull(ReasonCatalogue.Find(code)));
    }

    [Fact]
    public void Reason_WithNumbers_NamesThem()
    {
        Assert.Contains("2.4 pixels, and at least 3 ", ReasonCatalogue.TooFewPixelsAt(2.4, 3).Message, StringComparison.Ordinal);
        Assert.Contains("bottom right", ReasonCatalogue.CornerOutsideAt(2).Message, StringComparison.Ordinal);
        Assert.Contains("12 %", ReasonCatalogue.GlareOver(0.12).Message, StringComparison.Ordinal);
    }
}
