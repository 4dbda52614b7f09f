# What the tests need besides the Rust toolchain, and how it comes. Sourced by tests/all at the top of the checkout.

# A command, and the Debian package that brings it.
NEEDS="
chromium chromium
node nodejs
npm npm
curl curl
python3 python3
vipsthumbnail libvips-tools
exiftool libimage-exiftool-perl
convert imagemagick
cjpeg libjpeg-turbo-progs
strace strace
unshare util-linux
ip iproute2
unzip unzip
zip zip
apache2 apache2-bin
javac default-jdk-headless
mvn maven
aapt2 aapt
apksigner apksigner
dexdump dexdump
zipalign zipalign
"

missing_packages() {
  local command package
  while read -r command package; do
    [ -z "$command" ] || command -v "$command" >/dev/null || echo "$package"
  done <<<"$NEEDS"
  python3 -c 'import ensurepip' 2>/dev/null || echo python3-venv
  [ -e /usr/share/android-framework-res/framework-res.apk ] || echo android-framework-res
}

# Installs the packages that are missing, where this account may; names them where it may not.
get_needs() {
  local missing
  missing=$(missing_packages | sort -u | tr '\n' ' ')
  [ -n "$missing" ] || return 0
  if [ "$(id -u)" -eq 0 ] && command -v apt-get >/dev/null; then
    echo "== Installing: $missing"
    # shellcheck disable=SC2086 # one word a package
    apt-get update -q && DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends $missing && return 0
  fi
  echo "Not on this machine, and not installed: $missing"
  echo "On Debian or Ubuntu: sudo apt-get install $missing"
  echo "Without them some tests are skipped or fail; each says so."
}

# python_for FOLDER: a Python of its own for the oracle in FOLDER, with what its requirements.txt names, and nothing that
# those would bring along: a file names all that its oracle imports.
python_for() {
  local venv
  venv="target/venv/$(basename "$1")"
  python3 -c 'import ensurepip' 2>/dev/null || return 1
  [ -x "$venv/bin/python" ] || python3 -m venv "$venv" || return 1
  [ ! -e "$1/requirements.txt" ] ||
    "$venv/bin/pip" install -q --no-deps --disable-pip-version-check -r "$1/requirements.txt"
}

# Whether the phone's shell can be built and run on a JVM.
have_jvm() {
  command -v mvn >/dev/null && command -v javac >/dev/null || return 1
  javac -version 2>&1 | awk '{ split($2, version, "."); exit !(version[1] >= 17) }'
}

# Whether there is a browser and a Node to drive it, with the packages of tests/browser in place.
have_browser() {
  command -v chromium >/dev/null || command -v chromium-browser >/dev/null || [ -n "${CHROMIUM:-}" ] || return 1
  command -v npm >/dev/null || return 1
  node -e 'process.exit(Number(process.versions.node.split(".")[0]) >= 20 ? 0 : 1)' || return 1
  (cd tests/browser && npm ci --silent --no-audit --no-fund)
}
