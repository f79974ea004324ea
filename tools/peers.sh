#!/bin/sh
# What is seen from a place is held against GRASS. Install it where we may; elsewhere those tests say why they did not run.
set -eu
command -v grass >/dev/null 2>&1 && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends grass-core >/dev/null
else
  echo "grass is not installed: the tests that hold what is seen against it will be skipped" >&2
fi
