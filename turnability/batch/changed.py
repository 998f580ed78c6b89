"""Which files differ from a state of the repository that git knows."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

from turnability.errors import TurnabilityError


def changed_since(folder: Path, ref: str) -> frozenset[str]:
    """Real paths of files that differ from the commit where this branch left `ref`, or are new.

    Files not yet committed count. Raises TurnabilityError where git knows no such state.
    """
    if ref.startswith("-"):  # git would take it for an option
        raise TurnabilityError(ref, "this is no name of a commit", "Name a branch, tag or commit")
    root = Path(_git(folder, "rev-parse", "--show-toplevel").strip("\n"))
    base = _git(folder, "merge-base", ref, "HEAD").strip()
    listed = _git(root, "diff", "--name-only", "--no-renames", "-z", base, "--")
    listed += _git(root, "ls-files", "--others", "--exclude-standard", "-z")
    return frozenset(os.path.realpath(root / name) for name in listed.split("\0") if name)


def _git(folder: Path, *arguments: str) -> str:
    what = f"--changed-since in {folder}"
    try:
        done = subprocess.run(
            ["git", "-C", str(folder), *arguments],
            capture_output=True,
            check=False,
            text=True,
            errors="surrogateescape",
        )
    except OSError as fault:
        raise TurnabilityError(
            what, f"git cannot be run ({fault.strerror})", "Install git, or leave the option out"
        ) from None
    if done.returncode:
        said = done.stderr.strip().splitlines()
        cause = said[-1] if said else f"git ended with {done.returncode}"
        raise TurnabilityError(
            what, cause, "Name a branch, tag or commit that is fetched, in a folder of a repository"
        )
    return done.stdout
