using Analyzer.Web.Safety;

namespace Analyzer.Web.Blocks;

/// <summary>The few kinds of answer that the routes give.</summary>
internal static class Answers
{
    /// <summary>A stored page in a tab of its own: its style may stand inside, and in the sandbox it can do nothing else.</summary>
    private const string Sandbox = "sandbox allow-popups; default-src 'none'; style-src 'unsafe-inline'; img-src data:";

    public static Task Html(HttpContext context, string page)
    {
        context.Response.ContentType = "text/html; charset=utf-8";
        return context.Response.WriteAsync(page);
    }

    public static Task Go(HttpContext context, string path)
    {
        context.Response.Redirect(path);
        return Task.CompletedTask;
    }

    public static Task Send(HttpContext context, byte[] bytes, string type)
    {
        context.Response.ContentType = type;
        context.Response.ContentLength = bytes.Length;
        return context.Response.Body.WriteAsync(bytes).AsTask();
    }

    /// <param name="opens">True: shown in the browser, in a sandbox. False: saved.</param>
    public static Task File(HttpContext context, string name, byte[] bytes, bool opens = false)
    {
        if (opens) context.Response.Headers.ContentSecurityPolicy = Sandbox;
        else context.Response.Headers.ContentDisposition = $"attachment; filename=\"{name}\"";
        return Send(context, bytes, Path.GetExtension(name) switch
        {
            ".json" => "application/json",
            ".csv" => "text/csv; charset=utf-8",
            ".txt" => "text/plain; charset=utf-8",
            ".png" => "image/png",
            ".pdf" => "application/pdf",
            ".svg" => "image/svg+xml",
            ".zip" => "application/zip",
            _ => "text/html; charset=utf-8",
        });
    }

    /// <summary>Does the work; a <see cref="FormatException"/> becomes a refusal with its sentence.</summary>
    public static async Task Checked(HttpContext context, Func<Task> work)
    {
        string sentence;
        try
        {
            await work();
            return;
        }
        catch (FormatException trouble)
        {
            sentence = trouble.Message;
        }
        catch (System.Text.Json.JsonException)
        {
            sentence = "The request is not of a kind the workbench knows.";
        }
        await Trouble.Answer(context, StatusCodes.Status400BadRequest, sentence);
    }

    /// <summary>A short JSON body, or a <see cref="FormatException"/>.</summary>
    public static async Task<T> Ask<T>(HttpContext context, int largest = 8 << 10)
    {
        if (context.Request.ContentLength is not { } length || length < 0 || length > largest) throw new FormatException("The request is not of a kind the workbench knows.");
        return await System.Text.Json.JsonSerializer.DeserializeAsync<T>(context.Request.Body, System.Text.Json.JsonSerializerOptions.Web, context.RequestAborted)
            ?? throw new FormatException("The request is not of a kind the workbench knows.");
    }

    /// <summary>The body's bytes, at most so many; null when there are more.</summary>
    public static async Task<byte[]?> Body(HttpContext context, int largest)
    {
        using var bytes = new MemoryStream();
        var buffer = new byte[1 << 16];
        int read;
        while ((read = await context.Request.Body.ReadAsync(buffer, context.RequestAborted)) > 0)
            if (bytes.Length + read <= largest) await bytes.WriteAsync(buffer.AsMemory(0, read));
            else largest = -1;
        return largest < 0 ? null : bytes.ToArray();
    }
}
