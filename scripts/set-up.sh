# Sourced by ./demo and ./check from the root of the project: everything either needs, and nothing twice.

readonly ROOT="$PWD"
readonly PYTHON=".venv/bin/python"
readonly FONTS="src/ohmwright/papers/fonts"
readonly PAGES="src/ohmwright/web/static"
readonly FACES=(
    source-sans/TTF/SourceSans3-{Regular,Semibold,Bold,It}.ttf
    source-serif/TTF/SourceSerif4-{Regular,Semibold,Bold,It}.ttf
)

say() { printf '%s\n' "$*"; }

stop() {
    printf '%s\n' "$*" >&2
    exit 3
}

fingerprint() { cat "$@" | sha256sum | cut -d ' ' -f 1; }

# done_before STAMP FINGERPRINT: true when that step was finished with these very inputs.
done_before() { [ -f ".venv/.done-$1" ] && [ "$(cat ".venv/.done-$1")" = "$2" ]; }
mark_done() { printf '%s' "$2" > ".venv/.done-$1"; }

find_python() {
    local name
    for name in python3.11 python3.12 python3; do
        if "$name" -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] < (3, 13))' 2> /dev/null; then
            command -v "$name"
            return
        fi
    done
    stop "ohmwright needs Python 3.11 or 3.12: on Debian 12, apt-get install python3 python3-pip."
}

make_venv() {
    # A virtual environment knows its own path, so one that was moved or copied is made anew.
    if done_before venv "$ROOT" && "$PYTHON" -c '' 2> /dev/null; then
        return
    fi
    local base
    base="$(find_python)"
    say "Making a Python environment in .venv ..."
    rm -rf .venv
    if ! "$base" -m venv .venv > /dev/null 2>&1; then
        # Debian keeps ensurepip in a package of its own; pip itself can serve an environment without one.
        rm -rf .venv
        "$base" -m venv --without-pip .venv
    fi
    mark_done venv "$ROOT"
}

# pip of the environment, or the system's pip working on the environment.
pip_() {
    if "$PYTHON" -c 'import pip' 2> /dev/null; then
        "$PYTHON" -m pip --disable-pip-version-check --quiet "$@"
    else
        python3 -m pip --python "$PYTHON" --disable-pip-version-check --quiet "$@"
    fi
}

# install ARGUMENTS: with uv where it can be had, else with pip; both check every hash.
install() {
    if .venv/bin/uv --version > /dev/null 2>&1; then
        .venv/bin/uv pip install --quiet --python "$PYTHON" "$@"
    else
        pip_ install "$@"
    fi
}

install_locked() {
    local wanted
    wanted="$(fingerprint requirements.lock scripts/installer.lock)"
    if done_before lock "$wanted"; then
        return
    fi
    say "Installing what requirements.lock names, every file checked against its hash ..."
    if ! .venv/bin/uv --version > /dev/null 2>&1; then
        pip_ install --require-hashes -r scripts/installer.lock || say "uv cannot be had here; pip does it, more slowly."
    fi
    install --require-hashes -r requirements.lock
    mark_done lock "$wanted"
}

install_ohmwright() {
    local wanted
    wanted="$(fingerprint pyproject.toml)"
    if done_before ohmwright "$wanted" && [ -x .venv/bin/ohmwright ]; then
        return
    fi
    install --no-deps --no-build-isolation --editable .
    mark_done ohmwright "$wanted"
}

fetch_packages() {
    command -v npm > /dev/null || stop "npm fetches the typefaces and what the bench is bundled from, and is not here: on Debian 12, apt-get install npm."
    say "Fetching typefaces and page tools ..."
    npm ci --ignore-scripts --no-audit --no-fund --loglevel=error > /dev/null
}

fetch_fonts() {
    local wanted face whole=yes
    wanted="$(fingerprint package-lock.json scripts/set-up.sh)"
    for face in "${FACES[@]}"; do
        [ -s "$FONTS/$(basename "$face")" ] || whole=no
    done
    if [ "$whole" = yes ] && done_before fonts "$wanted"; then
        return
    fi
    fetch_packages
    mkdir -p "$FONTS"
    for face in "${FACES[@]}"; do
        cp "node_modules/$face" "$FONTS/"
    done
    cp node_modules/source-sans/LICENSE.md "$FONTS/SourceSans3-LICENSE.md"
    cp node_modules/source-serif/LICENSE.md "$FONTS/SourceSerif4-LICENSE.md"
    mark_done fonts "$wanted"
}

build_web() {
    local wanted
    wanted="$(fingerprint package-lock.json scripts/build_web.mjs scripts/small_types.py src/ohmwright/web/assets/*)"
    if [ -s "$PAGES/bench.js" ] && done_before web "$wanted"; then
        return
    fi
    [ -d node_modules/esbuild ] || fetch_packages
    say "Bundling the pages of the bench ..."
    node scripts/build_web.mjs
    mark_done web "$wanted"
}

set_up() {
    make_venv
    install_locked
    install_ohmwright
    fetch_fonts
    build_web
}
