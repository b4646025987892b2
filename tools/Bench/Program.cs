if (args is ["path", .. string[] pathArgs]) return Analyzer.Bench.PathBench.Run(pathArgs);
Console.WriteLine("Give the name of a bench: path.");
return 2;
