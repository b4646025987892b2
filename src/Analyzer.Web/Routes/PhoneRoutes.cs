using Analyzer.Web.Blocks;
using Analyzer.Web.Pages;
using Analyzer.Web.Phone;
using Analyzer.Web.Plans;

namespace Analyzer.Web.Routes;

/// <summary>The switch for the phone's door, on the loopback side.</summary>
internal static class PhoneRoutes
{
    private sealed record Ask(string? Size, string? Grid, string? Address);

    public static void Map(WebApplication app, Workbench workbench)
    {
        app.MapGet("/phone", context => Answers.Html(context, PhoneSwitchPage.Write(workbench, workbench.Plans.Find(context.Request.Query["plan"]))));
        app.MapGet("/api/phone", context => State(context, workbench.Phone.Door, withCode: false));
        app.MapPost("/api/phone/open", context => Answers.Checked(context, async () =>
        {
            Ask ask = await Answers.Ask<Ask>(context);
            await State(context, await workbench.Phone.Open(BlockChoice.Parse(ask.Size, ask.Grid, workbench.Plans), ask.Address), withCode: true);
        }));
        app.MapPost("/api/phone/close", async context =>
        {
            await workbench.Phone.Close();
            await State(context, null, withCode: false);
        });
    }

    /// <summary>The code itself is told only to the page that switched the door on.</summary>
    private static Task State(HttpContext context, PhoneDoor? door, bool withCode)
    {
        (string path, int side) = withCode && door is not null ? QrPicture.Of(door.Address) : ("", 0);
        return context.Response.WriteAsJsonAsync(new
        {
            open = door is not null,
            address = withCode ? door?.Address : null,
            qr = path,
            side,
            secondsLeft = door?.SecondsLeft ?? 0,
            hasDevice = door?.HasDevice ?? false,
            blocks = door?.Blocks ?? [],
        });
    }
}
