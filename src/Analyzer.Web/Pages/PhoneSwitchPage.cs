using Analyzer.Web.Blocks;
using Analyzer.Web.Plans;

namespace Analyzer.Web.Pages;

/// <summary>Where the door for a phone is switched on, its code shown, and the photo awaited.</summary>
internal static class PhoneSwitchPage
{
    public static string Write(Workbench workbench, KeptPlan? plan)
    {
        string[] own = [.. workbench.Phone.Addresses.Select(a => a.ToString())];
        string addresses = own.Length < 2 ? "" : $"<label class=\"block\">This computer's address in the network <select id=\"address\">{string.Concat(own.Select(a => $"<option>{a}</option>"))}</select></label>";
        string open = own.Length == 0
            ? "<p class=\"note caution\">This computer is in no home network that a phone could reach. Connect it to the same Wi-Fi as the phone and load this page again, or copy the photo over by cable.</p>"
            : $"{addresses}<p><button type=\"button\" class=\"button\" id=\"open-door\">Switch on for 10 minutes</button></p>";
        return Layout.Page("Photo from a phone", 0, workbench.Token.Text, "phone-switch.js", $"""
            <h1>Photo from your phone</h1>
            <p class="lead">Phone and computer in the same home network: scan a code, take the photo, and it appears here.</p>
            <div class="two">
            <div class="card">{ChoiceForm.Write(plan?.SizeText ?? workbench.Options.SampleSize, plan is null ? workbench.Options.SampleGrid : "plan:" + plan.Id, plan)}</div>
            <div class="card" id="door" data-open="{(workbench.Phone.Door is null ? "0" : "1")}">
            <div id="door-shut">
            <h2>It is switched off</h2>
            <p>Nothing but this computer can reach the workbench. When you switch it on, one phone may send photos for 10 minutes with a code that holds once. It can do nothing else, and sees nothing of the workbench.</p>
            {open}</div>
            <div id="door-open" hidden>
            <h2>Scan this with the phone's camera</h2>
            <svg id="qr" role="img" aria-label="QR code with the address below"></svg>
            <p>or type this into the phone's browser:<br><strong id="door-address" class="address"></strong></p>
            <p id="door-state" aria-live="polite"></p>
            <p id="door-left" class="hint"></p>
            <p><button type="button" class="button quiet" id="close-door">Switch off</button></p></div>
            <p id="trouble" class="trouble" role="alert" hidden></p>
            <p class="hint">Use it at home, not in a café: photos travel through your own network unencrypted. A firewall may ask you first.</p>
            </div>
            </div>
            """, ["/", null, null]);
    }
}
