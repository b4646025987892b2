using Analyzer.Cli.Shell;

return CommandShell.Start(args);
