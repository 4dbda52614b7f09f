# What the tests require besides the Rust toolchain, and how to install it. Sourced from the top of the checkout.

# A command and its Debian package, for the tests.
TEST_COMMANDS="
chromium-headless-shell chromium-headless-shell
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
pdftoppm poppler-utils
qpdf qpdf
zip zip
apache2 apache2-bin
soffice libreoffice-calc-nogui
javac default-jdk-headless
mvn maven
aapt2 aapt
apksigner apksigner
dexdump dexdump
zipalign zipalign
"

# The same, for what the benchmarks compare with.
BENCH_COMMANDS="
vipsthumbnail libvips-tools
convert imagemagick
cjpeg libjpeg-turbo-progs
rsync rsync
nginx nginx-light
curl curl
openssl openssl
sqlite3 sqlite3
"

# have_command COMMAND: whether it can be run. Other programs are called `convert` too, so ImageMagick's is asked for its version.
have_command() {
  command -v "$1" >/dev/null || return 1
  [ "$1" != convert ] || convert -version 2>/dev/null | grep -q ImageMagick
}

# missing_commands LIST: the packages of the commands in LIST that are missing.
missing_commands() {
  local command package
  while read -r command package; do
    [ -z "$command" ] || have_command "$command" || echo "$package"
  done <<<"$1"
}

missing_test_packages() {
  missing_commands "$TEST_COMMANDS"
  python3 -c 'import ensurepip' 2>/dev/null || echo python3-venv
  [ -e /usr/share/android-framework-res/framework-res.apk ] || echo android-framework-res
}

# install_packages PACKAGE...: installs them if this account may, else names them.
install_packages() {
  local missing
  missing=$(printf '%s\n' "$@" | sort -u | tr '\n' ' ')
  [ -n "${missing// /}" ] || return 0
  if [ "$(id -u)" -eq 0 ] && command -v apt-get >/dev/null; then
    echo "== Installing: $missing"
    # shellcheck disable=SC2086 # one word a package
    apt-get update -q && DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends $missing && return 0
  fi
  echo "Missing, and not installed: $missing"
  echo "On Debian or Ubuntu: sudo apt-get install $missing"
  echo "Without them some tests are skipped or fail; each says so."
}

# Installs what the tests require.
install_requirements() {
  # shellcheck disable=SC2046 # one word a package
  install_packages $(missing_test_packages)
}

# python_for FOLDER: a virtual environment for the oracle in FOLDER with exactly the packages in its requirements.txt, which
# names everything that the oracle imports.
python_for() {
  local venv
  venv="target/venv/$(basename "$1")"
  python3 -c 'import ensurepip' 2>/dev/null || return 1
  [ -x "$venv/bin/python" ] || python3 -m venv "$venv" || return 1
  [ ! -e "$1/requirements.txt" ] ||
    "$venv/bin/pip" install -q --no-deps --disable-pip-version-check -r "$1/requirements.txt"
}

# Whether the Android shell can be built and run on a JVM.
have_jvm() {
  command -v mvn >/dev/null && command -v javac >/dev/null || return 1
  javac -version 2>&1 | awk '{ split($2, version, "."); exit !(version[1] >= 17) }'
}

# Whether there is a browser, and Node to drive it.
have_browser() {
  [ -n "${CHROMIUM:-}" ] || command -v chromium-headless-shell chromium chromium-browser >/dev/null || return 1
  command -v npm >/dev/null || return 1
  node -e 'process.exit(Number(process.versions.node.split(".")[0]) >= 20 ? 0 : 1)'
}

# The packages of tests/browser, which drive it.
browser_packages() {
  (cd tests/browser && npm ci --silent --no-audit --no-fund)
}
