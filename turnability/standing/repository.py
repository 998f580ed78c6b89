"""The tables of a project file for the whole repository: `[repository]` and its folders."""

from __future__ import annotations

from typing import Any

from turnability.standing.model import FolderRule, Repository
from turnability.toml_file.keys import Checked, Fault, Key, check
from turnability.toml_file.read import TomlFile

LISTS = ("folder", "ignore")
TABLES = ("repository", *LISTS)
_SHOP = Key("shop", "text", 'the shop file, such as "shop.toml"')
_INTENT = Key("intent", "text", "the intent file of parts that have none beside them")


def repository_in(file: TomlFile) -> Repository:
    """What the file says of the repository; faults are remembered in the file."""
    checked, faults = check(file.table("repository") or {}, (_SHOP, _INTENT))
    faults += [fault for key in ("shop", "intent") if (fault := _inside(key, checked[key]))]
    file.report(faults, ("repository",), "repository")
    folders = (Key("path", "text", 'the folder, such as "pumps/shafts"', required=True),)
    owner = Key("owner", "text", "the role or team that answers for its parts")
    rules = file.each("folder", (*folders, owner, _INTENT), _folder)
    pattern = Key("pattern", "text", 'what to pass over, such as "old/**" or "*_draft.step"', True)
    ignored = file.each("ignore", (pattern,), lambda checked: str(checked["pattern"]))
    return Repository(
        shop=checked["shop"],
        intent=checked["intent"],
        ignored=tuple(one for _, one in ignored),
        folders=tuple(one for _, one in rules),
    )


def _folder(checked: Checked) -> FolderRule:
    for key in ("path", "intent"):
        if fault := _inside(key, checked[key]):
            raise fault
    path = "/".join(name for name in checked["path"].split("/") if name not in ("", "."))
    return FolderRule(path or ".", checked["owner"], checked["intent"])


def _inside(key: str, path: Any) -> Fault | None:
    """What is wrong with a path that must stay below the project file's folder."""
    if path is None:
        return None
    if path.startswith(("/", "\\")) or "\\" in path or ":" in path or ".." in path.split("/"):
        return Fault(
            key, f'is "{path}"', "Write a path below this file's folder, with / between names"
        )
    return None
