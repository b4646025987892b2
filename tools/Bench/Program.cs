if (Analyzer.Bench.BenchHelp.Asked(args) is { } help)
{
    Console.Write(help);
    return 0;
}

if (args is ["accuracy", .. string[] accuracyArgs]) return Analyzer.Bench.AccuracyBench.Run(accuracyArgs);
if (args is ["coverage", .. string[] coverageArgs]) return Analyzer.Bench.CoverageBench.Run(coverageArgs);
if (args is ["corners", .. string[] cornerArgs]) return Analyzer.Bench.CornersBench.Run(cornerArgs);
if (args is ["path", .. string[] pathArgs]) return Analyzer.Bench.PathBench.Run(pathArgs);
if (args is ["pairs", .. string[] pairsArgs]) return Analyzer.Bench.PairsBench.Run(pairsArgs);
if (args is ["web", .. string[] webArgs]) return await Analyzer.Bench.WebBench.Run(webArgs);
if (args is ["speed", .. string[] speedArgs]) return Analyzer.Bench.SpeedBench.Run(speedArgs);
if (args is ["memory", .. string[] memoryArgs]) return Analyzer.Bench.MemoryBench.Run(memoryArgs);
if (args is ["peak", .. string[] peakArgs]) return Analyzer.Bench.MemoryBench.Peak(peakArgs);
if (args is ["batch", .. string[] batchArgs]) return Analyzer.Bench.MemoryBench.Batch(batchArgs);
if (args is ["marks", .. string[] marksArgs]) return Analyzer.Bench.MarksBench.Run(marksArgs);
if (args is ["refusals", .. string[] refusalArgs]) return Analyzer.Bench.RefusalsBench.Run(refusalArgs);
Console.Write(Analyzer.Bench.BenchHelp.List);
return 2;
