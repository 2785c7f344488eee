#!/bin/sh
# need_tool.sh PROGRAM PACKAGE WHY: see that a system program is there, else install its package,
# else say in one sentence what is missing. Only under CI is a missing program a failure.
set -u
. "$(dirname "$0")/system_package.sh"

# Debian keeps the programs of a database server off the path.
there() { command -v "$1" >/dev/null 2>&1 || ls /usr/lib/postgresql/*/bin/"$1" >/dev/null 2>&1; }
there "$1" && exit 0
install_package "$2" && there "$1" && exit 0
echo "'$1' is missing ($3): install the package '$2' with your system's package manager." >&2
[ -n "${CI:-}" ] && exit 1
exit 0
