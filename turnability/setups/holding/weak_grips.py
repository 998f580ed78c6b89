"""Grips that hold badly: short, on a wall that gives, or with much of the part hanging free."""

from __future__ import annotations

from turnability.cited import Cited
from turnability.intent.model import Intent
from turnability.part.model import Profile
from turnability.reach.model import other_end
from turnability.setups.holding.centres import no_centre
from turnability.setups.holding.grips import is_short
from turnability.setups.holding.jaws import Held
from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT, PARTED_FREE_LIMIT, slenderness
from turnability.setups.surfaces.thin_walls import SPRINGY
from turnability.shop.holding import JAWS
from turnability.shop.model import Machine

PIN_MM3 = Cited(
    500.0,
    "mm3",
    "common practice",
    "volume of a small pin, 4 g of steel, parted off at any length, from memory",
    verified=False,
)
_OVER = 0.5


def held_short(held: Held) -> bool:
    """Whether less is gripped than the holding asks for."""
    return held.land is not None and is_short(held.grip, held.holding)


def held_barely(held: Held) -> bool:
    """Whether less is gripped than the holding asks for whatever the diameter."""
    return held_short(held) and held.grip.length_mm < held.holding.least_grip_mm


def on_thin_wall(profile: Profile, held: Held) -> bool:
    """Whether plain jaws hold a wall of the finished part that gives as a ring does.

    Collets close evenly, and soft jaws bored to it spread what they press.
    """
    if held.land is None or held.holding.kind not in ("three-jaw", "four-jaw"):
        return False
    low, high = held.grip.z_mm
    r, outer = held.grip.diameter_mm / 2.0, held.grip.surface == "outer"
    other = [
        p[1]
        for s in profile.segments
        if s.surface == ("inner" if outer else "outer")
        and s.ends_z_mm[0] < high
        and s.ends_z_mm[1] > low
        for p in (s.curve.start, s.curve.end)
    ]
    if not other:
        return False
    wall = r - max(other) if outer else min(other) - r
    middle = r - wall / 2.0 if outer else r + wall / 2.0
    return wall > 0.0 and middle > SPRINGY * wall


def hanging(profile: Profile, held: Held) -> float:
    """By how many whole diameters more of the turned part hangs free of jaws than they carry alone.

    Its end is faced there, and centre-drilled, before a centre can carry it. Raw stock is told from
    nothing here: it is drawn in for that, and hangs as far whichever end is cut first. To open the
    jaws over a collar, and let it into the chuck, is half a diameter's trouble.
    """
    if held.raw or held.holding.kind not in JAWS:
        return 0.0
    out = slenderness(profile, held.toward, held.grip.z_mm)
    return max(0, round(out - CHUCK_ONLY_LIMIT.value)) + (_OVER if held.over else 0.0)


def hangs_free(profile: Profile, held: Held, most: Cited = PARTED_FREE_LIMIT) -> bool:
    """Whether more than so many of its mean diameters hang free of the chuck.

    What weighs next to nothing neither sags nor whips: pins are parted off as long as they are.
    """
    if profile.volume_mm3 <= PIN_MM3.value:
        return False
    return slenderness(profile, held.toward, held.grip.z_mm) > most.value


def uncarried(profile: Profile, held: Held, lathe: Machine | None, intent: Intent | None) -> bool:
    """Whether more hangs free than a chuck alone carries, and no centre or steady can carry it."""
    if held.holding.kind == "between-centres" or (lathe is not None and lathe.steady):
        return False
    free = other_end(held.toward)
    return (
        hangs_free(profile, held, CHUCK_ONLY_LIMIT)
        and no_centre(profile, free, intent, solid=True) is not None
    )
