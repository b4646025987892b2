using System.Text.Json;
using System.Text.Json.Serialization;

namespace Analyzer.Core.Report;

/// <summary>report.json as text. Numbers in invariant culture; a number that is not known is null.</summary>
public static class ReportJson
{
    private static readonly JsonSerializerOptions Options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.CamelCase,
        WriteIndented = true,
        DefaultIgnoreCondition = JsonIgnoreCondition.Never,
        Encoder = System.Text.Encodings.Web.JavaScriptEncoder.Default,
        MaxDepth = 32,
        Converters = { new FiniteNumbers() },
    };

    public static string Write(AccuracyReport report) => JsonSerializer.Serialize(report, Options);

    /// <summary>Reads a report; throws <see cref="FormatException"/> with one clear sentence when it is not one.</summary>
    public static AccuracyReport Read(string json)
    {
        AccuracyReport? report;
        try
        {
            report = JsonSerializer.Deserialize<AccuracyReport>(json, Options);
        }
        catch (JsonException trouble)
        {
            throw new FormatException($"This is not a report.json of this program: the text breaks at line {trouble.LineNumber + 1}; measure the photo again.", trouble);
        }
        if (report is null || report.Schema != AccuracyReport.SchemaName)
            throw new FormatException($"This is not a report of schema {AccuracyReport.SchemaName}; measure the photo again with this version.");
        ReportCheck.Sound(report);
        return report;
    }

    /// <summary>JSON has no NaN: a number that is not finite is written as null, and null where a number belongs is read as NaN.</summary>
    private sealed class FiniteNumbers : JsonConverter<double>
    {
        public override bool HandleNull => true;

        public override double Read(ref Utf8JsonReader reader, Type typeToConvert, JsonSerializerOptions options) =>
            reader.TokenType switch
            {
                JsonTokenType.Null => double.NaN,
                JsonTokenType.Number => reader.GetDouble(),
                _ => throw new JsonException(),
            };

        public override void Write(Utf8JsonWriter writer, double value, JsonSerializerOptions options)
        {
            if (double.IsFinite(value)) writer.WriteNumberValue(value);
            else writer.WriteNullValue();
        }
    }
}
