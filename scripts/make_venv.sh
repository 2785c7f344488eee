#!/bin/sh
# make_venv.sh PYTHON FOLDER: a virtual environment with exactly the packages of requirements.txt
# (every file checked against its hash) and our own package, editable.
set -eu
. "$(dirname "$0")/system_package.sh"
python=$1 venv=$2

command -v "$python" >/dev/null 2>&1 || {
	echo "'$python' is not there: install Python 3.11 or newer, or name it: make PY=/path/to/python3 ..." >&2
	exit 1
}
"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || {
	echo "$("$python" --version) is too old: innerleaf needs Python 3.11 or newer (make PY=/path/to/python3.11 ...)." >&2
	exit 1
}
# Debian and its kin ship Python without the module that puts pip into an environment.
has_pip='import ensurepip, venv'
"$python" -c "$has_pip" 2>/dev/null || install_package python3-venv || true
"$python" -c "$has_pip" 2>/dev/null || {
	echo "This Python cannot make virtual environments: install the package 'python3-venv' first." >&2
	exit 1
}

echo "Setting up $venv (a minute or two, only once) ..."
"$venv/bin/python" -m pip --version >/dev/null 2>&1 || "$python" -m venv --clear "$venv"
export PIP_DISABLE_PIP_VERSION_CHECK=1
"$venv/bin/python" -m pip install -q --require-hashes -r requirements.txt
"$venv/bin/python" -m pip install -q --no-deps --no-build-isolation -e .
