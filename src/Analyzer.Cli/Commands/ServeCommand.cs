using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using Analyzer.Cli.Shell;
using Analyzer.Web;

namespace Analyzer.Cli.Commands;

/// <summary>The workbench: the whole job in the browser, on one's own computer.</summary>
internal sealed class ServeCommand : ICommand
{
    /// <summary>The port that is tried first; a private one of RFC 6335, nothing more to it.</summary>
    private const int UsualPort = 51_780;

    public string Name => "serve";

    public string Summary => "Opens the workbench in the browser: plan, measure, compare, practice log, class.";

    public string Help => $"""
        serve [--port NUMBER] [--no-browser] [--log FILE]
        Starts the workbench and opens it in the browser. It is reached from this computer only; photos stay here and are
        removed when it is closed. Stop it with Ctrl-C. A phone in the same home network can send photos for ten minutes
        when its page in the workbench is switched on; without that no other device can reach anything.

          --port NUMBER      the port to use (otherwise {UsualPort}, or any free one when that is taken)
          --no-browser       only print the address
          --log FILE         another practice log than the usual one

        Example
          serve
          serve --port 8080 --no-browser
        """;

    public int Run(IReadOnlyList<string> words, Terminal terminal, CancellationToken cancel)
    {
        Arguments arguments = Arguments.Parse(words, ["--port", "--log"], ["--no-browser"]);
        if (arguments.Plain.Count > 0) throw new UserErrorException($"serve takes no \"{arguments.Plain[0]}\"; photos are chosen on its page.");
        int? port = Port(arguments.Value("--port"));
        using var stop = CancellationTokenSource.CreateLinkedTokenSource(cancel);
        // A polite request to end (from the system, or a closed terminal) removes the photos too.
        using PosixSignalRegistration ended = PosixSignalRegistration.Create(PosixSignal.SIGTERM, End), hungUp = PosixSignalRegistration.Create(PosixSignal.SIGHUP, End);
        void End(PosixSignalContext signal)
        {
            signal.Cancel = true;
            stop.Cancel();
        }
        WorkbenchServer server = Start(port, arguments.Value("--log"));
        try
        {
            terminal.Out.WriteLine($"The workbench is open at {server.Address}");
            terminal.Out.WriteLine("Stop it with Ctrl-C.");
            terminal.Out.Flush();
            if (!arguments.Has("--no-browser")) OpenBrowser(server.Address, terminal);
            stop.Token.WaitHandle.WaitOne();
        }
        finally
        {
            server.DisposeAsync().AsTask().GetAwaiter().GetResult();
        }
        terminal.Out.WriteLine("The workbench is closed; its photos are removed.");
        return ExitCodes.Done;
    }

    private static int? Port(string? text)
    {
        if (text is null) return null;
        if (!int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out int port) || port is < 0 or > 65535)
            throw new UserErrorException($"--port \"{text}\" should be a number between 0 and 65535 (0 takes any free port).");
        return port;
    }

    private static WorkbenchServer Start(int? port, string? log)
    {
        try
        {
            return WorkbenchServer.Start(new WorkbenchOptions { Port = port ?? UsualPort, LogPath = log }).GetAwaiter().GetResult();
        }
        catch (Exception trouble) when (port is null && trouble is IOException or System.Net.Sockets.SocketException)
        {
            return WorkbenchServer.Start(new WorkbenchOptions { LogPath = log }).GetAwaiter().GetResult();
        }
        catch (Exception trouble) when (trouble is IOException or System.Net.Sockets.SocketException)
        {
            throw new UserErrorException($"--port {port}: this port cannot be used (another program may hold it); give another number, or leave --port out.", ExitCodes.Failed, trouble);
        }
    }

    private static void OpenBrowser(Uri address, Terminal terminal)
    {
        try
        {
            Process.Start(new ProcessStartInfo(address.ToString()) { UseShellExecute = true })?.Dispose();
        }
        catch (Exception trouble) when (trouble is System.ComponentModel.Win32Exception or InvalidOperationException or PlatformNotSupportedException or FileNotFoundException)
        {
            terminal.Error.WriteLine("No browser could be opened; open the address above yourself.");
        }
    }
}
