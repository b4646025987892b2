using Analyzer.Practice.Tests.Log;

// "write-log FILE NAME": the writer that the kill test starts. The test runner itself never comes here.
return args is ["write-log", string path, string name] ? LogWriter.Run(path, name) : 2;
