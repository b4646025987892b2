namespace Analyzer.Cli.Shell;

/// <summary>Command-line words sorted into options with values, flags and plain words. Knows nothing of any command.</summary>
internal sealed class Arguments
{
    private readonly List<(string Name, string Value)> _options = [];
    private readonly HashSet<string> _flags = [];

    private Arguments()
    {
    }

    /// <summary>Words that belong to no option, in order.</summary>
    public List<string> Plain { get; } = [];

    /// <summary>Sorts words; an unknown option or a missing value is the user's error.</summary>
    /// <param name="withValue">Options that take a value, such as "--size". A value may go on with "x" and another word ("8in x 6in").</param>
    /// <param name="flags">Options without a value.</param>
    public static Arguments Parse(IReadOnlyList<string> words, IReadOnlyCollection<string> withValue, IReadOnlyCollection<string> flags)
    {
        var result = new Arguments();
        for (int i = 0; i < words.Count; i++)
        {
            string word = words[i];
            if (word == "--")
            {
                result.Plain.AddRange(words.Skip(i + 1));
                break;
            }
            if (!word.StartsWith("--", StringComparison.Ordinal))
            {
                result.Plain.Add(word);
                continue;
            }
            int equals = word.IndexOf('=', StringComparison.Ordinal);
            string name = equals > 0 ? word[..equals] : word;
            if (flags.Contains(name) && equals < 0)
            {
                result._flags.Add(name);
                continue;
            }
            if (!withValue.Contains(name))
                throw new UserErrorException(Unknown(name, withValue, flags));
            if (equals > 0)
            {
                result._options.Add((name, word[(equals + 1)..]));
                continue;
            }
            if (i + 1 >= words.Count || IsOption(words[i + 1], withValue, flags))
                throw new UserErrorException($"{name} needs a value after it.");
            string value = words[++i];
            while (i + 2 < words.Count && words[i + 1] is "x" or "X" or "×")
            {
                value += " x " + words[i + 2];
                i += 2;
            }
            result._options.Add((name, value));
        }
        return result;
    }

    public bool Has(string flag) => _flags.Contains(flag);

    /// <summary>The option's value, or null when it was not given. Given twice is an error.</summary>
    public string? Value(string name)
    {
        List<string> all = Values(name);
        if (all.Count > 1) throw new UserErrorException($"{name} is given {all.Count} times; give it once.");
        return all.Count == 1 ? all[0] : null;
    }

    /// <summary>Every value of an option that may be repeated.</summary>
    public List<string> Values(string name) => [.. _options.Where(o => o.Name == name).Select(o => o.Value)];

    private static bool IsOption(string word, IReadOnlyCollection<string> withValue, IReadOnlyCollection<string> flags) =>
        withValue.Contains(word) || flags.Contains(word);

    private static string Unknown(string name, IReadOnlyCollection<string> withValue, IReadOnlyCollection<string> flags)
    {
        string? near = withValue.Concat(flags).FirstOrDefault(o => o.StartsWith(name, StringComparison.Ordinal) || name.StartsWith(o, StringComparison.Ordinal));
        return near is null
            ? $"{name} is not an option of this command; --help lists the options."
            : $"{name} is not an option of this command (did you mean {near}?); --help lists the options.";
    }
}
