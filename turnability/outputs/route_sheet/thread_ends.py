"""Where the tool of a thread starts and stops, from which side, and what it has to run out in."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from turnability.features.model import Feature
from turnability.part.model import Profile
from turnability.setups.holding.jaws import RAW_BAR, RAW_PIECE
from turnability.setups.model import Setup
from turnability.units import length_text, place_text

START_PITCHES = 3.0
"""How far before the thread the tool starts, for lead screw and slides to take up their play
(common practice, no source)."""
_LEAST_ROOM_PITCHES = 0.5
"""Less is no room to start or to end in."""
_LEAD_CHAMFER = 1.0
"""No chamfer before a thread is longer than so many pitches."""
_CHORD_MM = 0.01
_CREST_SHARE = 0.1
_SAME_MM = 1e-3


@dataclass(frozen=True, slots=True)
class ThreadEnds:
    """The tool's way along the thread, in z: `step` is 1 or -1; lengths in mm.

    `start_room_mm`, `stop_room_mm`: from the thread's ends to what stands in the tool's way, part
    or jaws; None where nothing does. `relieved`: whether the outline lies at the root behind its
    end, or nothing lies there. `shallow_mm`: the diameter of a relief there that is less deep than
    the root, of `root_mm`; None where none is. `against_hand`: it is fed the other way than its
    hand asks for, by a spindle that turns backwards.
    """

    start_mm: float
    stop_mm: float
    step: float
    toward_chuck: bool
    start_room_mm: float | None
    stop_room_mm: float | None
    relieved: bool
    root_mm: float = 0.0
    shallow_mm: float | None = None
    against_hand: bool = False


def thread_ends(
    feature: Feature,
    setup: Setup,
    profile: Profile,
    pitch_mm: float,
    root_mm: float,
    blade_mm: float | None = None,
    uncut: Collection[str] = (),
) -> ThreadEnds:
    """`root_mm` is the diameter of the thread's root. A left-hand thread is cut from the chuck.

    `blade_mm`: how wide a groove is sunk first between part and bar; None where none is. `uncut`
    are surfaces that a later setup cuts: stock stands over them on the chuck's side.
    """
    toward_chuck = feature.parameters.get("hand") != "left"
    step = 1.0 if (setup.toward_chuck == "high") == toward_chuck else -1.0
    low, high = feature.z_mm
    start, stop = (low, high) if step > 0.0 else (high, low)
    inner = feature.surface == "inner"
    crest = feature.diameter_mm[0 if inner else 1] / 2.0
    spare = _CREST_SHARE * pitch_mm
    sign = -1.0 if inner else 1.0

    def room(z: float, way: float) -> float | None:
        """How far the outline lets the point go: in a relief it is as deep as the root."""
        into = _LEAST_ROOM_PITCHES * pitch_mm
        there = _radius(profile, inner, z + way * into)
        if there is None or sign * (there - root_mm / 2.0) > spare:
            return _way(profile, inner, z, way, crest, spare)
        found = _way(profile, inner, z + way * into, way, root_mm / 2.0, spare)
        return None if found is None else into + found

    rooms = [
        _nearest(
            room(z, way),
            None if inner else chuck,
            _stock(profile, z, way, uncut) if chuck is not None and not inner else None,
        )
        for z, way, chuck in (
            (start, -step, None if toward_chuck else _to_chuck(setup, profile, start, blade_mm)),
            (stop, step, _to_chuck(setup, profile, stop, blade_mm) if toward_chuck else None),
        )
    ]
    beyond = stop + step * min(_LEAST_ROOM_PITCHES * pitch_mm, 0.5 * (rooms[1] or pitch_mm))
    there = _radius(profile, inner, beyond)
    relieved = there is None or sign * (there - root_mm / 2.0) <= spare
    if toward_chuck and blade_mm is not None:
        relieved = True  # the blade's groove is as deep as the root
    elif rooms[1] is None and min(stop, profile.length_mm - stop) <= _LEAD_CHAMFER * pitch_mm:
        relieved = True  # nothing but a chamfer lies between it and the part's end
    floor = feature.parameters.get("relief_diameter_mm")
    shallow = None
    # the hollow that the feature tells of, if it lies on this side
    if not relieved and there is not None and isinstance(floor, int | float):
        shallow = float(floor) if abs(2.0 * there - floor) <= 2.0 * spare else None
    return ThreadEnds(
        start, stop, step, toward_chuck, rooms[0], rooms[1], relieved, root_mm, shallow
    )


def with_room(ends: ThreadEnds, pitch_mm: float) -> ThreadEnds:
    """The same; begun at its other end where a shoulder leaves no room to begin, but room there."""
    least = _LEAST_ROOM_PITCHES * pitch_mm
    start, stop = ends.start_room_mm, ends.stop_room_mm
    if start is None or start >= least or (stop is not None and stop < least):
        return ends
    return replace(
        ends,
        start_mm=ends.stop_mm,
        stop_mm=ends.start_mm,
        step=-ends.step,
        toward_chuck=not ends.toward_chuck,
        start_room_mm=stop,
        stop_room_mm=start,
        relieved=False,
        shallow_mm=None,
        against_hand=True,
    )


def ends_text(
    ends: ThreadEnds, pitch_mm: float, seconds: float | None, limit_mm: float | None, inch: bool
) -> str:
    """Where the tool starts and how it stops. `seconds`: from the last full thread to what stands
    behind it, where a half nut must be opened; `limit_mm`: what may stay incomplete (DIN 76-1)."""
    least = _LEAST_ROOM_PITCHES * pitch_mm
    words = []
    run_in = START_PITCHES * pitch_mm
    feed = "toward the chuck" if ends.toward_chuck else "away from the chuck"
    if ends.against_hand:
        at = place_text(ends.stop_mm, inch)
        words.append(f"No room to start at the shoulder at z {at}: begin at the other end")
        feed += (
            " with the spindle backwards and the tool upside down, never with a chuck that is "
            "screwed on, which comes off"
        )
    elif not ends.toward_chuck:
        feed += ", as it is left-hand"
    if ends.start_room_mm is None or ends.start_room_mm >= run_in:
        at = place_text(ends.start_mm - ends.step * run_in, inch)
        words.append(f"Start at z {at} and feed {feed}")
    elif ends.start_room_mm >= least:
        wall = ends.start_mm - ends.step * ends.start_room_mm
        at = _between(wall, ends.start_mm, inch)
        words.append(f"Start in the room at z {at} and feed {feed}")
    else:
        at = place_text(ends.start_mm, inch)
        words.append(
            f"No room to start before the shoulder at z {at}: ask for a relief there as deep as "
            "the root, or hold it by the other end"
        )
    words.append(_stop_text(ends, least, seconds, limit_mm, inch))
    return (". " if ends.against_hand else "; ").join(words[:2]) + "".join(
        f"; {word}" for word in words[2:]
    )


def _stop_text(
    ends: ThreadEnds, least: float, seconds: float | None, limit_mm: float | None, inch: bool
) -> str:
    at = place_text(ends.stop_mm, inch)
    room = ends.stop_room_mm
    if room is not None and room < least:
        stays = "" if limit_mm is None else f" (up to {length_text(limit_mm, inch)}, DIN 76-1)"
        how = (
            "turn the spindle by hand over the last turns"
            if seconds is not None
            else "pull out in the last turn"
        )
        return (
            f"no relief before the shoulder at z {at}: {how}, the last threads stay "
            f"incomplete{stays}; better ask for a relief"
        )
    if room is None:
        return f"run out past z {at}" if ends.relieved else f"draw out at z {at}"
    span = _between(ends.stop_mm, ends.stop_mm + ends.step * room, inch)
    what = "in the relief" if ends.relieved else "drawing the point out"
    text = f"stop {what} at z {span}"
    if seconds is not None:
        text = (
            f"open the half nut {what} at z {span}: it takes {seconds:.1f} s to cross at this speed"
        )
    if ends.shallow_mm is not None:
        floor, deep = (
            length_text(round(value, 3), inch) for value in (ends.shallow_mm, ends.root_mm)
        )
        text += (
            f"; the relief of ⌀{floor} is less deep than the point goes, to ⌀{deep}, and it would "
            "cut the floor: ask for a deeper one"
        )
    return text


def _between(one: float, other: float, inch: bool) -> str:
    low, high = sorted((one, other))
    return f"{place_text(low, inch)} to {place_text(high, inch)}"


def _nearest(*ways: float | None) -> float | None:
    return min((w for w in ways if w is not None), default=None)


def _stock(profile: Profile, begin: float, step: float, uncut: Collection[str]) -> float | None:
    """How far along z the stock over what is still uncut begins; None where nothing is."""
    ends = [
        step * (z - begin)
        for s in profile.segments
        if s.id in uncut and s.surface != "inner"
        for z in (s.curve.start[0], s.curve.end[0])
    ]
    return min((max(0.0, way) for way in ends if way >= -_SAME_MM), default=None)


def _to_chuck(setup: Setup, profile: Profile, z: float, blade_mm: float | None) -> float | None:
    """From here to what stands at the chuck: the bar behind the part, or jaws on its outside."""
    low, high = setup.grip.z_mm
    if setup.grip.kind in (RAW_BAR, RAW_PIECE):
        low, high = profile.length_mm + (blade_mm or 0.0), -(blade_mm or 0.0)
    elif setup.grip.surface != "outer":
        return None
    way = z - high if setup.toward_chuck == "low" else low - z
    return way if way >= 0.0 else None


def _edges(profile: Profile, inner: bool) -> Iterator[tuple[tuple[float, float], ...]]:
    """Pieces of the outline, (z, r) to (z, r), that a tool on this side could meet."""
    kinds = ("inner", "end", "axis") if inner else ("outer", "end")
    for segment in profile.segments:
        if segment.surface in kinds:
            points = [(float(z), float(r)) for z, r in segment.curve.flatten(_CHORD_MM)]
            yield from pairwise(points)


def _way(
    profile: Profile, inner: bool, begin: float, step: float, crest: float, spare: float
) -> float | None:
    """How far along z the outline first stands beyond the crest; None where it never does."""
    sign = -1.0 if inner else 1.0
    nearest: float | None = None
    for a, b in _edges(profile, inner):
        over = [sign * (p[1] - crest) - spare for p in (a, b)]
        if max(over) <= 0.0:
            continue
        places = [p[0] for p, o in zip((a, b), over, strict=True) if o > 0.0]
        if min(over) <= 0.0:
            t = over[0] / (over[0] - over[1])
            places.append(a[0] + t * (b[0] - a[0]))
        for z in places:
            way = step * (z - begin)
            if way >= -spare and (nearest is None or way < nearest):
                nearest = max(0.0, way)
    return nearest


def _radius(profile: Profile, inner: bool, z: float) -> float | None:
    """Outside the largest, inside the smallest radius of the outline at z; None beyond the part."""
    found = []
    for a, b in _edges(profile, inner):
        if min(a[0], b[0]) <= z <= max(a[0], b[0]):
            share = 0.0 if a[0] == b[0] else (z - a[0]) / (b[0] - a[0])
            found.append(a[1] + share * (b[1] - a[1]))
    if not found:
        return None
    return min(found) if inner else max(found)
