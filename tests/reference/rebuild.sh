#!/usr/bin/env bash
# Makes the reference values anew with both solvers and compares them with the ones kept here.
# With --write, puts the new ones in place. Everything it installs for Python goes to a folder that it removes.
set -euo pipefail
cd "$(dirname "$0")"

if ! command -v ngspice > /dev/null; then
  echo "ngspice is missing; trying: apt-get install ngspice"
  apt-get update -qq && apt-get install -y -qq ngspice
fi

folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
python3 -m venv "$folder"
"$folder/bin/pip" install --quiet --disable-pip-version-check --requirement scripts/requirements.txt

export PYTHONDONTWRITEBYTECODE=1
"$folder/bin/python" scripts/check_examples.py
"$folder/bin/python" scripts/rebuild.py "$@"
