#!/usr/bin/env bash
# Packs wirepit, installs the package into an empty folder as `npm i -g` does, and plays from somewhere else: with the Node that
# is here, and with the other ones of 20, 22 and 24 that docs/install.md names. Those come from the package `node` of npm; one
# that is not to be had is left out, and that is said.
set -euo pipefail
cd "$(dirname "$0")/.."
export WIREPIT_CONFIG=off # whoever tries it may have settings of their own
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT

npm pack --silent --pack-destination "$place" >/dev/null

# With the Node that is first in PATH.
try() {
  local prefix="$place/prefix-$1" elsewhere="$place/elsewhere-$1"
  npm install --global --prefix "$prefix" --prefer-offline --no-fund --no-audit --loglevel=error "$place"/wirepit-*.tgz
  local installed="$prefix/lib/node_modules/wirepit" wirepit="$prefix/bin/wirepit"
  mkdir "$elsewhere" && cd "$elsewhere"

  [ "$("$wirepit" --version)" = "$(node -p "require('$installed/package.json').version")" ]
  "$wirepit" "$installed/songs/tide-study.mid" --headless --clock virtual --record take.mid --instrument parlour-piano
  "$wirepit" check take.mid >check.txt || [ $? = 1 ]
  grep -q '^Verdict' check.txt
  # On the real clock, through the threads.
  "$wirepit" "$installed/songs/tide-study.mid" --headless --to 1s --port file:sent.txt 2>status.txt
  grep -q ' 9[0-9A-F] ' sent.txt
  "$wirepit" show --new "$installed/songs" set.toml 2>/dev/null
  sed -i 's/^loop = true/loop = false/' set.toml
  "$wirepit" show set.toml --headless --clock virtual --json 2>/dev/null >show.json
  "$wirepit" show set.toml --service-tty tty1 | grep -q '^TTYPath=/dev/tty1$'
  "$wirepit" ports >ports.txt
  "$wirepit" instrument lindwurm-eight >instrument.txt
  "$wirepit" config >config.txt
  [ "$("$wirepit" --help | tail -n 1)" = "$(realpath "$installed")/docs/README.md" ]
  [ -e "$installed/docs/README.md" ]
  [ -e "$prefix/share/man/man1/wirepit.1" ]
  echo "installed from its package, wirepit plays (Node $(node -p process.versions.node))"
}

here=$(node -p 'process.versions.node.split(".")[0]')
(try "$here")
for major in 20 22 24; do
  [ "$major" = "$here" ] && continue
  if npm install --prefix "$place/node-$major" --prefer-offline --fetch-retries=0 --loglevel=silent "node@$major" >/dev/null &&
    "$place/node-$major/node_modules/node/bin/node" --version >/dev/null; then
    (PATH="$place/node-$major/node_modules/node/bin:$PATH" try "$major")
  else
    echo "note: Node $major is not to be had here; the package is not tried with it" >&2
  fi
done
