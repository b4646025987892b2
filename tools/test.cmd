@echo off
rem Builds everything in Release and runs every test project, one after the other.
rem The last line is the sum: N passed, N failed, N skipped.
setlocal
set "ROOT=%~dp0.."
set "RESULTS=%ROOT%\artifacts\test-results"
set DOTNET_NOLOGO=1
set DOTNET_CLI_TELEMETRY_OPTOUT=1
set TROUBLE=0
where dotnet >nul 2>nul
if errorlevel 1 (
    echo The .NET 10 SDK is missing: install it and run this again. 1>&2
    exit /b 1
)
dotnet --list-sdks | findstr /b "10." >nul
if errorlevel 1 (
    echo This needs the .NET SDK 10: install it and run this again. 1>&2
    exit /b 1
)
echo Building everything ... 1>&2
dotnet build "%ROOT%\Analyzer.sln" -c Release -v quiet --nologo
if errorlevel 1 (
    echo The build failed; the lines above say where. 1>&2
    exit /b 1
)
if exist "%RESULTS%" rmdir /s /q "%RESULTS%"
mkdir "%RESULTS%"
pushd "%ROOT%\tests"
for /d %%P in (*.Tests) do call :one "%ROOT%\tests\%%P" "%%P"
popd
powershell -NoProfile -Command "$p=0;$f=0;$t=0; Get-ChildItem -LiteralPath $env:RESULTS -Filter *.trx -Recurse | ForEach-Object { $c=([xml](Get-Content -LiteralPath $_.FullName -Raw)).TestRun.ResultSummary.Counters; $p+=[int]$c.passed; $f+=[int]$c.failed; $t+=[int]$c.total }; Write-Output ('{0} passed, {1} failed, {2} skipped' -f $p,$f,($t-$p-$f)); if ($f -gt 0 -or $t -eq 0) { exit 1 }"
if errorlevel 1 exit /b 1
exit /b %TROUBLE%

:one
if not exist "%~1\%~2.csproj" exit /b 0
echo Testing %~2 ... 1>&2
dotnet test "%~1\%~2.csproj" -c Release --no-build --nologo -v quiet --logger "trx;LogFileName=%~2.trx" --results-directory "%RESULTS%"
if errorlevel 1 set TROUBLE=1
if not exist "%RESULTS%\%~2.trx" (
    echo %~2 did not run. 1>&2
    set TROUBLE=1
)
exit /b 0
