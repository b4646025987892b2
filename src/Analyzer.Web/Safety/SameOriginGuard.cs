using System.Globalization;

namespace Analyzer.Web.Safety;

/// <summary>Lets through only what the workbench's own pages ask for, and puts the safety headers on every answer.</summary>
/// <remarks>
/// A foreign Host header is the sign of DNS rebinding, a foreign Origin that of another site's page. A write needs the token of
/// this run besides (OWASP cheat sheet on cross-site request forgery: token in a custom header).
/// </remarks>
internal sealed class SameOriginGuard(WriteToken token)
{
    /// <summary>No inline script or style, nothing from elsewhere.</summary>
    private const string Policy =
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

    /// <summary>The safety headers, on every answer.</summary>
    public static void PutHeaders(HttpContext context)
    {
        IHeaderDictionary headers = context.Response.Headers;
        headers.ContentSecurityPolicy = Policy;
        headers.XContentTypeOptions = "nosniff";
        headers.XFrameOptions = "DENY";
        headers["Referrer-Policy"] = "no-referrer";
        headers["Cross-Origin-Opener-Policy"] = "same-origin";
        headers["Cross-Origin-Resource-Policy"] = "same-origin";
        headers["Permissions-Policy"] = "camera=(), microphone=(), geolocation=()";
        headers.CacheControl = "no-store";
    }

    public Task Check(HttpContext context, RequestDelegate next)
    {
        PutHeaders(context);
        HttpRequest request = context.Request;
        int port = context.Connection.LocalPort;
        if (!IsOwnHost(request.Host.Value, port))
            return Trouble.Answer(context, StatusCodes.Status421MisdirectedRequest, "This address is not the workbench's own; open the address that the program printed.");
        string? origin = request.Headers.Origin;
        if (!string.IsNullOrEmpty(origin) && !IsOwnOrigin(origin, port))
            return Trouble.Answer(context, StatusCodes.Status403Forbidden, "Another site may not use the workbench.");
        string? site = request.Headers["Sec-Fetch-Site"];
        bool isRead = HttpMethods.IsGet(request.Method) || HttpMethods.IsHead(request.Method);
        // A link from elsewhere may open a page ("navigate"), nothing more.
        if (site is "cross-site" or "same-site" && !(isRead && request.Headers["Sec-Fetch-Mode"] == "navigate"))
            return Trouble.Answer(context, StatusCodes.Status403Forbidden, "Another site may not use the workbench.");
        if (!isRead && !token.Matches(request.Headers[WriteToken.Header]))
            return Trouble.Answer(context, StatusCodes.Status403Forbidden, "This page is from an earlier start of the workbench; load it again.");
        return next(context);
    }

    private static readonly string[] Names = ["127.0.0.1", "localhost"];

    public static bool IsOwnHost(string? host, int port) =>
        host is not null && Names.Any(name => host.Equals(name + ":" + port.ToString(CultureInfo.InvariantCulture), StringComparison.OrdinalIgnoreCase));

    public static bool IsOwnOrigin(string origin, int port) =>
        origin.StartsWith("http://", StringComparison.OrdinalIgnoreCase) && IsOwnHost(origin["http://".Length..], port);
}
