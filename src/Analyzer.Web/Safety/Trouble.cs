using System.Text.Json;
using Analyzer.Web.Pages;

namespace Analyzer.Web.Safety;

/// <summary>Refusals and trouble, told in one sentence: as problem details (RFC 9457) to a program, as a page to a person.</summary>
internal static class Trouble
{
    public static async Task Guard(HttpContext context, RequestDelegate next)
    {
        try
        {
            await next(context);
        }
        catch (OperationCanceledException) when (context.RequestAborted.IsCancellationRequested)
        {
            // The browser went away.
        }
        catch (BadHttpRequestException refusal) when (!context.Response.HasStarted)
        {
            string sentence = refusal.StatusCode == StatusCodes.Status413PayloadTooLarge ? "The photo is too large." : "The request could not be understood.";
            await Answer(context, refusal.StatusCode, sentence);
        }
        catch (Exception) when (!context.Response.HasStarted)
        {
            await Answer(context, StatusCodes.Status500InternalServerError, "The workbench met trouble it was not prepared for; try again, and report it if it comes back.");
        }
    }

    public static Task NotFound(HttpContext context) =>
        Answer(context, StatusCodes.Status404NotFound, "There is nothing at this address. The photo may have been removed, or the workbench was started anew.");

    public static Task Busy(HttpContext context)
    {
        context.Response.Headers.RetryAfter = "5";
        return Answer(context, StatusCodes.Status503ServiceUnavailable, "The workbench is busy with other photos; wait a few seconds and try again.");
    }

    public static Task Answer(HttpContext context, int status, string sentence)
    {
        context.Response.StatusCode = status;
        if (context.Request.Headers.Accept.ToString().Contains("text/html", StringComparison.OrdinalIgnoreCase))
        {
            context.Response.ContentType = "text/html; charset=utf-8";
            return context.Response.WriteAsync(PlainPage.Write(sentence));
        }
        context.Response.ContentType = "application/problem+json";
        return context.Response.WriteAsync(JsonSerializer.Serialize(new Dictionary<string, object> { ["status"] = status, ["detail"] = sentence }));
    }
}
