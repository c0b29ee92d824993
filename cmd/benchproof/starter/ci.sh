#!/bin/sh
# What a change to this library has to pass before it is merged. It needs a shell,
# grep, and the program benchproof; with git it also tells what the change means.
#
#   sh ci.sh                     checks the library in the folder of this file
#   BASE=REVISION sh ci.sh       and compares it with that revision of the repository
#   DATE=today sh ci.sh          and tells which instruments are overdue on that day
#
# The stages are
#
#   format         each file is laid out in the one way
#   meaning        nothing is wrong with the procedures, warnings included
#   trials         each worked case comes out as it must, each branch has one;
#                  they are run when nothing else is an error
#   releases       what was released has not been changed since
#   translations   no translation is missing, stale or says something else
#   documents      the documents can be made
#
# What is overdue with DATE is told and fails nothing, since no change of the sources
# has brought it about; benchproof check --date today --overdue is for a watch.
#
# All of them run, so that one run tells everything. In out/report are then
# benchproof.sarif (messages for the review), messages.txt, trials.txt, with BASE
# changes.html and changes.md, with DATE calibration.txt; in out the documents. Keep out as the result of
# the run. Exit status: 0 all passed, 1 some did not, 2 it could not run.
set -u
cd "$(dirname "$0")" || exit 2
report=out/report
mkdir -p "$report" || exit 2
rm -f "$report"/* || exit 2
failed=

# stage NAME STATUS: says how a stage went.
stage() {
	if [ "$2" -eq 0 ]; then
		echo "$1: passed"
	else
		echo "$1: FAILED"
		failed="$failed $1"
	fi
}

# A message begins at the left edge with its place; what belongs to it is set in.
begin='^([^ ].*: )?(error|warning)'

# none CODES: whether no message has one of these codes.
none() {
	if grep -E "$begin ($1):" "$report/messages.txt" >/dev/null; then
		return 1
	fi
	return 0
}

benchproof format --check .
stage format $?

# Check finds everything but layout in one go; its codes tell the stages apart.
benchproof check --strict --format sarif . >"$report/benchproof.sarif"
checked=$?
if [ $checked -gt 1 ]; then
	echo "the library could not be checked"
	exit 2
fi
benchproof check --strict . 2>"$report/messages.txt"
cat "$report/messages.txt"
of_trials='BP9[0-9][0-9]'
of_releases='BP01[1-9]'
of_translations='BP03[0-9]'
if grep -E "$begin BP[0-9]+:" "$report/messages.txt" |
	grep -v -E "$begin ($of_trials|$of_releases|$of_translations):" >/dev/null; then
	stage meaning 1
else
	stage meaning 0
fi
if grep -E '^([^ ].*: )?error' "$report/messages.txt" | grep -v -E "$begin ($of_trials):" >/dev/null; then
	echo "trials: not run, since something else is wrong"
else
	none "$of_trials"
	stage trials $?
fi
none "$of_releases"
stage releases $?
none "$of_translations"
stage translations $?
if [ $checked -ne 0 ] && [ -z "${failed#" format"}" ]; then
	stage meaning 1 # a fault of a sort that is not known here is a fault
fi
benchproof trial . >"$report/trials.txt" 2>/dev/null

if [ -n "${DATE:-}" ]; then
	benchproof check --date "$DATE" . 2>"$report/calibration.txt"
	if [ $? -gt 1 ]; then
		cat "$report/calibration.txt"
		exit 2
	fi
	if grep -E "$begin BP027:" "$report/calibration.txt"; then
		echo "calibration: overdue, and named in $report/calibration.txt"
	else
		echo "calibration: nothing is overdue"
	fi
fi

# What the change means is for the person who reviews it; that something differs is
# no fault.
if [ -n "${BASE:-}" ]; then
	if git rev-parse --quiet --verify "$BASE^{commit}" >/dev/null; then
		benchproof compare "git:$BASE" . --to html --out "$report/changes.html"
		benchproof compare "git:$BASE" . --to markdown --out "$report/changes.md"
	else
		echo "there is no revision $BASE to compare with"
	fi
fi

if [ -z "$failed" ]; then
	benchproof build . --out out
	stage documents $?
fi
if [ -n "$failed" ]; then
	echo "not to be merged:$failed"
	exit 1
fi
echo "all stages passed"
