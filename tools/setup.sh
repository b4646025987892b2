# Shared by run, test, check and bench: what the machine must have, and building only when something changed.
# Sourced, not run. Expects $root.

export DOTNET_NOLOGO=1 DOTNET_CLI_TELEMETRY_OPTOUT=1 MSBUILDDISABLENODEREUSE=1

say() { printf '%s\n' "$*" >&2; }

stop() { say "$*"; exit 1; }

# The .NET SDK that builds the program.
need_sdk() {
    command -v dotnet >/dev/null 2>&1 ||
        stop "The .NET 10 SDK is missing: install it (on Debian and Ubuntu the package dotnet-sdk-10.0) and run this again."
    local sdks
    sdks=$(dotnet --list-sdks 2>/dev/null) || sdks=
    grep -q '^10\.' <<<"$sdks" ||
        stop "This needs the .NET SDK 10, but dotnet here offers only: ${sdks:-none}. Install SDK 10 and run this again."
}

has_library() {
    local place
    for place in /usr/lib/*/"$1" /usr/lib/"$1" /usr/lib64/"$1" /lib/*/"$1" /usr/local/lib/"$1"; do
        [ -e "$place" ] && return 0
    done
    return 1
}

# apt_install PACKAGE: 0 when it is there afterwards.
apt_install() {
    say "Installing $1 through apt ..."
    if ! DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "$1" >/dev/null 2>&1; then
        apt-get update -q >/dev/null 2>&1 || true
        DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "$1" >/dev/null 2>&1
    fi
}

can_apt() { command -v apt-get >/dev/null 2>&1 && [ "$(id -u)" = 0 ]; }

# The OpenCV library of the NuGet package is linked against GTK 3, even though no window is ever opened.
need_gtk() {
    [ "$(uname -s)" = Linux ] || return 0
    has_library libgtk-3.so.0 && return 0
    command -v apt-get >/dev/null 2>&1 ||
        stop "The library libgtk-3.so.0 is missing, which OpenCV needs: install your system's GTK 3 package and run this again."
    can_apt ||
        stop "The library libgtk-3.so.0 is missing, which OpenCV needs, and only root may install it: run \"sudo apt-get install libgtk-3-0\" and then this again."
    apt_install libgtk-3-0 && has_library libgtk-3.so.0 ||
        stop "libgtk-3-0 could not be installed through apt: run \"apt-get install libgtk-3-0\" yourself, see why it fails, and run this again."
}

# is_fresh STAMP PRODUCT DIR...: true when nothing under the DIRs changed since STAMP and PRODUCT exists.
# Directories count too, so that a deleted file is noticed.
is_fresh() {
    local stamp=$1 product=$2
    shift 2
    [ -e "$stamp" ] && [ -e "$product" ] || return 1
    # A stamp from the future (the clock was set back) says nothing about what was changed since.
    [ -z "$(find "$stamp" -newermt now -print 2>/dev/null)" ] || return 1
    [ -z "$(find "$@" \( -name bin -o -name obj \) -prune -o -newer "$stamp" -print -quit 2>/dev/null)" ]
}

# as_property PATH: as MSBuild takes it; a comma or a semicolon would end the property.
as_property() {
    local path=${1//%/%25}
    path=${path//,/%2C}
    printf '%s' "${path//;/%3B}"
}

# one_at_a_time: the calls of one source tree build one after the other. Needs $root; where flock is missing nothing is held back.
one_at_a_time() {
    command -v flock >/dev/null 2>&1 || return 0
    mkdir -p "$root/artifacts"
    exec 9>"$root/artifacts/.building"
    flock -n 9 || { say "Another call is building; waiting for it ..."; flock 9; }
}

# logged COMMAND...: runs it and keeps quiet unless it fails; then its words are in $log.
logged() {
    log=$(mktemp)
    "$@" >"$log" 2>&1
}

# dotnet_build WORDS...: what dotnet build says is shown only when it fails.
dotnet_build() {
    if ! logged dotnet "$@"; then
        cat "$log" >&2
        rm -f "$log"
        stop "The build failed; the lines above say where."
    fi
    rm -f "$log"
}

# build_once PROJECT PRODUCT DIR...: builds PROJECT in Release unless PRODUCT is newer than everything under the DIRs.
build_once() {
    local project=$1 product=$2 stamp started
    shift 2
    stamp="$(dirname "$product")/.fresh"
    is_fresh "$stamp" "$product" "$@" && return 0
    need_sdk
    one_at_a_time
    is_fresh "$stamp" "$product" "$@" && { exec 9>&-; return 0; }
    say "Building $(basename "$project" .csproj) (once; the first time also fetches packages and takes a minute or two) ..."
    # bin and obj are made first: their appearing would make their parents look changed.
    find "$@" -name '*.csproj' -execdir mkdir -p bin obj \;
    started=$(mktemp)
    dotnet_build build "$project" -c Release -v quiet --nologo
    # The stamp carries the time the build began, so that a change made meanwhile is not missed.
    touch -r "$started" "$stamp"
    rm -f "$started"
    exec 9>&-
}

# program_once FOLDER: the program in FOLDER, compiled ahead of time so that it starts quickly, unless it is fresh.
# A folder of its own is filled and then renamed: a program that is running is not disturbed.
program_once() {
    local folder=$1 project="$root/src/Analyzer.Cli/Analyzer.Cli.csproj" started aside="$1.part"
    is_fresh "$folder/.fresh" "$folder/analyzer.dll" "$root/src" && return 0
    need_sdk
    one_at_a_time
    is_fresh "$folder/.fresh" "$folder/analyzer.dll" "$root/src" && { exec 9>&-; return 0; }
    say "Building the program (once; the first time also fetches packages and takes a minute or two) ..."
    find "$root/src" -name '*.csproj' -execdir mkdir -p bin obj \;
    started=$(mktemp)
    rm -rf "$aside"
    if [ "$(uname -s)/$(uname -m)" = Linux/x86_64 ] &&
        logged dotnet publish "$project" -c Release -p:PublishFor=linux-x64 --self-contained false -p:PublishReadyToRun=true -o "$(as_property "$aside")" -v quiet --nologo; then
        rm -f "$log"
    else
        # Either the code is wrong, and then the plain build says so, or the compiler package cannot be had.
        rm -rf "$aside"
        dotnet_build publish "$project" -c Release -o "$(as_property "$aside")" -v quiet --nologo
        say "The quick-starting form could not be built here; the plain one is used, which starts about half a second slower."
    fi
    touch -r "$started" "$aside/.fresh"
    rm -f "$started"
    rm -rf "$folder.old"
    [ ! -e "$folder" ] || mv "$folder" "$folder.old"
    mv "$aside" "$folder"
    rm -rf "$folder.old"
    exec 9>&-
}
