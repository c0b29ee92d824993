#!/bin/sh
# What a change to this library has to pass before it is merged. Any build server
# that can run a shell and has the program runs it as it stands; keep the folder
# `out` as the result of the run.
set -eu
cd "$(dirname "$0")"

benchproof format --check .    # the files are laid out as they should be
benchproof check --strict .    # nothing is wrong, warnings included
benchproof trial .             # what each worked case did
benchproof build . --out out   # the pages to release
