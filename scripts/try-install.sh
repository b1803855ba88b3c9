#!/usr/bin/env bash
# Packs wirepit, installs the package into an empty folder as `npm i -g` does, and plays from somewhere else.
set -euo pipefail
cd "$(dirname "$0")/.."
export WIREPIT_CONFIG=off # whoever tries it may have settings of their own
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT

npm pack --silent --pack-destination "$place" >/dev/null
npm install --global --prefix "$place/prefix" --prefer-offline --no-fund --no-audit --loglevel=error "$place"/wirepit-*.tgz
installed="$place/prefix/lib/node_modules/wirepit"
wirepit="$place/prefix/bin/wirepit"
mkdir "$place/elsewhere" && cd "$place/elsewhere"

[ "$("$wirepit" --version)" = "$(node -p "require('$installed/package.json').version")" ]
"$wirepit" "$installed/songs/tide-study.mid" --headless --clock virtual --record take.mid --instrument parlour-piano
"$wirepit" check take.mid >check.txt || [ $? = 1 ]
grep -q '^Verdict' check.txt
"$wirepit" ports >ports.txt
"$wirepit" instrument lindwurm-eight >instrument.txt
"$wirepit" config >config.txt
[ "$("$wirepit" --help | tail -n 1)" = "$(realpath "$installed")/docs/README.md" ]
[ -e "$installed/docs/README.md" ] && [ -e "$place/prefix/share/man/man1/wirepit.1" ]
echo "installed from its package, wirepit plays (Node $(node -p process.versions.node))"
