#!/usr/bin/env bash
# The environment from pins: environment.sh LOCKFILE. Needs Python 3.11 or newer; says what to install when it cannot go on.
set -euo pipefail
cd "$(dirname "$0")/.."
lock="$1"

say() { printf '%s\n' "$*" >&2; }

python=""
for candidate in ${PYTHON:-} python3 python3.13 python3.12 python3.11; do
  if command -v "$candidate" >/dev/null && "$candidate" -c 'import sys; sys.exit(sys.version_info < (3, 11))'; then
    python="$candidate"
    break
  fi
done
if [ -z "$python" ]; then
  say "Python 3.11 or newer is needed. On Debian or Ubuntu: apt-get install python3 python3-venv"
  exit 1
fi

if [ ! -x .venv/bin/pip ]; then
  rm -rf .venv
  say "[1/3] a private environment in .venv ($("$python" --version))"
  if ! "$python" -c 'import ensurepip' 2>/dev/null; then
    package="python3-venv"
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
      say "      installing $package (Debian keeps it apart from python3)"
      apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq "$package" >/dev/null
    else
      say "Python's venv module is incomplete here. Install it, then run make again: sudo apt-get install $package"
      exit 1
    fi
  fi
  "$python" -m venv .venv
else
  say "[1/3] the environment in .venv is there"
fi

count=$(grep -c '==' "$lock")
say "[2/3] $count pinned packages from $lock (about a minute the first time)"
.venv/bin/pip install --quiet --disable-pip-version-check --require-hashes --no-deps -r "$lock" &
job=$!
while kill -0 "$job" 2>/dev/null; do
  sleep 5
  kill -0 "$job" 2>/dev/null && say "      … $(find .venv/lib -maxdepth 3 -name '*.dist-info' 2>/dev/null | wc -l) of $count installed"
done
wait "$job"
say "[3/3] the program itself"
.venv/bin/pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
