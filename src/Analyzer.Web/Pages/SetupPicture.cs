namespace Analyzer.Web.Pages;

/// <summary>A drawing of a good set-up for the photo: square above, a step back, light from the side, a margin all round.</summary>
internal static class SetupPicture
{
    public const string Words = "The camera square above the middle of the block, half a metre or more away; light from a window at the side; the whole block with a margin in the picture.";

    public static string Svg { get; } = $"""
        <svg class="setup" viewBox="0 0 360 210" role="img" aria-label="{Words}">
        <rect x="0" y="0" width="360" height="210" fill="#fffdf8"/>
        <g stroke="#8a8577" fill="none" stroke-width="2"><path d="M10 176H350"/><path d="M30 176v30M330 176v30"/></g>
        <g><rect x="14" y="34" width="34" height="74" fill="#eaf3fb" stroke="#4d5a64" stroke-width="2"/><path d="M31 34v74M14 71h34" stroke="#4d5a64" stroke-width="1.5"/></g>
        <g stroke="#b98a1e" stroke-width="2" stroke-dasharray="6 4" fill="none"><path d="M54 60 150 162"/><path d="M54 78 126 164"/><path d="M54 44 176 160"/></g>
        <g stroke="#0f5257" stroke-width="1.5" stroke-dasharray="3 3" fill="none"><path d="M206 54 116 172M206 54 296 172"/><path d="M206 54V166"/></g>
        <g><rect x="180" y="40" width="52" height="11" rx="3" fill="#1f2a33"/><circle cx="206" cy="53" r="4" fill="#1f2a33"/></g>
        <g><path d="M136 170H276" stroke="#a05a2c" stroke-width="7"/><path d="M136 168h140" stroke="#f3ecdd" stroke-width="2" stroke-dasharray="7 5"/></g>
        <g stroke="#4d5a64" stroke-width="1.2" fill="none"><path d="M306 56V166M301 62l5-8 5 8M301 160l5 8 5-8"/></g>
        <g font-family="sans-serif" font-size="12" fill="#1f2a33"><text x="312" y="108">half a</text><text x="312" y="122">metre</text><text x="312" y="136">or more</text><text x="60" y="34">light from the side</text><text x="242" y="42">square above</text><text x="120" y="200">block flat, a margin all round</text></g>
        </svg>
        """;

    public static string Figure { get; } = $"<figure class=\"setup-figure\">{Svg}<figcaption class=\"hint\">{Words}</figcaption></figure>";
}
