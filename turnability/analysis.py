"""The walk up the stairs: from a STEP file or a shape to its report.

Reading happens in a child process that may die; from the profile upwards nothing needs the CAD
kernel. A stage that fails by a fault of the program leaves None behind and is remembered among
the rules as crashed, so that it is never taken for passed.
"""

from __future__ import annotations

import logging
import os
from collections.abc import Callable, Mapping
from pathlib import Path
from time import perf_counter
from typing import Any, TypeAlias, TypeVar

from turnability import __version__
from turnability.errors import PartUnreadable, TurnabilityError
from turnability.part.model import Part, Profile
from turnability.report import Report, Verdict
from turnability.rules.model import Finding, RuleOutcome, RuleStatus, View
from turnability.shop.model import Shop

TIME_LIMIT_S = 120.0
"""A file whose reading takes longer than this is given up."""

PartLike: TypeAlias = Any
"""A path to a STEP file, a CadQuery `Workplane` or `Shape`, or a bare kernel shape."""
ShopLike: TypeAlias = Shop | str | os.PathLike[str] | None
"""A shop, a path to a shop file, or None for the starter shop."""
T = TypeVar("T")

_log = logging.getLogger("turnability")


def analyze(
    part: PartLike,
    shop: ShopLike = None,
    *,
    solid: int | None = None,
    time_limit_s: float = TIME_LIMIT_S,
) -> Report:
    """Say what the shop's lathes, grips and tools can and cannot do with one solid.

    `part`: path of a STEP file, CadQuery `Workplane`/`Shape`, or kernel shape (taken as mm).
    `solid`: 1-based place of the solid where the file holds several. `time_limit_s`: for reading.
    Raises PartUnreadable (KernelDied if the kernel's process died or hung), ShopUnusable, and
    TurnabilityError where several solids are there and none was chosen. A part that no lathe
    carries is a verdict, not an error.
    """
    chosen_shop = shop_of(shop)
    parts = _parts(part, solid, time_limit_s)
    if len(parts) > 1:
        raise TurnabilityError(
            _name_of(part),
            f"there are {len(parts)} solids",
            "Choose one with `solid=1` and so on, or ask for all of them with `analyze_all`",
        )
    (only,) = parts
    if isinstance(only, PartUnreadable):
        raise only
    return walk(only, chosen_shop)


def analyze_all(
    part: PartLike,
    shop: ShopLike = None,
    *,
    solid: int | None = None,
    time_limit_s: float = TIME_LIMIT_S,
) -> tuple[Report | PartUnreadable, ...]:
    """As `analyze`, for every solid there; a solid that cannot be used gives its error instead.

    Raises PartUnreadable only where nothing of the file can be used.
    """
    chosen_shop = shop_of(shop)
    return tuple(
        one if isinstance(one, PartUnreadable) else walk(one, chosen_shop)
        for one in _parts(part, solid, time_limit_s)
    )


def shop_of(shop: ShopLike) -> Shop:
    """The shop itself, the one in the file, or the starter shop. Raises ShopUnusable."""
    from turnability.shop.load import load_shop, starter_shop

    if isinstance(shop, Shop):
        return shop
    return starter_shop() if shop is None else load_shop(Path(shop))


def walk(part: Part, shop: Shop, options: Mapping[str, Any] | None = None) -> Report:
    """All stages above the part, in order; pure, and free of the kernel."""
    run = _Run({"read": part.read_s, "axis": part.axis_s, "profile": part.profile_s})
    view = _view(part, shop, run)
    outcome = run.stage("rules", "setups", lambda: _judged(view)) or RuleOutcome((), ())
    # A crashed stage stands among the rules: what it would have said is not known, so the
    # verdict must not be a good one.
    statuses = (*outcome.statuses, *run.crashed)
    verdict = run.stage("verdict", "setups", lambda: _verdict(part, outcome.findings, statuses))
    return Report(
        turnability_version=__version__,
        part=part,
        shop_name=shop.name,
        shop_sha256=shop.sha256,
        options=dict(options or {}),
        verdict=verdict or "undetermined",
        features=view.features or (),
        reach=view.reach,
        setups=view.setups or (),
        stock=view.stock,
        findings=outcome.findings,
        rules=(*outcome.statuses, *run.crashed),
        assumptions=outcome.assumptions,
        timings_s=run.timings_s,
    )


class _Run:
    """What one walk remembers on its way: times and stages that crashed."""

    def __init__(self, timings_s: Mapping[str, float]) -> None:
        self.timings_s = dict(timings_s)
        self.crashed: list[RuleStatus] = []

    def stage(self, name: str, timed_as: str, work: Callable[[], T]) -> T | None:
        """Do one stage's work; a fault of the program is kept as a crash and gives None."""
        begin = perf_counter()
        try:
            return work()
        except TurnabilityError:
            raise
        except Exception as fault:
            _log.debug("stage %s crashed", name, exc_info=True)
            self.crashed.append(
                RuleStatus(f"stage-{name}", "crashed", f"{type(fault).__name__}: {fault}")
            )
            return None
        finally:
            spent = perf_counter() - begin
            self.timings_s[timed_as] = self.timings_s.get(timed_as, 0.0) + spent


def _view(part: Part, shop: Shop, run: _Run) -> View:
    """Features, reach, stock, lands and setups of a part; all None where it has no profile."""
    if part.profile is None:
        return View(part, shop, None, None, None, None, None)
    from turnability.features.recognise import recognise
    from turnability.reach.compute import reach_of
    from turnability.setups.lands import find_lands
    from turnability.setups.plan import plan_setups
    from turnability.stock.choose import choose_stock

    profile: Profile = part.profile
    features = run.stage("features", "features", lambda: recognise(profile))
    reach = run.stage("reach", "reach", lambda: reach_of(profile, shop.tools))
    stock = run.stage("stock", "setups", lambda: choose_stock(profile, shop))
    lands = run.stage("lands", "setups", lambda: find_lands(part))
    setups = None
    if reach is not None and lands is not None:
        setups = run.stage("setups", "setups", lambda: plan_setups(part, reach, lands, stock, shop))
    return View(part, shop, features, reach, lands, setups, stock)


def _judged(view: View) -> RuleOutcome:
    from turnability.rules.judge import judge

    return judge(view)


def _verdict(
    part: Part, findings: tuple[Finding, ...], statuses: tuple[RuleStatus, ...]
) -> Verdict:
    from turnability.rules.verdict import verdict_of

    return verdict_of(part, findings, statuses)


def _parts(part: PartLike, solid: int | None, time_limit_s: float) -> tuple[Any, ...]:
    """The solids of a file (read in a child process) or of a shape (read here)."""
    if isinstance(part, str | os.PathLike):
        from turnability.part.apart import read_parts

        return read_parts(Path(part), solid=solid, time_limit_s=time_limit_s)
    from turnability.part.shape import solids_of
    from turnability.part.turned import part_of

    solids = solids_of(part)
    if solid is not None:
        if not 1 <= solid <= len(solids):
            raise PartUnreadable(
                _name_of(part),
                f"there is no solid {solid}; it holds {len(solids)}",
                "Count from 1",
            )
        solids = solids[solid - 1 : solid]
    return tuple(part_of(one.shape, one.source, one.step_ids, one.remarks) for one in solids)


def _name_of(part: PartLike) -> str:
    return os.fspath(part) if isinstance(part, str | os.PathLike) else "this shape"
