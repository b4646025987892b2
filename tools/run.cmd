@echo off
rem Builds the program once and runs it with the words given. Without words it measures the sample block.
rem   tools\run.cmd
rem   tools\run.cmd measure PHOTO --size 8in --grid triangle:1in --out FOLDER
setlocal
set "ROOT=%~dp0.."
set "PROGRAM=%ROOT%\artifacts\program\analyzer.dll"
set "STAMP=%ROOT%\artifacts\program\.fresh"
set "PART=%ROOT%\artifacts\program.part"
set "PROJECT=%ROOT%\src\Analyzer.Cli\Analyzer.Cli.csproj"
set DOTNET_NOLOGO=1
set DOTNET_CLI_TELEMETRY_OPTOUT=1
where dotnet >nul 2>nul
if errorlevel 1 (
    echo The .NET 10 SDK is missing: install it and run this again. 1>&2
    exit /b 1
)
if not exist "%PROGRAM%" goto build
if not exist "%STAMP%" goto build
powershell -NoProfile -Command "$s=(Get-Item -Force -LiteralPath $env:STAMP).LastWriteTimeUtc; if ($s -gt [DateTime]::UtcNow) { exit 1 }; $n=Get-ChildItem -Force -LiteralPath (Join-Path $env:ROOT 'src') -Recurse -File | Where-Object { $_.FullName -notmatch '\\(bin|obj)\\' -and $_.LastWriteTimeUtc -gt $s } | Select-Object -First 1; if ($n) { exit 1 }"
if not errorlevel 1 goto run
:build
dotnet --list-sdks | findstr /b "10." >nul
if errorlevel 1 (
    echo This needs the .NET SDK 10: install it and run this again. 1>&2
    exit /b 1
)
echo Building (once; the first time also fetches packages and takes a minute or two) ... 1>&2
if exist "%PART%" rmdir /s /q "%PART%"
dotnet publish "%PROJECT%" -c Release -p:PublishFor=win-x64 --self-contained false -p:PublishReadyToRun=true -o "%PART%" -v quiet --nologo >nul 2>nul
if not errorlevel 1 goto built
rem Either the code is wrong, and then the plain build says so, or the compiler package cannot be had.
if exist "%PART%" rmdir /s /q "%PART%"
dotnet publish "%PROJECT%" -c Release -o "%PART%" -v quiet --nologo 1>&2
if errorlevel 1 (
    echo The build failed; the lines above say where. 1>&2
    exit /b 1
)
echo The quick-starting form could not be built here; the plain one is used, which starts about half a second slower. 1>&2
:built
if exist "%ROOT%\artifacts\program" rmdir /s /q "%ROOT%\artifacts\program"
move "%PART%" "%ROOT%\artifacts\program" >nul
if errorlevel 1 (
    echo The program's folder artifacts\program is in use: close the program and run this again. 1>&2
    exit /b 1
)
echo built > "%STAMP%"
:run
if not "%~1"=="" goto given
echo Measuring the sample block (tools\run.cmd --help lists the commands). 1>&2
dotnet "%PROGRAM%" measure "%ROOT%\testimages\sample.jpg" --size 8in --grid triangle:1in --out "%ROOT%\out\sample"
exit /b %errorlevel%
:given
dotnet "%PROGRAM%" %*
exit /b %errorlevel%
