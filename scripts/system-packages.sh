#!/usr/bin/env bash
# What the tests need beside Python: a real browser, a real database server, a PDF reader, synthetic voices. Installs them when it may, else says exactly what to install.
set -euo pipefail
missing=()
command -v chromium-headless-shell >/dev/null || command -v chromium >/dev/null || command -v chromium-browser >/dev/null || missing+=(chromium-headless-shell)
compgen -G '/usr/lib/postgresql/*/bin/initdb' >/dev/null || command -v initdb >/dev/null || missing+=(postgresql)
command -v pdftoppm >/dev/null || missing+=(poppler-utils)
command -v espeak-ng >/dev/null || missing+=(espeak-ng)
command -v flite >/dev/null || missing+=(flite)
[ "${#missing[@]}" = 0 ] && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
  echo "installing for the tests: ${missing[*]}" >&2
  apt-get update -qq
  # some distributions have the whole browser alone
  apt-cache show chromium-headless-shell >/dev/null 2>&1 || missing=("${missing[@]/chromium-headless-shell/chromium}")
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq "${missing[@]}" >/dev/null
else
  echo "The tests need these Debian packages; none is skipped silently. Run: sudo apt-get install ${missing[*]}" >&2
  exit 1
fi
