# Sourced: install_package NAME tries the system's package manager, where the rights allow; quiet.
install_package() {
	as_root=""
	if [ "$(id -u)" != 0 ]; then
		sudo -n true 2>/dev/null || return 1
		as_root="sudo -n"
	fi
	if command -v apt-get >/dev/null 2>&1; then
		export DEBIAN_FRONTEND=noninteractive
		$as_root apt-get install -y -qq --no-install-recommends "$1" >/dev/null 2>&1 && return 0
		$as_root apt-get update -qq >/dev/null 2>&1 || true
		$as_root apt-get install -y -qq --no-install-recommends "$1" >/dev/null 2>&1
	elif command -v dnf >/dev/null 2>&1; then
		$as_root dnf install -y -q "$1" >/dev/null 2>&1
	elif command -v apk >/dev/null 2>&1; then
		$as_root apk add -q "$1" >/dev/null 2>&1
	else
		return 1
	fi
}
