"""Shapes from memory are taken as they are: workplane, shape, bare kernel shape."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import cadquery as cq
import pytest

from turnability import analyze, analyze_all
from turnability.analysis.stages import walk
from turnability.errors import IntentUnusable, PartUnreadable, ShopUnusable, TurnabilityError
from turnability.part.profile import drawn_profile
from turnability.rules.drawn import PIN, drawn_part, drawn_shop


def pin() -> cq.Workplane:
    return (
        cq.Workplane("XY").circle(8.0).extrude(30.0).faces("<Z").workplane().circle(11).extrude(12)
    )


@pytest.mark.parametrize("of", [lambda w: w, lambda w: w.val(), lambda w: w.val().wrapped])
def test_however_it_is_wrapped(of: Any) -> None:
    report = analyze(of(pin()), drawn_shop())
    profile = report.part.profile
    assert profile is not None
    assert report.crashed == ()
    assert profile.length_mm == pytest.approx(42.0, abs=1e-6)
    assert profile.volume_mm3 == pytest.approx(math.pi * (64 * 30 + 121 * 12), rel=1e-9)
    assert report.document()["source"]["path"] is None


def test_two_solids_ask_for_a_choice() -> None:
    two = pin().add(pin().translate((100.0, 0.0, 0.0)))
    with pytest.raises(TurnabilityError, match="2 solids"):
        analyze(two, drawn_shop())
    assert len(analyze_all(two, drawn_shop())) == 2
    assert analyze(two, drawn_shop(), solid=2).part.source.solid == 2
    with pytest.raises(PartUnreadable, match="no solid 3"):
        analyze(two, drawn_shop(), solid=3)


def test_what_is_no_shape_is_refused_clearly() -> None:
    with pytest.raises(PartUnreadable, match="no solid in it"):
        analyze(object(), drawn_shop())


def test_a_shape_with_one_solid_says_so() -> None:
    with pytest.raises(PartUnreadable, match=r"no solid 9; it holds only one\. Ask for no solid"):
        analyze(pin(), drawn_shop(), solid=9)
    with pytest.raises(PartUnreadable, match="no solid 0; it holds only one"):
        analyze(pin(), drawn_shop(), solid=0)


@pytest.mark.parametrize(("path", "says"), [("a\0b", r"a\\0b: .* NUL"), ("", "this is a folder")])
def test_paths_that_are_none(path: str, says: str) -> None:
    with pytest.raises(PartUnreadable, match=says):
        analyze(path, drawn_shop())
    with pytest.raises(PartUnreadable, match=says):
        analyze_all(path, drawn_shop())


def test_a_shop_by_a_path_that_is_none() -> None:
    with pytest.raises(ShopUnusable, match="NUL"):
        analyze(pin(), "a\0b")


def test_an_assumed_unit_is_listed_among_the_assumptions() -> None:
    part = drawn_part(drawn_profile(PIN))
    stated, none = (
        walk(replace(part, source=replace(part.source, unit_stated=said)), drawn_shop())
        for said in (True, False)
    )
    units = [[a.assumed for a in r.assumptions if a.what == "length unit"] for r in (stated, none)]
    assert units == [[], ["mm"]]


@pytest.mark.parametrize("intent", [3, {}, ["a.toml"]])
def test_what_is_no_intent_is_said_so(intent: object) -> None:
    with pytest.raises(IntentUnusable, match="is no type of intent") as told:
        analyze(cq.Workplane().circle(5).extrude(10), intent=intent)  # type: ignore[arg-type]
    assert isinstance(told.value, TypeError)


@pytest.mark.parametrize("solid", ["1", True, 1.0])
def test_a_solid_is_named_by_a_whole_number(solid: object) -> None:
    with pytest.raises(TurnabilityError, match="is no whole number") as told:
        analyze(cq.Workplane().circle(5).extrude(10), solid=solid)  # type: ignore[arg-type]
    assert isinstance(told.value, TypeError)
