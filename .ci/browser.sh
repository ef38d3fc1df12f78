#!/bin/sh
# Tests pages in a browser. Installs what that needs where it is missing: Debian's chromium, and the one package of
# .ci/browser. What cannot be installed is a failure.
set -eu
cd "$(dirname "$0")/.."

if ! [ -x /usr/bin/chromium ]; then
	apt-get update
	apt-get install -y chromium
fi
if ! [ -f .ci/browser/node_modules/axe-core/axe.min.js ]; then
	npm ci --prefix .ci/browser --no-audit --no-fund
fi
exec go test -count=1 -tags browser ./explain/guide/...
