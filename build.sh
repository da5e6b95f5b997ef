#!/usr/bin/env bash
# Builds, serves, tests and measures Candleclock: see ./build.sh help.
set -euo pipefail
cd "$(dirname "$0")"

out=.build
site=$out/site
tools=$out/tools

usage() {
	cat <<-'END'
	./build.sh               build the site to .build/site: static files for any host, under any path;
	                         and the same as a single file, .build/candleclock.html
	./build.sh serve [PORT]  build, and serve on this machine (port 8080 unless told)
	./build.sh test          everything that must hold; fetches the browsers, node and axe-core when missing
	./build.sh soak [TIMES]  kill the page while it saves, fill disks, and fuzz the decoders, TIMES as long as a test run does (10 unless told)
	./build.sh bench         how fast the sums and the page are, and how large the download
	./build.sh components    every component in every state, each by itself: the page .build/gallery/components.html
	./build.sh gallery       pictures of every page and component in every state and look, shown by .build/gallery/index.html
	./build.sh mutants NAME  change engine/NAME, one operator at a time, and tell which changes its tests miss
	./build.sh help          this
	END
}

say() { printf '\n== %s (after %d s)\n' "$*" $SECONDS; }

# The components' Go is generated, not committed.
generate() { go tool vugugen -s -skip-go-mod -skip-main ui; }

# in_wasm COMMAND... runs a go command for the target of the page.
in_wasm() { GOOS=js GOARCH=wasm "$@"; }

build() {
	generate
	mkdir -p $tools
	# -trimpath, no version-control stamp and no build id: the same source gives
	# the same bytes everywhere. -s -w leave out what only a debugger reads.
	# -l (no inlining) makes the download a tenth smaller; the sums and what they
	# stand on keep theirs, since they would take twice as long without.
	in_wasm go build -trimpath -buildvcs=false -ldflags '-s -w -buildid=' \
		-gcflags=all=-l -gcflags=candleclock/engine/...= -gcflags=math/...= \
		-gcflags=runtime/...= -gcflags=internal/...= \
		-o $out/candleclock.wasm ./wasm
	go build -o $tools/site ./ui/cmd/site
	local new=$site.$$ # two builds at once must not mix
	$tools/site -out $new -single $out/candleclock.html.$$ -wasm $out/candleclock.wasm -public public \
		-goroot "$(go env GOROOT)" -vugu "$(go list -m -f '{{.Dir}}' github.com/vugu/vugu)"
	rm -rf $site
	mv $new $site
	mv $out/candleclock.html.$$ $out/candleclock.html
}

# hang writes every component in every state, each by itself, to a page beside
# the site. Nothing of it is served to anyone.
hang() {
	CANDLECLOCK_GALLERY=$PWD/$out/gallery/components.html go test -count=1 ./ui -run '^TestGallery$'
}

serve() {
	build
	exec $tools/site -serve "localhost:${1:-8080}" $site
}

# need COMMAND PACKAGE installs a Debian package when its command is missing.
need() {
	command -v "$1" >/dev/null && return
	local sudo=
	if [ "$(id -u)" != 0 ]; then
		command -v sudo >/dev/null || { echo "build.sh: $1 is missing: install it, or run this as root" >&2; exit 1; }
		sudo='sudo -n'
	fi
	[ -n "${updated:-}" ] || $sudo apt-get update -q
	updated=yes
	DEBIAN_FRONTEND=noninteractive $sudo apt-get install -q -y --no-install-recommends "$2"
}

need_browser() {
	need chromium chromium
	need node nodejs
	need npm npm
	need firefox-esr firefox-esr
	need WebKitWebDriver webkit2gtk-driver
	need Xvfb xvfb
	need pdftoppm poppler-utils
	need zbarimg zbar-tools
	# axe-core checks accessibility; the version is pinned, since each one checks more.
	local axe=$tools/node_modules/axe-core
	grep -qs '"version": "4.14.1"' $axe/package.json ||
		npm install --prefix $tools --no-audit --no-fund --no-package-lock --silent axe-core@4.14.1
	export CANDLECLOCK_SITE=$PWD/$site CANDLECLOCK_AXE=$PWD/$axe/axe.min.js
}

check_format() {
	local bad
	bad=$(gofmt -l wasm ui engine e2e | grep -v '_gen\.go$' || true)
	[ -z "$bad" ] || { echo "not formatted with gofmt: $bad" >&2; exit 1; }
}

tests() {
	generate
	say format
	check_format
	say vet
	go vet ./...
	in_wasm go vet ./engine/... ./ui/... ./wasm/...
	say staticcheck
	mkdir -p $tools
	go build -o $tools/staticcheck honnef.co/go/tools/cmd/staticcheck
	$tools/staticcheck ./...
	in_wasm $tools/staticcheck ./engine/... ./ui/... ./wasm/...
	say tests
	go test -vet=off ./engine/... ./ui/... # vetted above
	need_browser
	say tests in WebAssembly
	in_wasm go test -vet=off -exec "$(go env GOROOT)/lib/wasm/go_js_wasm_exec" ./engine/...
	say build
	build
	hang
	say tests in the browser
	go test -vet=off -count=1 -timeout 40m ./e2e/...
	say done
}

# What a test run does for a minute or two, for hours: kills while saving, and
# fuzzing of all that comes from outside.
soak() {
	local times=${1:-10}
	generate
	need_browser
	build
	say kills while saving, and full disks
	CANDLECLOCK_SOAK=$times go test -count=1 -timeout 0 -v ./e2e -run 'KilledWhileSaving|DiskFull'
	say fuzzing
	local pkg target
	for pkg in $(grep -rl '^func Fuzz' --include='*_test.go' engine ui | xargs -n1 dirname | sort -u); do
		for target in $(grep -hoE '^func Fuzz\w+' "$pkg"/*_test.go | cut -c6-); do
			go test "./$pkg" -run '^$' -fuzz "^$target\$" -fuzztime "$((times * 6))s"
		done
	done
}

# compare PACKAGE BENCHMARKS runs benchmarks natively and under wasm, and prints
# how many times longer each takes there.
compare() {
	local native wasm
	native=$(go test "$1" -run '^$' -bench "^Benchmark($2)\$" -benchtime 50x | grep ^Benchmark)
	wasm=$(in_wasm go test "$1" -run '^$' -bench "^Benchmark($2)\$" -benchtime 50x \
		-exec "$(go env GOROOT)/lib/wasm/go_js_wasm_exec" | grep ^Benchmark)
	# A native name ends in the number of processors, one under wasm does not.
	awk '{ name = $1; sub(/-[0-9]+$/, "", name) }
		NR == FNR { ns[name] = $3; next }
		{ printf "%-28s native %9.3f ms, wasm %9.3f ms, ratio %.2f\n", name, ns[name]/1e6, $3/1e6, $3/ns[name] }' \
		<(echo "$native") <(echo "$wasm")
}

bench() {
	generate
	go test -run '^$' -bench . ./engine/... ./ui/...
	need_browser
	say the sums in WebAssembly, as a ratio
	compare ./engine/sun Year
	compare ./engine/odds 'Runtime|WithSun|Through14Days|ThroughCourses|ThroughAveraged'
	build
	say in the browser
	go test -timeout 40m ./e2e -run '^$' -bench . -benchtime 1x
}

# mutants NAME lets a mutation tester loose on a package of the sums.
mutants() {
	local dir=$PWD/$tools/mutants
	mkdir -p $dir
	GOBIN=$dir go install github.com/go-gremlins/gremlins/cmd/gremlins@v0.6.0
	# It leaves out code without coverage, and coverage knows neither constants
	# nor tables nor the cases of a switch; and it counts as killed what does not
	# compile. This stands in for go, and puts both right.
	cat >$dir/go <<-'END'
	#!/bin/sh
	case $1-$2 in
	test--cover)
		$REAL_GO "$@" || exit
		for f in ${5%/...}/*.go; do
			echo "candleclock/${f#./}:1.1,99999.1 1 1" >>$4
		done
		;;
	test-*)
		out=$($REAL_GO "$@" 2>&1) && exit
		case $out in *"build failed"*) exit 2 ;; esac
		exit 1
		;;
	*) exec $REAL_GO "$@" ;;
	esac
	END
	chmod +x $dir/go
	REAL_GO=$(command -v go) PATH=$dir:$PATH GOFLAGS=-vet=off nice -n 19 \
		gremlins unleash --workers 1 --timeout-coefficient 10 --exclude-files 'internal/|plantest/' "./engine/$1"
}

gallery() {
	need_browser
	build
	hang
	CANDLECLOCK_ALBUM=$PWD/$out/gallery go test -count=1 ./e2e -run '^TestAlbum$'
}

case "${1:-build}" in
build) build ;;
components)
	build
	hang
	;;
serve) serve "${2:-}" ;;
test) tests ;;
soak) soak "${2:-}" ;;
bench) bench ;;
gallery) gallery ;;
mutants) mutants "${2:?which package of engine?}" ;;
help | -h | --help) usage ;;
*)
	usage >&2
	exit 2
	;;
esac
