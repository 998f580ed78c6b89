"""How stiffly the work is held: grips as beds, centres and steadies as springs.

How much chucks, centres and lathes give is nowhere printed for the lathe at hand: the numbers are
an order of size from memory, stated as such. What they add alike everywhere is measured out.
"""

from __future__ import annotations

from dataclasses import dataclass

from turnability.cited import Cited
from turnability.part.model import Profile
from turnability.reach.model import Toward
from turnability.setups.bending.beam import Bed, Spring, Support, clamped
from turnability.setups.model import Setup
from turnability.shop.holding import ON_FACE

JAWS = Cited(
    210_000.0,
    "N/mm²",
    "common practice",
    "give of steel jaws a millimetre of grip, of the order of their modulus, from memory",
    verified=False,
)
CENTRE = Cited(
    30_000.0, "N/mm", "common practice", "give of a tailstock's centre, from memory", False
)
STEADY = Cited(50_000.0, "N/mm", "common practice", "give of a steady rest, from memory", False)
FOLLOW_REST = Cited(
    50_000.0, "N/mm", "common practice", "give of a follow rest, taken as a steady's", False
)
"""It rides on the carriage with its pads just behind the tool, on what that has cut."""


@dataclass(frozen=True, slots=True)
class Along:
    """Distances from the chuck: x = z for the low end in the chuck, the length less z else."""

    toward: Toward
    length_mm: float

    def x(self, z_mm: float) -> float:
        """From the part's frame."""
        return z_mm if self.toward == "low" else self.length_mm - z_mm

    def z(self, x_mm: float) -> float:
        """Back to the part's frame."""
        return x_mm if self.toward == "low" else self.length_mm - x_mm

    def span(self, z_mm: tuple[float, float]) -> tuple[float, float]:
        """A range, smaller x first."""
        a, b = sorted((self.x(z_mm[0]), self.x(z_mm[1])))
        return a, b


def along(profile: Profile, setup: Setup) -> Along:
    """The distances of one setup."""
    return Along(setup.toward_chuck, profile.length_mm)


def grip_stiffness(e: float) -> float:
    """N/mm² of a grip on work of modulus `e`: jaws and work give one after the other."""
    return 2.0 * JAWS.value * e / (JAWS.value + e)


def supports_of(profile: Profile, setup: Setup, e: float) -> tuple[Support, ...]:
    """What holds the work in a setup, in distances from the chuck."""
    length = profile.length_mm
    if setup.support == "between-centres":
        return (Spring(0.0, CENTRE.value), Spring(length, CENTRE.value))
    line = along(profile, setup)
    low, high = line.span(setup.grip.z_mm)
    if setup.holding is not None and setup.holding.kind in ON_FACE:
        return (clamped(0.0),)  # a broad face on a stout arbor tilts by less than a grip does
    bed = Bed(low, high, grip_stiffness(e))
    if setup.support == "tailstock":
        return (bed, Spring(length, CENTRE.value))
    if setup.support == "steady":
        on = setup.steady_z_mm
        middle = (max(high, 0.0) + length) / 2.0 if on is None else line.x(sum(on) / 2.0)
        return (bed, Spring(middle, STEADY.value))
    return (bed,)
