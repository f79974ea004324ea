#!/bin/sh
# The browser tests use Debian's Chromium. Install it where we may; elsewhere those tests say why they did not run.
set -eu
command -v chromium >/dev/null 2>&1 && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium fonts-dejavu-core >/dev/null
else
  echo "chromium is not installed: the browser tests will be skipped" >&2
fi
