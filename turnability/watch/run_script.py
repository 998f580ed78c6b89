"""Runs one modelling script in a process of its own and writes what it shows as STEP files.

    python -m turnability.watch.run_script SCRIPT FOLDER LIST.json

What a script shows is each object that it hands to `show_object(obj, name=…)`; if there is none,
its variable `result`, `part` or `assembly`, the first of them that it has. The list tells the files
and the script's own modules, these also where the script failed.
"""

from __future__ import annotations

import json
import re
import runpy
import sys
import traceback
from collections.abc import Sequence
from pathlib import Path
from typing import Any

VARIABLES = ("result", "part", "assembly")
NOTHING = (
    "it shows nothing. Hand the part to show_object(part), or name it "
    "`result`, `part` or `assembly`"
)


def main(script: Path, folder: Path, listed: Path) -> None:
    """Run the script, write the files, then the list of them."""
    objects: list[tuple[Any, str | None]] = []

    def show_object(obj: Any, name: str | None = None, *_: object, **__: object) -> Any:
        objects.append((obj, name))
        return obj

    def ignore(obj: Any = None, *_: object, **__: object) -> Any:
        return obj

    sys.argv = [str(script)]
    sys.path.insert(0, str(script.parent))
    given = {"show_object": show_object, "debug": ignore, "log": ignore}
    files: list[Path] = []
    try:
        names = runpy.run_path(str(script), init_globals=given, run_name="__main__")
        if not objects:
            found = [names[name] for name in VARIABLES if names.get(name) is not None]
            objects += [(obj, None) for obj in found[:1]]
        if not objects:
            raise SystemExit(f"{script.name}: {NOTHING}")
        files = _written(objects, script.stem, folder)
    except Exception as fault:
        _trace(fault, script)
        raise SystemExit(1) from None
    finally:
        said = {"files": [str(file) for file in files], "modules": _own_modules(script)}
        listed.write_text(json.dumps(said), encoding="utf-8")


def _trace(fault: Exception, script: Path) -> None:
    """Say what went wrong, from the script's own line on."""
    from turnability.errors import TurnabilityError

    if isinstance(fault, TurnabilityError):
        sys.stderr.write(f"{fault.cause}. {fault.remedy}\n")
        return
    steps = fault.__traceback__
    while steps is not None and steps.tb_frame.f_code.co_filename != str(script):
        steps = steps.tb_next
    traceback.print_exception(fault.with_traceback(steps))


def _written(objects: Sequence[tuple[Any, str | None]], stem: str, folder: Path) -> list[Path]:
    """A file for each object: by its name, else by the script's."""
    taken: set[str] = set()
    files: list[Path] = []
    for obj, name in objects:
        whole = name if name else stem if len(objects) == 1 else f"{stem}-{len(files) + 1}"
        plain = re.sub(r"[^\w. +-]+", "_", whole).strip(". ")[:100] or stem
        unique, count = plain, 1
        while unique.casefold() in taken:
            count += 1
            unique = f"{plain}-{count}"
        taken.add(unique.casefold())
        files.append(folder / f"{unique}.step")
        _write(obj, files[-1])
    return files


def _write(obj: Any, file: Path) -> None:
    from turnability.part.reading.shape import solids_of
    from turnability.part.writing.write import write_annotated

    if hasattr(obj, "children") and hasattr(obj, "toCompound") and hasattr(obj, "export"):
        obj.export(str(file))  # an assembly's own writer keeps its tree
    else:
        write_annotated(solids_of(obj), file, ())


def _own_modules(script: Path) -> list[str]:
    """Files of modules that lie in the script's folder or below it."""
    root = script.parent.resolve()
    files = (getattr(module, "__file__", None) for module in list(sys.modules.values()))
    paths = {Path(file).resolve() for file in files if file}
    return sorted(
        str(p) for p in paths if p.is_relative_to(root) and "site-packages" not in p.parts
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve(), Path(sys.argv[2]), Path(sys.argv[3]))
