using Analyzer.EndToEnd.Tests.Measure;
using Analyzer.EndToEnd.Tests.Shell;
using Analyzer.Fuzz;

namespace Analyzer.EndToEnd.Tests.Fuzz;

/// <summary>The short form of tools/fuzz: damaged inputs, from seeds; whatever is not told in a sentence fails the test.</summary>
public class ShortFuzzTests(MeasuredBlock block) : IClassFixture<MeasuredBlock>
{
    [Theory]
    [InlineData("image", 500)]
    [InlineData("heic", 100)]
    [InlineData("plan", 300)]
    [InlineData("list", 200)]
    [InlineData("report", 60)]
    [InlineData("zip", 60)]
    [InlineData("grid", 100)]
    public void DamagedInput_IsToldInASentence(string kind, int count)
    {
        using var scratch = new Scratch();
        string photo = scratch.File("block.jpg", block.Jpeg);
        Ran.Words(["measure", photo, "--no-pictures", "--out", scratch.At("samples"), .. block.GridWords(), .. block.CornerWords()]);
        Ran.Words("plan", "--size", "4in", "--grid", "square:1in", "--out", scratch.At("samples"));
        using var cases = new Cases(scratch.At("samples"));
        for (int seed = 0; seed < count; seed++)
        {
            try
            {
                cases.Run(kind, seed);
            }
            catch (Exception trouble)
            {
                Assert.Fail($"{kind}, seed {seed}: {trouble}");
            }
        }
    }
}
