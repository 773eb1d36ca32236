#!/usr/bin/env bash
# One table: this program, EPANET and scipy on the same networks. See README.md.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
cp "$here/epanet.mjs" "$scratch/"
(cd "$scratch" && npm init -y >/dev/null && npm install --silent epanet-js@0.9.0 >/dev/null)
printf '%-28s %12s %26s\n' solver 'us a case' 'worst flow, of total'
(cd "$here/../.." && go test ./internal/hydraulics -run '^$' -bench 'Networks$' -benchtime 300ms |
  awk '/^BenchmarkNetworks/ { for (i = 2; i <= NF; i++) v[$i] = $(i-1)
    printf "%-28s %12.2f %26s\n", "headwatch", v["µs/case"], v["of-total"] }')
node "$scratch/epanet.mjs" "$here/../checks"
"${PYTHON:-python3}" "$here/scipy_networks.py" "$here/../checks"
