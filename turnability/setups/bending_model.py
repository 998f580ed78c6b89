"""How far work and bars bend in a setup: the types that bending hands up."""

from __future__ import annotations

from dataclasses import dataclass

from turnability.cited import Cited


@dataclass(frozen=True, slots=True)
class BentLand:
    """Cylinders turned at one setting, or one other outside: how its diameter varies by bending.

    `error_mm` is largest less least diametral error along it: what is the same everywhere is
    measured out. `limit` is the width its diameter may vary by, `stated` whether the design says
    so; None where no table holds a limit. `worst` and `least` are places (z, error) of the curve.
    """

    segments: tuple[str, ...]
    z_mm: tuple[float, float]
    diameter_mm: float
    error_mm: float
    worst: tuple[float, float]
    least: tuple[float, float]
    limit: Cited | None
    stated: bool


@dataclass(frozen=True, slots=True)
class BendingPass:
    """One pass with a stated depth a side and feed: its forces, and what it bends at most."""

    depth_mm: float
    feed_mm: float
    main_force_n: float
    passive_force_n: float
    worst_mm: float
    at_z_mm: float


@dataclass(frozen=True, slots=True)
class BentBar:
    """How far a boring bar gives at its nose under its finishing cut, alike all along its bore."""

    tool: str
    overhang_mm: float
    diameter_mm: float
    gives_mm: float


@dataclass(frozen=True, slots=True)
class Bending:
    """How far the worst pass bends the part.

    `force_n` is the passive force of the finishing pass, of whose errors `curve` has those on
    diameter at each cutting place (z, mm), constant parts included. The length is that of the part
    free of the jaws, the ratio that over its mean outside. `critical_rpm` is the first critical
    speed of the work as held, the lower of stock and finished, `critical_free_rpm` that with the
    centre or steady taken away (None where there is none); `material` what was reckoned with.
    `followed`: lands, of those, along which a follow rest is planned; as told, without it.
    """

    worst_diametral_error_mm: float
    at_z_mm: float
    force_n: float
    unsupported_length_mm: float
    length_to_diameter: float
    curve: tuple[tuple[float, float], ...] = ()
    lands: tuple[BentLand, ...] = ()
    roughing: BendingPass | None = None
    finishing: BendingPass | None = None
    critical_rpm: float | None = None
    critical_free_rpm: float | None = None
    material: str | None = None
    bars: tuple[BentBar, ...] = ()
    followed: tuple[BentLand, ...] = ()
