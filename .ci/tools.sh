# What `.ci/run` and `page/build` share. Sourced by bash, not run.

step() { printf '\n== %s\n' "$*"; }

need() { # need PACKAGE COMMAND...: install a Debian package unless one of its commands is there
    local package=$1
    shift
    for command in "$@"; do command -v "$command" >/dev/null && return; done
    step "install $package"
    [ -n "${APT_UPDATED:-}" ] || { apt-get update -qq && APT_UPDATED=1; }
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$package" >/dev/null
}

# wasm_cargo ARGUMENT...: cargo for wasm32-unknown-unknown. With rustup's target where it is to be had; else with Debian's
# toolchain, which builds the standard library from source (two minutes of processor time, nearly all of it that library and
# the tools of aga8's build).
wasm_cargo() {
    if rustup target add wasm32-unknown-unknown >/dev/null; then
        cargo "$@" --target wasm32-unknown-unknown
        return
    fi
    local package
    for package in rustc-web cargo-web rust-web-src lld-19; do
        dpkg -s "$package" >/dev/null 2>&1 || need "$package"
    done
    # by their paths: other ones may come first in PATH
    RUSTC_BOOTSTRAP=1 RUSTC=/usr/bin/rustc CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER=wasm-ld-19 \
        /usr/bin/cargo "$@" --target wasm32-unknown-unknown -Z build-std=std,panic_abort
}
