"""What is done to the holding before a step: support set or taken away, long work drawn in."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from turnability.setups.holding.slender import CHUCK_ONLY_LIMIT
from turnability.setups.model import Setup
from turnability.units import length_text, number_text, span_text

COOL = "Let the work cool: what follows is finished without a pause"
_IN_THE_END = {"face": "face", "drill": "drill", "bore": "bore"}
PLUG = "A plug in the bore, or a mandrel, carries the thin wall from here: sharp tool, light cuts"


def first_texts(
    setup: Setup, free: Sequence[float], drawn: Collection[int], inch: bool
) -> tuple[str, ...]:
    """One text for each operation, empty for nothing.

    `free` are the diameters that stand free, drawn out to length but where that is planned else;
    `drawn` what is done while the work is drawn in.
    """
    long = [n for n, ratio in enumerate(free) if ratio > CHUCK_ONLY_LIMIT.value]
    ends = [n for n in long if setup.operations[n].kind in ("face", "drill", "ream")]
    planned = any(o.out_mm is not None for o in setup.operations)
    made = []
    for n in range(len(setup.operations)):
        words = [COOL if n == _cools(setup) else ""]
        out = n - 1 in drawn and n not in drawn if planned else bool(drawn) and ends[0] < n
        words.append(_changes(setup, n, inch, out))
        if planned and n == min(drawn):
            words.append(_as_planned(setup, drawn, inch))
        elif not planned and ends and n == ends[0]:
            words.append(_short_first(setup, free[n], n in drawn))
        made.append(". ".join(word for word in words if word))
    return tuple(made)


def _cools(setup: Setup) -> int | None:
    """The first finishing cut that waited until outside and bore were roughed."""
    roughed: set[str] = set()
    hollow = False
    for n, o in enumerate(setup.operations):
        waited = (o.after_bore or o.over_thin_wall) and hollow
        if waited or (o.kind == "bore" and o.segments and roughed.issuperset(o.segments)):
            return n
        roughed |= set(o.leaves if o.only_roughs else ())
        hollow = hollow or o.kind in ("drill", "bore")
    return None


def _at(steps: Sequence[str]) -> str:
    return f"step{'s' if len(steps) > 1 else ''} {', '.join(steps)}"


def caution_free(free: Sequence[float], told: bool = True) -> str | None:
    """What to say where more than 4 diameters stand free without support; None where none do.

    `told`: the sheet gives speeds.
    """
    limit = CHUCK_ONLY_LIMIT.value
    steps: dict[str, list[str]] = {}
    for n, ratio in enumerate(free, start=1):
        if ratio > limit:
            steps.setdefault(_many(ratio), []).append(str(n))
    if not steps:
        return None
    (many, at), *more = steps.items()
    words = [f"{many} diameters stand free without support ({_at(at)})"]
    words += [f"{many} ({_at(at)})" for many, at in more]
    slow = "no faster than given" if told else "slowly"
    return (
        f"{' and '.join(words)}, where {limit:.0f} are the usual limit: support it or let less "
        f"stand out; else light cuts, {slow}: it can bend, leave the jaws, whip."
    )


def _many(ratio: float) -> str:
    """Upwards, so that what is over the limit reads so."""
    return number_text(math.ceil(10.0 * ratio - 1e-6) / 10.0, False)


def _short_first(setup: Setup, ratio: float, drawn_in: bool) -> str:
    centred = any(o.support == "tailstock" for o in setup.operations)
    ends = "face and centre-drill it" if centred else "face or drill its end"
    if not drawn_in:
        return (
            f"{_many(ratio)} diameters stand free: set a steady near the end to {ends}, or light "
            "cuts at low speed"
        )
    then = "" if centred else ", then draw it out to length"
    return f"Let no more than {CHUCK_ONLY_LIMIT.value:.0f} diameters stand out to {ends}{then}"


def _as_planned(setup: Setup, drawn: Collection[int], inch: bool) -> str:
    """How far it stands out at first, and what for."""
    done = [o for n, o in enumerate(setup.operations) if n in drawn]
    far = _far(setup, done[0].out_mm, inch)
    kinds = {o.kind for o in done}
    words = [word for kind, word in _IN_THE_END.items() if kind in kinds]
    if "turn" in kinds:
        whole = any(o.one_pass for o in done)
        words.append("turn the thin end" if whole else "turn the place of the steady")
    what = f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else words[0]
    return f"Let no more than {far} stand out to {what}" + ("" if "turn" in kinds else " it")


def _far(setup: Setup, out: float | None, inch: bool) -> str:
    """How much stands out of the jaws, in words."""
    if out is None or out >= CHUCK_ONLY_LIMIT.value * setup.grip.diameter_mm:
        return f"{CHUCK_ONLY_LIMIT.value:.0f} diameters"
    return length_text(out if inch else math.ceil(out), inch)


def _changes(setup: Setup, n: int, inch: bool, drawn_in: bool) -> str:
    """What is done to the support before the n-th operation."""
    if setup.operations[n].over_thin_wall:
        return PLUG
    now = setup.operations[n].support
    before = setup.operations[n - 1].support if n else "none"
    if now == before == "none" and n:
        far, was = (setup.operations[m].out_mm for m in (n, n - 1))
        if far is not None and was is not None and far > was:
            return f"Draw it out until {_far(setup, far, inch)} stand out"
        return "Draw it out to length" if was is not None and drawn_in else ""
    if now == before or setup.support == "between-centres":
        return ""
    away = {"tailstock": "Take the centre away", "steady": "Take the steady away"}.get(before)
    on = "" if setup.steady_z_mm is None else f" z {span_text(setup.steady_z_mm, inch)}"
    draw = "Draw it out to length, " if drawn_in else ""
    if now == "tailstock":
        hollow = any(o.kind in ("drill", "bore") for o in setup.operations[:n])
        if (
            hollow
            and before == "none"
            and not any(o.support == "tailstock" for o in setup.operations[:n])
        ):
            up = "bring the centre up in the bored mouth, or on a plug in it"
            return f"{draw}{up}" if draw else f"{up[0].upper()}{up[1:]}"
        if any(o.support == "tailstock" for o in setup.operations[:n]):
            word = f"{away}, b" if away else "B"
            return f"{word}ring the centre up in the bored mouth, or on a plug in it"
        if setup.operations[0].kind != "face":
            return "Bring the centre up to the free end"
        out = ", draw it out to length" if drawn_in else ""
        return f"Centre-drill the free end{out} and bring the centre up"
    if now == "steady":
        set_up = f"et the steady on{on or ' what is turned'}, running true"
        if draw:
            return f"{draw}s{set_up}"
        return f"S{set_up}" if away is None else f"S{set_up}; then {away[0].lower()}{away[1:]}"
    return away or ""
