# Debian's Rust compiler and other packages, unpacked without installing anything. Sourced from the top of the checkout.

# dependencies PATTERN PACKAGE...: the packages themselves and all that they depend on whose names match PATTERN.
dependencies() {
  local pattern=$1
  shift
  apt-cache depends --recurse --no-recommends --no-suggests --no-conflicts --no-breaks --no-replaces --no-enhances \
    "$@" 2>/dev/null | grep -xE "$pattern" | sort -u
}

# unpack_debs ROOT PACKAGE...: downloads packages and unpacks them below ROOT.
unpack_debs() {
  local root=$1
  shift
  command -v apt-get >/dev/null && command -v dpkg >/dev/null || return 1
  mkdir -p "$root/debs"
  (
    cd "$root/debs" || exit 1
    apt-get download -q "$@" >/dev/null 2>&1 || exit 1
    for deb in *.deb; do dpkg -x "$deb" "$root"; done
  ) || return 1
  rm -r "$root/debs"
}

# unpack_rust ROOT: the compiler, its libraries, and the source of the standard library.
unpack_rust() {
  local root=$1 found llvm
  [ ! -e "$root/complete" ] || return 0
  rm -rf "$root"
  found=$(dependencies 'rustc-web|rust-web-src|libstd-rust-web-(dev|[0-9.]+)' rustc-web rust-web-src)
  # shellcheck disable=SC2086 # one word a package
  unpack_debs "$root" $found || return 1
  # Of the versions of LLVM that a package may depend on, the one that the compiler was linked with.
  llvm=$(ls "$root"/usr/lib/*/librustc_driver-*.so | head -n 1)
  llvm=$(objdump -p "$llvm" | sed -nE 's/.*NEEDED +libLLVM[-.](so[.])?([0-9]+).*/libllvm\2/p')
  unpack_debs "$root" "$llvm" || return 1
  touch "$root/complete"
}

# use_rust ROOT: cargo uses that compiler, which may build the standard library. Only the compiler itself sees its libraries:
# build scripts are linked by this machine's.
use_rust() {
  # Renamed, since another script may be running the one that is there.
  printf '#!/bin/sh\nLD_LIBRARY_PATH=%s exec %s "$@"\n' "$1/usr/lib/x86_64-linux-gnu" "$1/usr/bin/rustc" >"$1/rustc.$$"
  chmod +x "$1/rustc.$$"
  mv "$1/rustc.$$" "$1/rustc"
  export RUSTC=$1/rustc RUSTC_BOOTSTRAP=1
}
