#!/bin/sh
# Installs what panewright needs on Debian and Ubuntu:
#
#   sh assets/setup.sh          to build and run it
#   sh assets/setup.sh tests    to run its tests too
#
# Says nothing when nothing is missing, and may be run again at any time. On
# other systems it says what to install. Go itself it only looks for: exit 1
# where it is missing or older than go.mod asks.
set -eu

# A C compiler, the headers that the window toolkit is built with (X11, Wayland,
# OpenGL), and a driver that draws where there is no graphics card.
packages='gcc libc6-dev pkg-config
    libgl1-mesa-dev libx11-dev libxcursor-dev libxrandr-dev libxinerama-dev libxi-dev
    libxxf86vm-dev libwayland-dev libxkbcommon-dev libgl1-mesa-dri'

# A screen without a screen and hands to work the window, and the independent
# readers that check the files written.
for_tests='xvfb xdotool fluxbox imagemagick xclip wmctrl x11-utils
    g++ libcgal-dev admesh python3-ezdxf python3-numpy python3-scipy python3-shapely
    libocct-data-exchange-dev libocct-modeling-algorithms-dev libocct-modeling-data-dev
    libocct-foundation-dev libocct-ocaf-dev libdxflib-dev poppler-utils qpdf unzip'

case "$*" in
'') ;;
tests) packages="$packages $for_tests" ;;
*)
    echo 'usage: sh assets/setup.sh [tests]' >&2
    exit 2
    ;;
esac

installed() {
    [ "$(dpkg-query -W -f '${db:Status-Status}' "$1" 2>/dev/null)" = installed ]
}

# install gets the packages named, as root or through sudo.
install() {
    if [ "$(id -u)" = 0 ]; then
        root=''
    elif command -v sudo >/dev/null; then
        root=sudo
    else
        echo "As root, install: $*" >&2
        exit 1
    fi
    echo "Installing: $*"
    # Lists that cannot be refreshed may still do.
    $root apt-get -q update || echo 'The lists of packages could not be refreshed; going on with the old ones.' >&2
    $root env DEBIAN_FRONTEND=noninteractive \
        apt-get -q -y -o DPkg::Lock::Timeout=600 install --no-install-recommends "$@"
}

if command -v dpkg-query >/dev/null && command -v apt-get >/dev/null; then
    missing=''
    for package in $packages; do
        installed "$package" || missing="$missing $package"
    done
    # shellcheck disable=SC2086 # a list of names
    [ -z "$missing" ] || install $missing
else
    echo 'This is neither Debian nor Ubuntu. Install what these packages of theirs hold:'
    for package in $packages; do
        echo "    $package"
    done
fi

# older tells whether version $1 comes before $2: numbers with dots between.
older() {
    awk -v a="$1" -v b="$2" 'BEGIN {
        split(a, x, "."); split(b, y, ".")
        for (i = 1; i <= 3; i++) if (x[i] + 0 != y[i] + 0) exit !(x[i] + 0 < y[i] + 0)
        exit 1
    }'
}

want=$(awk '$1 == "go" { print $2; exit }' "$(dirname "$0")/../go.mod")
if ! command -v go >/dev/null; then
    echo "Go is missing: install Go $want or newer (not by apt-get: Debian's is older)." >&2
    exit 1
fi
have=$(GOTOOLCHAIN=local go version | sed -n 's/.*go\([0-9][0-9.]*\).*/\1/p')
if older "${have:-0}" "$want"; then
    echo "Go $have is too old: install Go $want or newer." >&2
    exit 1
fi
