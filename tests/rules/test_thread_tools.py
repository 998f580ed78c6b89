"""Threads against the shop's taps, dies and points: what is told of those that nothing cuts.

ISO 261 has M36 with pitches 4 (coarse), 3, 2 and 1.5 mm; an AG60 insert cuts 0.5 to 3 mm (trade
tables, from memory). ISO 2904: trapezoidal threads have flanks of 30 degrees.
"""

from dataclasses import replace

import pytest

from turnability.analysis import walk
from turnability.intent.model import Intent, Named, StatedThread
from turnability.outputs.summary import size_text
from turnability.part.model import Departure, called
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

STARTER = starter_shop()


def threaded(designation, diameter, shop=STARTER):
    r = diameter / 2.0
    part = drawn_part([(0, 0), (40, 0), (40, 5), (20, 5), (20, r), (0, r)])
    intent = Intent(threads=(StatedThread(Named(diameter_mm=(diameter, diameter)), designation),))
    report = walk(part, shop, intent=intent)
    return [f for f in report.findings if f.rule == "no-thread-tool"]


@pytest.mark.parametrize(
    ("designation", "diameter"), [("M20", 20.0), ("M16x1.5", 16.0), ("1/2-13 UNC", 12.7)]
)
def test_usual_threads_are_cut_by_the_starter_s_point(designation, diameter):
    assert threaded(designation, diameter) == []


def test_too_coarse_a_pitch_is_an_error_that_names_the_one_that_would_do():
    (finding,) = threaded("M36", 36.0)
    assert finding.level == "error"
    assert "pitch 0.5 to 3 mm; it has pitch 4 mm" in finding.message
    assert "Take M36x3" in finding.message


def test_other_flanks_ask_for_another_point():
    (finding,) = threaded("Tr20x4", 20.0)
    assert finding.level == "error"
    assert "flanks of 60°, which it has not" in finding.message


def test_a_shop_without_any_says_so():
    (finding,) = threaded("M20", 20.0, replace(STARTER, thread_tools=()))
    assert "no die of its size, and no threading point for the outside" in finding.message


def test_a_thread_without_a_pitch_is_asked_for_by_its_name():
    (finding,) = threaded("as the sample", 20.0)
    assert finding.level == "warning"
    assert "nothing says its form and pitch" in finding.message


def test_departures_go_by_the_name_of_their_form():
    forms = (("other", {"form": "knurl"}), ("other", {"form": "toothed"}), ("other", {}))
    assert [called(*one) for one in forms] == ["knurl", "teeth", "cut-out"]
    departures = tuple(
        Departure(f"D{i}", kind, (), None, (0.0, 5.0), numbers)
        for i, (kind, numbers) in enumerate((*forms, ("hole", {"diameter_mm": 3.0})), 1)
    )
    part = replace(drawn_part([(0, 0), (20, 0), (20, 8), (0, 8)]), departures=departures)
    head = size_text(walk(part, STARTER))
    assert "not turned: knurl, teeth, hole, cut-out at z 0–5;" in head


def test_the_way_out_is_one_sentence():
    (bare,) = threaded("Tr16x4", 16.0, replace(STARTER, thread_tools=()))
    way = "ave it cut elsewhere, or list the die or the insert if one is there."
    assert bare.message.endswith(f". H{way}")
    (coarse,) = threaded("M36", 36.0)
    assert coarse.message.endswith(f", h{way}")
