# Sourced by ./check: the programs that tests hold our own answers against, or look at our papers with.

# outside_packages [--full]: the Debian packages whose program is missing; the slow tests want an office suite too.
outside_packages() {
    command -v ngspice > /dev/null || say ngspice
    command -v pdftotext > /dev/null || say poppler-utils
    command -v chromium > /dev/null || say chromium
    command -v rsvg-convert > /dev/null || command -v convert > /dev/null || say librsvg2-bin
    [ "${1:-}" != --full ] || command -v soffice > /dev/null || say libreoffice-calc-nogui
}

fetch_outside_programs() {
    local wanted root=()
    mapfile -t wanted < <(outside_packages "$@")
    if [ "${#wanted[@]}" -eq 0 ]; then
        return
    fi
    [ "$(id -u)" -eq 0 ] || root=(sudo -n)
    say "Installing with apt-get: ${wanted[*]} ..."
    if ! {
        "${root[@]}" apt-get update -qq
        DEBIAN_FRONTEND=noninteractive "${root[@]}" apt-get install -y -qq --no-install-recommends "${wanted[@]}"
    } > /dev/null; then
        say "apt-get could not install ${wanted[*]}; the tests that need them will say so."
    fi
}
