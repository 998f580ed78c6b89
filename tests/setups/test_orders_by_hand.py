"""In what order a machinist does the work of one chucking: centres, close outsides, fine bores."""

import pytest
from test_plans_by_hand import PARTS, SPINDLE, machines, plan

from turnability.intent.model import Intent, Named, Tolerance
from turnability.rules.drawn import drawn_part
from turnability.setups.model import Grip, Operation
from turnability.setups.support import support_of


def close(diameter, width, side):
    place = Named(diameter_mm=(diameter, diameter), side=side)
    return Tolerance("diameter", place, "close", width_mm=width, nominal_mm=diameter)


def test_a_close_outside_is_finished_on_the_centre_in_the_bored_mouth():
    """By hand: ⌀24 h6 and a bore ⌀16 H7 in the free end, 200 mm out of the jaws. Faced and centre-
    drilled; roughed on the centre; a steady set, drilled and bored; the centre brought up again
    in the mouth, and the outside finished on it; taken away to part off."""
    meant = Intent(tolerances=(close(24.0, 0.013, "outer"), close(16.0, 0.018, "inner")))
    (setup,) = plan(SPINDLE, intent=meant).setups
    done = [(o.kind, o.support) for o in setup.operations]
    kept = [one for one in dict.fromkeys(done) if one[0] != "drill"]
    assert kept == [
        ("face", "none"),
        ("rough", "tailstock"),
        ("bore", "steady"),
        ("turn", "tailstock"),
        ("part off", "none"),
    ]


@pytest.mark.parametrize(
    ("mouth_mm", "order"),
    [
        (58.0, ["face", "rough", "drill", "bore", "turn", "part off"]),
        (62.0, ["face", "rough", "turn", "drill", "bore", "part off"]),
    ],
)
def test_a_mouth_over_60_mm_carries_no_centre_again(mouth_mm, order):
    """By hand: a blunt 60° centre fills mouths of up to 60 mm (from memory); beyond that the close
    outside has to be finished on the centre before the end is bored."""
    r = mouth_mm / 2.0
    profile = drawn_part([(0, 0), (280, 0), (280, r), (300, r), (300, 34), (0, 34)]).profile
    kinds = ["face", "rough", "drill", "bore", "turn", "part off"]
    segments = {"face": ("S4",), "bore": ("S2", "S3"), "turn": ("S5",)}
    operations = [
        Operation(f"tool {kind}", segments.get(kind, ()), kind, after_bore=kind == "turn")
        for kind in kinds
    ]
    grip = Grip("raw bar", "outer", (-40.0, -5.0), 70.0, 35.0)
    way = support_of(profile, "low", grip, operations, machines(steady=False)[0])
    assert [o.kind for o in way.operations] == order
    assert {o.kind for o in way.operations if o.support == "tailstock"} == {"rough", "turn"}


@pytest.mark.parametrize("name", [n for n, by in PARTS.items() if by.support])
def test_nothing_is_done_to_an_end_while_a_centre_stands_in_it(name):
    """By hand: faced and centre-drilled before, drilled, bored and parted off without it."""
    made = plan(PARTS[name].points, intent=PARTS[name].intent)
    profile = drawn_part(PARTS[name].points).profile
    for setup in made.setups:
        end = profile.length_mm if setup.toward_chuck == "low" else 0.0
        faces = {
            s.id
            for s in profile.segments
            if s.surface == "end" and s.curve.start[0] == s.curve.end[0] == end
        }
        carried = [n for n, o in enumerate(setup.operations) if o.support == "tailstock"]
        for n in carried:
            assert setup.operations[n].kind in ("rough", "turn", "groove")
            assert not faces & set(setup.operations[n].segments)
        faced = [n for n, o in enumerate(setup.operations) if o.kind == "face"]
        assert not carried or not faced or max(faced) < min(carried)
        kinds = [o.kind for o in setup.operations]
        assert "part off" not in kinds[:-1]


def test_a_slot_drill_leaves_a_fine_bore_something():
    """By hand: the flat floor of ⌀16 H7 is squared by a slot drill no wider than 15.6, for the
    bar that bores the wall; one of 16 would leave it nothing and hold no H7."""
    cap = [(0, 0), (30, 0), (30, 8), (60, 8), (60, 12), (0, 12)]
    fine = plan(cap, intent=Intent(tolerances=(close(16.0, 0.018, "inner"),)))
    flat = [o.tool for s in fine.setups for o in s.operations if o.tool.startswith("slot drill")]
    assert flat
    assert all(float(tool.split()[-1]) <= 15.6 for tool in flat)
    (bored,) = [o for s in fine.setups for o in s.operations if o.kind == "bore" and o.segments]
    assert "S3" in bored.segments
