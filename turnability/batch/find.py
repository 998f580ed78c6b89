"""The parts of a repository: which files are to be analysed, and what is passed over and why.

No link is followed, so nothing outside the folder is ever read.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from turnability.errors import TurnabilityError
from turnability.part.reading.step_text import LFS_POINTER
from turnability.standing.model import FolderRule, Project, Repository

PLAIN = (".step", ".stp", ".p21")
ZIPPED = (".stpz",)
MOST_BYTES = 512 << 20
"""A larger file is passed over (our choice)."""
_LFS_BYTES = 1024
"""Git-LFS pointers are smaller than this (the Git LFS specification, "The Pointer")."""
_INTENT = ".intent.toml"


@dataclass(frozen=True, slots=True)
class PartFile:
    """One file to analyse. `path` is relative to the folder, `/` between names.

    `intents` are the files that state what the part must have: those beside it, else the
    repository's own for its folder.
    """

    path: str
    file: Path
    size: int
    owner: str | None
    intents: tuple[Path, ...]
    zipped: bool


@dataclass(frozen=True, slots=True)
class PassedOver:
    """A file or folder that is not analysed, and why."""

    path: str
    why: str


@dataclass(frozen=True, slots=True)
class Found:
    """All parts below a folder in the order of their paths, and what was passed over."""

    parts: tuple[PartFile, ...]
    passed_over: tuple[PassedOver, ...]


def find(
    folder: Path,
    project: Project | None = None,
    ignored: Sequence[str] = (),
    leave_out: Sequence[Path] = (),
) -> Found:
    """All STEP files below a folder.

    `ignored` are patterns beside the project's, relative to the folder; the project's are relative
    to its own. `leave_out` are folders of results. Hidden files and folders (`.git`) are passed
    over without a word. Raises TurnabilityError where the folder cannot be read.
    """
    root = Path(os.path.realpath(folder))
    if root.is_file():
        raise TurnabilityError(
            str(folder),
            "it is a file, and `batch` takes a folder",
            f"Use `turnability check` for one file, or name its folder, {Path(folder).parent}",
        )
    if not root.is_dir():
        raise TurnabilityError(str(folder), "there is no such folder", "Check its name")
    repository = Repository() if project is None else project.repository
    base = root if project is None else Path(project.folder)
    prefix = root.relative_to(base).as_posix() if root.is_relative_to(base) else "."
    shunned = [_pattern(p) for p in repository.ignored], [_pattern(p) for p in ignored]
    outside = {os.path.realpath(one) for one in leave_out}
    parts: list[PartFile] = []
    over: list[PassedOver] = []

    def is_ignored(path: str) -> bool:
        from_base = path if prefix == "." else f"{prefix}/{path}"
        tests = [(from_base, p) for p in shunned[0]] + [(path, p) for p in shunned[1]]
        return any(pattern.fullmatch(name) for name, pattern in tests)

    def lost(error: OSError) -> None:
        if Path(error.filename) == root:
            cause = f"the folder cannot be read ({error.strerror})"
            raise TurnabilityError(str(folder), cause, "Check its permissions")
        path = Path(error.filename).relative_to(root).as_posix()
        over.append(PassedOver(path, f"it cannot be read ({error.strerror})"))

    for here, folders, names in os.walk(root, onerror=lost, followlinks=False):
        at = Path(here).relative_to(root)
        kept = []
        for name in sorted(folders):
            path = (at / name).as_posix()
            if name.startswith(".") or str(Path(here) / name) in outside or is_ignored(path):
                continue
            if (Path(here) / name).is_symlink():
                over.append(
                    PassedOver(path, "it is a link to a folder, and links are not followed")
                )
                continue
            kept.append(name)
        folders[:] = kept
        beside = {name for name in names if name.endswith(_INTENT)}
        for name in sorted(names):
            kind = os.path.splitext(name)[1].lower()  # noqa: PTH122 (quicker, for many files)
            path = (at / name).as_posix()
            if name.startswith(".") or kind not in (*PLAIN, *ZIPPED) or is_ignored(path):
                continue
            file = Path(here) / name
            size, why = _looked_at(file)
            if path.encode("utf-8", "replace").decode() != path:
                why = "its name is no UTF-8 text. Give it another one"
            if why is not None:
                over.append(PassedOver(path, why))
                continue
            from_base = path if prefix == "." else f"{prefix}/{path}"
            rules = _rules_for(repository, from_base)
            own = tuple(Path(here) / one for one in _own_intents(name, beside))
            intent = next((r.intent for r in rules if r.intent), repository.intent)
            owner = next((r.owner for r in rules if r.owner), None)
            given = () if intent is None else (base / intent,)
            parts.append(PartFile(path, file, size, owner, own or given, kind in ZIPPED))
    parts.sort(key=lambda part: part.path)
    return Found(tuple(parts), tuple(over))


def nothing_in(
    folder: Path, over: Sequence[PassedOver], project: Project | None, ignored: Sequence[str]
) -> TurnabilityError:
    """Why there is nothing to do: a run without a part is a slip, and passes no build."""
    ignored = (*(project.repository.ignored if project else ()), *ignored)
    kinds = ", ".join(f"*{kind}" for kind in (*PLAIN, *ZIPPED))
    cause = f"no part was found in it ({kinds})"
    if over:
        more = f", as were {len(over) - 1} more" if len(over) > 1 else ""
        cause += f"; {over[0].path} was passed over{more}: {over[0].why}"
    remedy = "Name the folder that holds the STEP files"
    if ignored:
        remedy += f", or look at what is to be ignored: {', '.join(ignored)}"
    return TurnabilityError(str(folder), cause, remedy)


def _looked_at(file: Path) -> tuple[int, str | None]:
    """A file's size, and why it is passed over, if it is."""
    try:
        if file.is_symlink():
            return 0, "it is a link, and links are not followed"
        state = file.stat()
        if not file.is_file():
            return 0, "it is no plain file"
        if state.st_size > MOST_BYTES:
            return 0, f"it has {state.st_size >> 20} MB, and at most {MOST_BYTES >> 20} are read"
        with file.open("rb") as stream:
            if state.st_size < _LFS_BYTES and stream.read(len(LFS_POINTER)) == LFS_POINTER:
                return 0, "it is a Git-LFS pointer, and not the file. Fetch it with `git lfs pull`"
    except OSError as error:
        return 0, f"it cannot be read ({error.strerror})"
    return state.st_size, None


def _own_intents(name: str, beside: Iterable[str]) -> Iterator[str]:
    """Intent files for the part itself and for single solids of it."""
    stem = name.rpartition(".")[0]
    own = re.compile(rf"{re.escape(stem)}(\.\d+)?{re.escape(_INTENT)}")
    return (one for one in sorted(beside) if own.fullmatch(one))


def _rules_for(repository: Repository, path: str) -> list[FolderRule]:
    """What is said of the folders above a path, the deepest first."""
    above = {parent.as_posix() for parent in PurePosixPath(path).parents}
    fitting = [rule for rule in repository.folders if rule.path in above]
    return sorted(fitting, key=lambda rule: (rule.path == ".", -rule.path.count("/")))


def _pattern(pattern: str) -> re.Pattern[str]:
    """A pattern as an expression for paths: `*` within a name, `**` over folders, `?` one letter.

    Without a slash it is for names anywhere, as in the ignore files of version control.
    """
    pattern = pattern.strip().removesuffix("/")
    anywhere = "/" not in pattern
    made = ""
    for piece in re.findall(r"\*\*/|\*\*|\*|\?|.", pattern.removeprefix("/"), re.DOTALL):
        match piece:
            case "**/":
                made += "(?:[^/]+/)*"
            case "**":
                made += ".*"
            case "*":
                made += "[^/]*"
            case "?":
                made += "[^/]"
            case letter:
                made += re.escape(letter)
    return re.compile(f"(?:.*/)?{made}" if anywhere else made, re.DOTALL)
