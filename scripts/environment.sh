# Sourced by the scripts beside it, never run by itself. Needs Python 3.11 or later and the
# package index; makes .venv in the checkout and keeps it up to date.
#
#   environment EXTRA    # EXTRA of pyproject.toml, installed with the package itself
#   "$python" …          # its interpreter from then on

environment() {
    extra=$1
    python=$checkout/.venv/bin/python
    wanted="$extra $(cat "$checkout/pyproject.toml" "$checkout/scripts/environment.sh" | cksum)"
    stamp=$checkout/.venv/installed-$extra
    if [ -f "$stamp" ] && [ "$(cat "$stamp")" = "$wanted" ] && "$python" -c '' 2>/dev/null; then
        return 0
    fi
    if ! "$python" -c 'import pip' 2>/dev/null; then
        base=$(find_python) || exit 3
        echo "Making .venv with $("$base" --version)" >&2
        rm -rf "$checkout/.venv"
        if ! "$base" -m venv "$checkout/.venv"; then
            rm -rf "$checkout/.venv"
            echo "The virtual environment could not be made." >&2
            echo "On Debian and its kin: apt-get install python3-venv" >&2
            exit 3
        fi
    fi
    echo "Installing turnability and what it needs (a few minutes the first time)" >&2
    "$python" -m pip install --quiet --disable-pip-version-check \
        --editable "$checkout[$extra]" || exit 3
    if [ "$extra" = dev ]; then
        # An independent package whose tables ours are held against; never imported, so alone.
        "$python" -m pip install --quiet --disable-pip-version-check \
            --no-deps bd_warehouse==0.4.0 || exit 3
    fi
    kernel_libraries
    printf '%s' "$wanted" >"$stamp"
}

# The newest interpreter that will do; 3.11 to 3.13 first, for which all packages have wheels.
find_python() {
    for name in ${PYTHON:-} python3.13 python3.12 python3.11 python3 python python3.14; do
        if command -v "$name" >/dev/null 2>&1 &&
            "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            command -v "$name"
            return 0
        fi
    done
    echo "turnability needs Python 3.11 or later, and none was found." >&2
    echo "Install one, or name it: PYTHON=/path/to/python3.12 $0" >&2
    return 1
}

# The CAD kernel's wheel links to OpenGL and X11 libraries, which bare systems lack.
kernel_libraries() {
    "$python" -c 'import OCP.gp' 2>/dev/null && return 0
    if command -v apt-get >/dev/null 2>&1 && [ "$(id -u)" = 0 ]; then
        echo "Installing the system libraries of the CAD kernel (libgl1 libx11-6 libexpat1)" >&2
        { apt-get update && apt-get install -y --no-install-recommends libgl1 libx11-6 libexpat1; } \
            >/dev/null 2>&1
    fi
    "$python" -c 'import OCP.gp' && return 0
    echo "The CAD kernel cannot be loaded; the line above says which system library is missing." >&2
    echo "On Debian and its kin: apt-get install libgl1 libx11-6 libexpat1" >&2
    exit 3
}

# The report page is tested in the system's own headless Chromium. Says plainly when it can't be had;
# in CI the tests that need it then fail.
browser() {
    [ -n "${TURNABILITY_CHROMIUM:-}" ] && return 0
    for name in chromium chromium-browser google-chrome google-chrome-stable; do
        command -v "$name" >/dev/null 2>&1 && return 0
    done
    if command -v apt-get >/dev/null 2>&1 && [ "$(id -u)" = 0 ]; then
        echo "Installing Chromium for the browser tests" >&2
        { apt-get update && apt-get install -y --no-install-recommends chromium; } >/dev/null 2>&1
        command -v chromium >/dev/null 2>&1 && return 0
    fi
    echo "The browser tests will not run: there is no Chromium." >&2
    echo "On Debian and its kin: apt-get install chromium; or name one in TURNABILITY_CHROMIUM" >&2
}
