if (args is ["accuracy", .. string[] accuracyArgs]) return Analyzer.Bench.AccuracyBench.Run(accuracyArgs);
if (args is ["corners", .. string[] cornerArgs]) return Analyzer.Bench.CornersBench.Run(cornerArgs);
if (args is ["path", .. string[] pathArgs]) return Analyzer.Bench.PathBench.Run(pathArgs);
if (args is ["pairs", .. string[] pairsArgs]) return Analyzer.Bench.PairsBench.Run(pairsArgs);
if (args is ["web", .. string[] webArgs]) return await Analyzer.Bench.WebBench.Run(webArgs);
if (args is ["marks", .. string[] marksArgs]) return Analyzer.Bench.MarksBench.Run(marksArgs);
if (args is ["refusals", .. string[] refusalArgs]) return Analyzer.Bench.RefusalsBench.Run(refusalArgs);
Console.WriteLine("Give the name of a bench: accuracy, corners, path, pairs, web, marks, refusals.");
return 2;
