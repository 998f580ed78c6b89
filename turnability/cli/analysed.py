"""Each part analysed, told and written, one after the other; a bad one stops no other."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.cli.asked import Wishes
from turnability.cli.saying import (
    FINE,
    FOUND,
    UNUSABLE,
    NoRoom,
    complain,
    complain_of_fault,
    say,
    shown,
)
from turnability.cli.terminal import print_summary, progress
from turnability.errors import BaselineUnusable, TurnabilityError
from turnability.whole_files import is_file, is_folder

if TYPE_CHECKING:
    from rich.console import Console

    from turnability.report import Report
    from turnability.shop.model import Shop
    from turnability.standing.model import OldReport, Project


@dataclass(slots=True)
class _Run:
    """What holds for every file of one run, and what is gathered on the way."""

    wishes: Wishes
    shop: Shop
    console: Console | None
    old: OldReport | None
    projects: dict[Path, Project | None]
    documents: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Told:
    """A report and how it is told.

    `silent`: an earlier one said the same. `again`: it is of the very solid that an earlier one is
    of, so that its data alone is written. `equal`: the solids that it is told for, where some of
    them are not that very one.
    """

    report: Report
    silent: bool
    again: bool
    equal: tuple[int, ...]


def check_all(files: Sequence[Path], wishes: Wishes) -> int:
    """Analyse all files as it was wished; the exit code of the worst.

    Raises TurnabilityError where shop, project, earlier report or a place to write to cannot be
    used, before any part is read.
    """
    if os.environ.get("TURNABILITY_DEBUG"):
        import logging

        logging.basicConfig(level=logging.DEBUG)
    from turnability.analysis import shop_of
    from turnability.outputs._names import stems_for
    from turnability.whole_files import make_folder, refuse_missing_folder

    if wishes.json is not None and not wishes.prints_json:
        refuse_missing_folder(wishes.json)
    if wishes.out is not None:
        make_folder(wishes.out)
    shop = shop_of(wishes.shop)
    if wishes.inch is not None:
        shop = replace(shop, inch=wishes.inch)
    old = _old(wishes)
    projects = _projects(files, wishes)
    code = FINE
    with progress(len(files), wishes.speaks) as (console, step):
        run = _Run(wishes, shop, console, old, projects)
        for file, stem in zip(files, stems_for(files), strict=True):
            step(file.name)
            code = max(code, _check_one(file, stem, run))
            step(None)
    if wishes.json is not None and not wishes.prints_json:
        from turnability.whole_files import write_whole

        write_whole(wishes.json, "".join(run.documents))
        if wishes.speaks:
            say(f"wrote {shown(wishes.json)}")
    return code


def _old(wishes: Wishes) -> OldReport | None:
    """The one earlier report, where a file was named; those of a folder are read part by part."""
    if wishes.baseline is None or is_folder(wishes.baseline):
        return None
    from turnability.standing.old_report import read_old

    return read_old(wishes.baseline)


def _projects(files: Sequence[Path], wishes: Wishes) -> dict[Path, Project | None]:
    """The project that each file falls under, each read once."""
    if wishes.no_project:
        return dict.fromkeys(files)
    from turnability.standing.project_file import load_project, project_of

    found = {file: wishes.project or project_of(file) for file in files}
    read = {path: load_project(path) for path in dict.fromkeys(found.values()) if path is not None}
    return {file: None if path is None else read[path] for file, path in found.items()}


def _check_one(file: Path, stem: Path, run: _Run) -> int:
    """Analyse one file, say and write what came of it, and what lies there of old; its code."""
    made: list[Path] = []
    try:
        return _analysed(file, stem, run, made)
    finally:
        if run.wishes.out is not None:
            _tell_earlier(file, stem, run.wishes.out, made)


def _tell_earlier(file: Path, stem: Path, out: Path, made: Sequence[Path]) -> None:
    from turnability.outputs._earlier import earlier_results

    old = earlier_results(out, stem, file, made)
    if old:
        are = "is" if len(old) == 1 else "are"
        names = ", ".join(shown(path.name) for path in old)
        complain(
            f"{shown(file)}: in {shown(old[0].parent)}, {names} {are} from an earlier state of "
            "this file. Nothing was deleted"
        )


def _analysed(file: Path, stem: Path, run: _Run, made: list[Path]) -> int:
    """Analyse one file, say and write what came of it (also into `made`); its exit code."""
    from turnability.analysis import analyze_all
    from turnability.outputs import refuse_long_names

    code = FINE
    reports: list[Report] = []
    wishes = run.wishes
    try:
        if wishes.out is not None:
            refuse_long_names(wishes.out, stem, wishes.formats)
        for result in analyze_all(
            file,
            run.shop,
            intent=wishes.intent,
            solid=wishes.solid,
            time_limit_s=wishes.time_limit_s,
        ):
            if isinstance(result, TurnabilityError):
                complain(str(result))
                code = UNUSABLE
                continue
            reports.append(_standing(result, stem, run, run.projects[file]))
        for told in _told_once(reports):
            _tell(told, file, run)
            if wishes.out is not None:
                _write(told, wishes, stem, made)
            report = told.report
            code = max(code, UNUSABLE if report.crashed else FOUND if report.fails else FINE)
    except TurnabilityError as error:
        complain(str(error))
        return UNUSABLE
    except NoRoom:
        raise
    except Exception as fault:
        complain_of_fault(str(file), fault)
        return UNUSABLE
    return code


def _told_once(reports: Sequence[Report]) -> list[_Told]:
    """Each report with how it is told: of what is the same part the first alone, with the others.

    A solid that the file places again is that very one; others may be equal without sharing
    anything. Programs get each solid's data all the same.
    """
    from turnability.outputs._equal import equal

    repeated: dict[int, Report] = {}
    groups: list[list[Report]] = []
    again: set[int] = set()
    for report in reports:
        source = report.part.source
        first = repeated.setdefault(source.repeats or source.solid, report)
        same = first is not report and (first.intent, first.findings) == (
            report.intent,
            report.findings,
        )
        if same:
            again.add(source.solid)
        alike = (g for g in groups if (same and first in g) or equal(g[0], report))
        group = next(alike, None)
        if group is None:
            groups.append([report])
        else:
            group.append(report)
    leads = {id(group[0]): group for group in groups}
    told = []
    for report in reports:
        group = leads.get(id(report), [])
        numbers = tuple(one.part.source.solid for one in group)
        only_placed_again = all(number in again for number in numbers[1:])
        told.append(
            _Told(
                report,
                silent=not group,
                again=report.part.source.solid in again,
                equal=() if only_placed_again else numbers,
            )
        )
    return told


def _standing(report: Report, stem: Path, run: _Run, project: Project | None) -> Report:
    """The report set against the earlier one and under the project's decisions."""
    from turnability.analysis.standing import against, all_new, by_project

    wishes = run.wishes
    report = replace(report, options={**report.options, "fail_on": wishes.fail_on})
    if wishes.baseline is not None:
        old = run.old or _old_of(report, stem, wishes.baseline)
        if run.old is not None:
            _refuse_another_solid(report, run.old)
            _tell_another_part(report, run.old)
        report = all_new(report) if old is None else against(report, old)
    return report if project is None else by_project(report, project)


def _old_of(report: Report, stem: Path, folder: Path) -> OldReport | None:
    """The earlier report of this solid among those in a folder; None, and told, without one."""
    from turnability.outputs import target_name
    from turnability.outputs.json_document import SUFFIX
    from turnability.standing.old_report import read_old

    path = folder / stem.with_name(target_name(report, stem.name, SUFFIX))
    if is_file(path):
        return read_old(path)
    complain(
        f"{shown(path)}: there is no such earlier report, so all findings of "
        f"{shown(report.name)} are new"
    )
    return None


def _refuse_another_solid(report: Report, old: OldReport) -> None:
    source = report.part.source
    if source.solids > 1 and (source.solid, source.solids) != (old.solid, old.solids):
        raise BaselineUnusable(
            old.path,
            f"it is of solid {old.solid} of {old.solids}, and not of solid {source.solid} of "
            f"{source.solids}",
            "Give the folder that holds the reports of all solids, or choose one with --solid",
        )


def _tell_another_part(report: Report, old: OldReport) -> None:
    """A report of another file that looks like another part: new and fixed would mean nothing."""
    from turnability.standing.match import seems_another

    if seems_another(report.part.profile, report.part.source.path, old):
        complain(
            f"{shown(old.path)}: it is the report of {shown(str(old.part))}, and most of that "
            f"part's corners are not {shown(report.name)}'s. If that is another part, name this "
            "one's own earlier report"
        )


def _tell(told: _Told, file: Path, run: _Run) -> None:
    """What goes to stdout of one report, and faults of the program to stderr."""
    report = told.report
    if run.wishes.json is not None:
        # plain ASCII: it arrives whole whatever encoding a pipe was given
        line = json.dumps(report.document(), allow_nan=False)
        if run.wishes.prints_json:
            say(line)
        else:
            run.documents.append(f"{line}\n")
    if told.silent:
        return
    if run.wishes.speaks:
        print_summary(report, run.console, told.equal, _files_of_one(run.wishes))
    for status in report.crashed:
        complain(
            f"{shown(file)}: {status.rule} failed ({status.reason}). "
            "Please report this as a fault of turnability"
        )


def _files_of_one(wishes: Wishes) -> int:
    """So many files are written of a solid; each is told in a line."""
    from turnability.outputs import all_outputs

    return 0 if wishes.out is None else len(all_outputs()) + len(wishes.formats)


def _write(told: _Told, wishes: Wishes, stem: Path, made: list[Path]) -> None:
    from turnability.outputs import write_all

    assert wishes.out is not None
    for path in write_all(
        told.report, wishes.out, stem, formats=wishes.formats, data_only=told.again
    ):
        made.append(path)
        if wishes.speaks:
            say(f"wrote {shown(path)}")
