# Installs what the program is built from. By itself: sh cmd/setup.sh. demo.sh and test.sh source it for its functions.

# need PACKAGE... installs the Debian packages that are missing.
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

# fetch_highs puts the solver HiGHS, from the npm package highs, where go build embeds it. Both checksums belong to this version.
fetch_highs() {
	highs=optimize/mip/highs
	[ -f $highs/LICENSE ] && (cd $highs && sha256sum --check --status highs.wasm.sha256 2>/dev/null) && return 0
	echo "Fetching HiGHS ..." >&2
	command -v npm >/dev/null 2>&1 || need npm || return 1
	mkdir -p out && work=$(mktemp -d out/highs.XXXXXX) || return 1
	if (
		cd "$work" || exit 1
		npm_config_cache="$PWD/cache" npm pack --silent highs@1.15.3 >/dev/null || exit 1
		echo "e6bce3065024a91c6bec53affa2663c45f2735f2ac12df2e39a3f74ba825b3ac917f8f89bf806a04813788f16c81f387bad40130dc5113d8d687144033b3b273  highs-1.15.3.tgz" |
			sha512sum --check --quiet - || exit 1
		tar -xzf highs-1.15.3.tgz package/build/highs.wasm package/LICENSE
	) && mv "$work/package/LICENSE" $highs/LICENSE && mv "$work/package/build/highs.wasm" $highs/highs.wasm; then
		rm -rf "$work"
		(cd $highs && sha256sum --check --quiet highs.wasm.sha256)
		return
	fi
	rm -rf "$work"
	echo "HiGHS could not be fetched: npm pack highs@1.15.3 failed, or gave another file." >&2
	return 1
}

# What the program needs, when this is run by itself.
case $0 in
*setup.sh)
	set -eu
	cd "$(dirname "$0")/.."
	need libglpk-dev gcc libc6-dev
	fetch_highs
	;;
esac
