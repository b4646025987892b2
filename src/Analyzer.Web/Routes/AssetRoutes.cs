using System.Reflection;

namespace Analyzer.Web.Routes;

/// <summary>Style, scripts and icon, which lie inside the program.</summary>
internal static class AssetRoutes
{
    private static readonly Dictionary<string, string> Types = new()
    {
        [".js"] = "text/javascript; charset=utf-8",
        [".css"] = "text/css; charset=utf-8",
        [".svg"] = "image/svg+xml",
    };

    /// <param name="only">The names to serve; none means all.</param>
    public static void Map(WebApplication app, params string[] only)
    {
        Assembly own = typeof(AssetRoutes).Assembly;
        foreach (string name in own.GetManifestResourceNames())
        {
            if (only.Length > 0 && !only.Contains(name)) continue;
            if (!Types.TryGetValue(Path.GetExtension(name), out string? type)) continue;
            using Stream stream = own.GetManifestResourceStream(name)!;
            var bytes = new byte[stream.Length];
            stream.ReadExactly(bytes);
            app.MapGet("/assets/" + name, context =>
            {
                context.Response.ContentType = type;
                return context.Response.Body.WriteAsync(bytes).AsTask();
            });
        }
    }
}
