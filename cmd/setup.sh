# Sourced by demo.sh and test.sh: sees to the Debian packages named, installing what is missing.
# Usage: need PACKAGE...

need() {
	missing=""
	for package in "$@"; do
		if ! dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q "install ok installed"; then
			missing="$missing $package"
		fi
	done
	[ -z "$missing" ] && return 0
	if ! command -v apt-get >/dev/null 2>&1; then
		echo "These packages are needed, by whatever name your system gives them:$missing" >&2
		return 1
	fi
	echo "Installing:$missing" >&2
	as_root=""
	if [ "$(id -u)" -ne 0 ]; then
		as_root="sudo"
	fi
	# A mirror may fail once, and another installation may hold the lock for a while.
	patient="-o Acquire::Retries=3 -o DPkg::Lock::Timeout=300"
	# shellcheck disable=SC2086  # the lists are words
	$as_root apt-get $patient update -qq
	# shellcheck disable=SC2086
	DEBIAN_FRONTEND=noninteractive $as_root apt-get $patient install -y -qq --no-install-recommends $missing >/dev/null
}
