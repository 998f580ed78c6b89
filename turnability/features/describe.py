"""A part in one line, as a machinist would tell it over the counter."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence

from turnability.features import limits
from turnability.features.model import Feature
from turnability.part.model import Departure, Profile
from turnability.units import mm_text

_FLAT = 0.3
_LONG = 3.0
"""Length by diameter of a disc at most, of a shaft at least (common practice)."""
_CROSSING = ("hole", "slot", "keyway", "pocket", "other")
_HOLLOW = 0.5
"""A through bore of this share of the diameter makes a ring or a tube (common practice)."""
_MOST = 16
"""So many pieces of one side are told; the rest are counted."""


def described(
    profile: Profile, features: Sequence[Feature], departures: Sequence[Departure] = ()
) -> str:
    """What the part is, then its outside from the low end, inside, ends, edges, what is milled."""
    told = [f"{_shape(profile)} ⌀{_mm(profile.max_diameter_mm)} × {_mm(profile.length_mm)}"]
    inner = _in_hollows(features)
    outside = [f for f in features if f.surface == "outer" and f.id not in inner]
    inside = [f for f in features if f.surface == "inner" or f.id in inner]
    wound = any(f.kind == "thread" for f in features)
    groups = (
        ("outside", _pieces(outside, _outside)),
        ("inside", _pieces(inside, _inside)),
        ("ends", _pieces([f for f in features if f.surface == "end"], _ends)),
        ("edges", _edges(features)),
        ("milled", _milled([one for one in departures if not (wound and _is_wound(one))])),
    )
    for name, words in groups:
        if words:
            told.append(f"{name}: {', '.join(words)}")
    return "; ".join(told)


def _shape(profile: Profile) -> str:
    slender = profile.length_mm / profile.max_diameter_mm
    bore = profile.through_bore_mm or 0.0
    if bore >= _HOLLOW * profile.max_diameter_mm:
        return "flat ring" if slender <= _FLAT else "ring" if slender < 1.0 else "tube"
    if slender <= _FLAT:
        return "disc"
    return "shaft" if slender >= _LONG else "round body"


def _mm(value: object) -> str:
    return mm_text(value) if isinstance(value, int | float) else "?"


def _deg(value: object) -> str:
    return f"{float(value):.4g}°" if isinstance(value, int | float) else "?"


def _in_hollows(features: Sequence[Feature]) -> set[str]:
    """Ids of outward surfaces that stand within a bore or a recess, as a boss in a cup does."""
    known = {f.id: f for f in features}

    def enclosed(f: Feature) -> bool:
        parent = known.get(f.parent) if f.parent else None
        return parent is not None and (parent.surface == "inner" or enclosed(parent))

    return {f.id for f in features if f.surface == "outer" and enclosed(f)}


def _pieces(features: Sequence[Feature], words: Callable[[Feature], str | None]) -> list[str]:
    """What is said of each, in order; equal ones that follow on one another, and equal grooves
    wherever they are, are said once."""
    kept: list[tuple[str, int]] = []
    for f in features:
        text = words(f)
        if not text:
            continue
        seen = [i for i, (known, _) in enumerate(kept) if known == text]
        if seen and (f.parameters.get("alike") or seen[-1] == len(kept) - 1):
            kept[seen[-1]] = (text, kept[seen[-1]][1] + 1)
        else:
            kept.append((text, 1))
    said = [text if count == 1 else f"{count} × {text}" for text, count in kept]
    if len(said) > _MOST + 1:
        return [*said[:_MOST], f"and {len(said) - _MOST} more"]
    return said


def _runs(said: Iterable[str]) -> list[tuple[str, int]]:
    """Equal texts together, in the order in which each comes first."""
    return list(Counter(said).items())


def _outside(f: Feature) -> str | None:
    small, large = f.diameter_mm
    if large - small <= 2.0 * limits.SAME_MM:
        small = large
    across = "⌀" + "–".join(dict.fromkeys((_mm(small), _mm(large))))
    length = f.z_mm[1] - f.z_mm[0]
    p = f.parameters
    if f.kind == "cylinder":
        name = f"{p['form']} " if p.get("form") else ""
        return f"{name}{across} × {_mm(p['over_corners_mm'])}"
    if f.kind == "taper":
        return f"{_cone(f)}cone {across} × {_mm(length)}, {_deg(p['half_angle_deg'])} a side"
    if f.kind == "contour":
        radius = f" R{_mm(p['radius_mm'])}" if p.get("radius_mm") else ""
        return f"{_cone(f)}curve {across} × {_mm(length)}{radius}"
    if f.kind == "groove":
        return f"{_hollow(f, 'groove')} {_mm(p['width_mm'])} wide to ⌀{_mm(small)}{_names(f)}"
    if f.kind == "knurl":
        return f"knurl {across} × {_mm(length)}"
    return _thread(f) if f.kind == "thread" else None


def _hollow(f: Feature, name: str) -> str:
    """A groove or recess by its section; beside a shoulder it is an undercut, save a ring's."""
    p = f.parameters
    ring = any(match.standard in ("DIN 471", "DIN 472") for match in f.matches)
    if p.get("at_shoulder") and (f.matches or _is_slight(f)) and not ring:
        return "undercut"
    walls = p.get("wall_angles_deg")
    if p.get("form") == "V" and isinstance(walls, tuple):
        return f"V {name} {_deg(sum(float(str(wall)) for wall in walls))}"
    if p.get("form") == "round":
        return f"round {name} R{_mm(p['floor_radius_mm'])}"
    plain = p.get("form") in (None, "square")
    return name if plain else f"{p['form']} {name}"


def _is_slight(f: Feature) -> bool:
    """A hollow beside a shoulder that is no wider than a plunged groove."""
    return f.z_mm[1] - f.z_mm[0] <= limits.GROOVE_WIDTH.value


def _cone(f: Feature) -> str:
    return f"{f.parameters['form']}, " if f.parameters.get("form") else ""


def _names(f: Feature) -> str:
    return f" ({f.matches[0].standard} {f.matches[0].designation})" if f.matches else ""


def _thread(f: Feature) -> str:
    p = f.parameters
    name = f.matches[0].designation if f.matches else p.get("designation")
    plain = f"⌀{_mm(p['major_mm'])} pitch {_mm(p['pitch_mm'])}"
    if p["evidence"] == "cosmetic":
        across = _mm(f.diameter_mm[f.surface == "outer"])
        return f"⌀{across} × {_mm(p['length_mm'])}, looks drawn for thread {name or plain}"
    return f"thread {name or plain} × {_mm(p['length_mm'])} ({p['evidence']})"


def _inside(f: Feature) -> str | None:
    p = f.parameters
    small, large = f.diameter_mm
    if p.get("left_by") in _CROSSING:
        return None  # no more than where a cross hole or a slot meets the axis: told as milled
    if f.surface == "outer":
        text = _outside(f)
        name = {"cylinder": "boss ", "contour": "domed "}.get(f.kind, "")
        return f"{name}{text}" if text else None
    if f.kind == "bore":
        name = f"{p['form']} " if p.get("form") else ""
        through = " through" if p["through"] else ""
        bottom = {"drill-point": ", drilled", "round": ", round bottom", "flat": ", flat bottom"}
        end = bottom.get(str(p["bottom"]), "")
        return f"{name}⌀{_mm(small)} × {_mm(p['depth_mm'])}{through}{end}"
    if f.kind == "recess":
        if p["entry_side"] is None:
            return f"closed cavity ⌀{_mm(small)}–{_mm(large)}"
        return f"{_hollow(f, 'recess')} {_mm(p['width_mm'])} wide to ⌀{_mm(large)}{_names(f)}"
    if f.kind == "centre-hole":
        return f"centre hole {p['form']} ⌀{_mm(p['d_mm'])}{_names(f)}"
    if f.kind in ("taper", "contour", "thread"):
        return _outside(f)
    return None


def _ends(f: Feature) -> str | None:
    p = f.parameters
    if f.kind == "end-groove":
        small, large = f.diameter_mm
        return (
            f"groove ⌀{_mm(small)}–{_mm(large)}, {_mm(p['depth_mm'])} deep, {p['facing']} end"
            f"{_names(f)}"
        )
    if f.kind == "contour":
        return _outside(f)
    if f.kind == "shoulder" and p.get("form") == "end recess":
        small, large = f.diameter_mm
        return f"recess ⌀{_mm(small)}–{_mm(large)}, {_mm(p['depth_mm'])} deep, {p['facing']} end"
    return None


def _edges(features: Sequence[Feature]) -> list[str]:
    said = []
    for f in features:
        p = f.parameters
        if f.kind == "chamfer":
            said.append(f"{_mm(p['size_mm'])} × {_deg(p['angle_deg'])}")
        elif f.kind == "fillet":
            said.append(f"R{_mm(p['radius_mm'])}")
    runs = _runs(said)
    kept = [text if count == 1 else f"{count} × {text}" for text, count in runs[:_MOST]]
    return [*kept, f"and {len(runs) - _MOST} more"] if len(runs) > _MOST else kept


def _is_wound(departure: Departure) -> bool:
    """What a modelled thread lacks of its cylinder: the thread tells it."""
    return departure.parameters.get("form") == "helix"


def _milled(departures: Sequence[Departure]) -> list[str]:
    said = []
    for one in departures:
        p = one.parameters
        if one.kind == "bolt-circle":
            size, circle = _mm(p.get("hole_diameter_mm")), _mm(p.get("circle_diameter_mm"))
            said.append(f"{p.get('count')} holes ⌀{size} on ⌀{circle}")
        elif one.kind == "hole":
            size = _mm(p.get("diameter_mm"))
            said.append(f"{p.get('direction', '')} hole ⌀{size}".strip())
        elif p.get("across_flats_mm"):
            said.append(f"{one.kind} {_mm(p['across_flats_mm'])}")
        else:
            said.append(str(p.get("form") or one.kind))
    runs = _runs(said)
    kept = [text if count == 1 else f"{count} × {text}" for text, count in runs[:_MOST]]
    return [*kept, f"and {len(runs) - _MOST} more"] if len(runs) > _MOST else kept
