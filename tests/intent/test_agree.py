"""What the file and the intent state together, and where they differ."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from turnability.intent.agree import agree, of_file, together
from turnability.intent.model import Intent, Named, Related, Tolerance
from turnability.intent.settle import settled
from turnability.part.model import (
    Datum,
    DatumReference,
    Part,
    Place,
    Stated,
    StatedSize,
    StatedTolerance,
)
from turnability.rules.drawn import PIN, drawn_part

THIN, THICK, SHOULDER, HIGH = ("S3",), ("S5",), ("S4",), ("S2",)


def size(at: tuple[str, ...], kind: str, nominal: float, **more: Any) -> StatedSize:
    stated = StatedSize(
        step_id=7, kind=kind, what=kind, unit="mm", nominal=nominal, least=None, largest=None,
        fit=None, modifiers=(), at=Place((), at),
    )  # type: ignore[arg-type]  # fmt: skip
    return replace(stated, **more)


RUN_OUT = StatedTolerance(
    step_id=9, kind="circular-runout", name=None, value_mm=0.02, per_mm=None, zone=None,
    modifiers=(), datums=(DatumReference(("A",)),), at=Place((), THIN),
)  # fmt: skip


def part(*sizes: StatedSize) -> Part:
    """A pin ⌀22 to z 18, then ⌀16 to z 30, whose thin end runs true to the thick one."""
    stated = Stated(sizes, (RUN_OUT,), (Datum(8, "A", Place((), THICK)),))
    return replace(drawn_part(PIN), stated=stated)


def thin(**more: Any) -> Tolerance:
    return Tolerance("diameter", Named(diameter_mm=(16.0, 16.0)), "…", **more)


def differ(intent: Intent, *sizes: StatedSize) -> list[tuple[str, str, str]]:
    whole = part(*sizes)
    return [(d.what, d.intent, d.file) for d in agree(settled(intent, whole), whole)]


def test_a_size_by_its_limits() -> None:
    """ISO 286-2: 16 h7 is 0 / -18 µm, h9 0 / -43 µm."""
    h7 = Intent(tolerances=(thin(fit="h7"),))
    assert differ(h7, size(THIN, "diameter", 16.0, least=15.982, largest=16.0)) == []
    assert differ(h7, size(THIN, "radius", 8.0, least=7.991, largest=8.0)) == []
    assert differ(h7, size(THIN, "diameter", 16.0, fit="h7")) == []
    assert differ(h7, size(THICK, "diameter", 22.0, fit="h9")) == []
    assert differ(h7, size(THIN, "diameter", 16.0, fit="h9")) == [
        ("the diameter's tolerance", "h7 (15.982–16)", "h9 (15.957–16)")
    ]


@pytest.mark.parametrize("word", ["theoretical", "auxiliary"])
def test_basic_and_reference_dimensions_hold_nothing(word: str) -> None:
    limits = size(THIN, "diameter", 16.0, least=15.0, largest=16.0, modifiers=(word,))
    assert differ(Intent(tolerances=(thin(fit="h7"),)), limits) == []
    assert of_file(part(limits)).tolerances == ()


def test_what_is_no_turned_size_stays_with_the_file() -> None:
    fillet = size(SHOULDER, "radius", 1.5, least=1.4, largest=1.6)
    drilled = size((), "diameter", 6.0, least=6.0, largest=6.1)
    to_a_flat = size(SHOULDER, "distance", 5.0, least=4.9, largest=5.1, to=Place((9,), ()))
    assert of_file(part(fillet, drilled, to_a_flat)).tolerances == ()


def test_a_length_between_the_same_faces() -> None:
    length = Tolerance("length", Named(z_mm=(18.0, 30.0)), "±0.1", deviations_mm=(-0.1, 0.1))
    distance = size(SHOULDER, "distance", 12.0, least=11.9, largest=12.1, to=Place((), HIGH))
    assert differ(Intent(tolerances=(length,)), distance) == []
    wider = replace(distance, largest=12.3)
    assert differ(Intent(tolerances=(length,)), wider) == [
        ("the length's tolerance", "11.9–12.1", "11.9–12.3")
    ]


def test_run_out() -> None:
    places = (Named(diameter_mm=(16.0, 16.0)), Named(diameter_mm=(22.0, 22.0)))
    assert differ(Intent(related=(Related("true", places, 0.02),))) == []
    assert differ(Intent(related=(Related("true", places),))) == []
    assert differ(Intent(related=(Related("true", places, 0.1),))) == [
        ("the run-out", "0.1", "0.02")
    ]


def test_together_the_intent_goes_first() -> None:
    whole = part(size(THIN, "diameter", 16.0, fit="h9"), size(THICK, "diameter", 22.0, fit="h11"))
    ours = settled(Intent(quantity=3, tolerances=(thin(fit="h7"),)), whole)
    both = together(ours, whole)
    assert [t.fit for t in both.tolerances] == ["h7", "h11"]
    assert both.quantity == 3
    (related,) = both.related
    assert [place.segments for place in related.places] == [THIN, THICK]
    assert related.run_out_mm == 0.02
    assert [t.fit for t in together(None, whole).tolerances] == ["h9", "h11"]
    assert together(None, whole).tolerances[1].place.on_z_mm == (0.0, 18.0)
