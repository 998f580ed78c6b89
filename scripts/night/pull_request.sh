#!/bin/sh
# For a build server: analyse only the parts that a pull request changes, against its target branch.
# Exit codes: 0 fine, 1 findings at or above the level, 3 something could not be used.
# The history up to where the branches part must be fetched. Keep the cache folder between builds.
set -eu
target="${1:-origin/main}"
exec turnability batch . --changed-since "$target" --fail-on error
