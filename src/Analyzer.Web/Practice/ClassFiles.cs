using System.Globalization;
using System.IO.Compression;
using Analyzer.Practice.Classroom;
using Analyzer.Web.Blocks;

namespace Analyzer.Web.Practice;

/// <summary>class.html, class.csv and the sheets in one zip, written by the same hand as the command's folder.</summary>
internal static class ClassFiles
{
    public static byte[] Zip(Workbench workbench, ClassSummary summary)
    {
        string folder = workbench.Folder.NewFile(".class");
        try
        {
            ClassWriter.Write(summary, folder);
            using var bytes = new MemoryStream();
            ZipFile.CreateFromDirectory(folder, bytes);
            return bytes.ToArray();
        }
        finally
        {
            if (Directory.Exists(folder)) Directory.Delete(folder, recursive: true);
        }
    }

    public static string SheetPath(ClassJob job, ClassPerson person) =>
        string.Create(CultureInfo.InvariantCulture, $"/class/{job.Id}/sheet/{Number(job, person)}");

    private static int Number(ClassJob job, ClassPerson person) => job.Summary!.People.ToList().IndexOf(person) + 1;
}
