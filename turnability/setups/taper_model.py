"""The chucking that turns a taper with the tailstock set over."""

from __future__ import annotations

from dataclasses import dataclass

from turnability.reach.model import Toward


@dataclass(frozen=True, slots=True)
class TaperChucking:
    """A taper turned between centres, the tailstock set over, for no topslide travels so far.

    It comes after all others; the setup `cut_in` leaves the taper straight.

    `toward_chuck` is the end at the headstock, where the dog is, on `dog_z_mm`; None where no
    straight outside beside the taper has room for one. `holding` is None where the shop lists no
    centres. `toward_you`: the tailstock is set over so, else away from you. `straight_mm` is the
    diameter that is left for it.
    """

    cut_in: int
    segments: tuple[str, ...]
    tools: tuple[str, ...]
    half_angle_deg: float
    set_over_mm: float
    toward_you: bool
    toward_chuck: Toward
    straight_mm: float
    holding: str | None
    dog_z_mm: tuple[float, float] | None
    dog_diameter_mm: float | None
