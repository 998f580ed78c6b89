"""Which tool takes which surface, as a machinist would share them out. Starter shop."""

import pytest

from turnability.intent.model import Intent, Named, Related, Tolerance
from turnability.intent.settle import settled
from turnability.reach.compute import reach_of
from turnability.rules.drawn import drawn_part
from turnability.setups.holding.lands import find_lands
from turnability.setups.plan import plan_of
from turnability.shop.load import starter_shop
from turnability.stock.choose import choose_stock

STARTER = starter_shop()
INSIDE = ("drill", "bore")
BUSH = [(0, 6), (20, 6), (20, 9), (0, 9)]


def done(points, intent=None):
    """Kind, tool and segments of each operation, setup by setup."""
    part = drawn_part(points)
    meant = None if intent is None else settled(intent, part, False)
    reach = reach_of(part.profile, STARTER.tools)
    stock = choose_stock(part.profile, STARTER)
    made = plan_of(part, reach, find_lands(part), stock, STARTER, meant).plan
    return [[(o.kind, o.tool, o.segments) for o in s.operations] for s in made.setups]


def inside(points, intent=None):
    (only,) = done(points, intent)
    return [one for one in only if one[0] in INSIDE]


def test_a_plain_bore_of_a_drills_size_is_left_as_drilled():
    """By hand: ⌀12 of which nothing is stated is drilled 12, and a bar would find nothing left."""
    assert inside(BUSH) == [("drill", "drill 12", ("S1",))]


BORE = Named(diameter_mm=(12.0, 12.0))


@pytest.mark.parametrize(
    "intent",
    [
        # ISO 286: IT7 of ⌀12 is 0.018, IT12 0.18, which is what a drill holds
        Intent(tolerances=(Tolerance("diameter", BORE, "H7", width_mm=0.018, nominal_mm=12.0),)),
        Intent(related=(Related("true", (BORE, Named(diameter_mm=(18.0, 18.0))), 0.05),)),
        Intent(ra_um=1.6),
    ],
    ids=["H7", "true to the outside", "Ra 1.6"],
)
def test_a_bore_that_must_be_fine_is_drilled_smaller_and_bored(intent):
    """By hand: drill 11.5, that leaves a quarter of a millimetre a side, then the bar."""
    assert inside(BUSH, intent) == [("drill", "drill 11.5", ()), ("bore", "bore 8", ("S1",))]


def test_a_wide_bore_is_drilled_smaller_and_bored():
    """By hand: ⌀16 is bored, after drill 15, which lets the bar of 12 in: 9 + 6 mm."""
    assert inside([(0, 8), (30, 8), (30, 12), (0, 12)]) == [
        ("drill", "drill 15", ()),
        ("bore", "bore 12", ("S1",)),
    ]


def test_the_bar_of_the_first_setup_is_used_again_and_nothing_drilled_twice():
    """By hand: a wall between two counterbores; drilled through once, one bar for both ends."""
    first, second = done(
        [(0, 20), (30, 20), (30, 12), (50, 12), (50, 20), (80, 20), (80, 27), (0, 27)]
    )
    assert [tool for kind, tool, _ in first if kind == "drill"] == ["drill 22"]
    bars = [[tool for kind, tool, _ in setup if kind == "bore"] for setup in (first, second)]
    assert bars == [["bore 12"], ["bore 12"]]
    # 48 mm of the bar stand out (4 diameters): it leaves 2 mm of the wall's bore to the other end
    assert ["S3" in s for setup in (first, second) for k, _, s in setup if k == "bore"] == [
        True
    ] * 2
    assert not [kind for kind, _, _ in second if kind == "drill"]


def test_a_flat_floor_is_squared_after_a_pointed_drill():
    """By hand: ⌀5 blind and flat: drill 5 first, then the slot drill of 5 squares its floor."""
    drills = inside([(0, 0), (20, 0), (20, 2.5), (32, 2.5), (32, 8), (0, 8)])
    assert [tool for _, tool, _ in drills] == ["drill 5", "slot drill 5"]
    # through, no slot drill is asked for
    assert [t for _, t, _ in inside([(0, 2.5), (12, 2.5), (12, 8), (0, 8)])] == ["drill 5"]


def test_a_groove_is_the_work_of_one_blade():
    """By hand: 4 wide, 1.8 deep for an O-ring: the blade of 3 takes floor and walls; one right-hand
    tool turns the rest."""
    cap = [(0, 0), (30, 0), (30, 14), (26, 14), (26, 12.2), (22, 12.2), (22, 14), (10, 14),
           (10, 25), (0, 25)]  # fmt: skip
    (only,) = done(cap)
    assert [one for one in only if one[0] == "groove"] == [
        ("groove", "groove 3", ("S4", "S5", "S6"))
    ]
    assert {tool for kind, tool, _ in only if kind in ("turn", "face")} == {"rough right"}


def test_a_pointed_corner_is_left_no_run_that_a_sturdy_one_takes():
    """By hand: the pointed corner turns only what lies behind the collar; before it the one that
    roughs finishes as well."""
    shaft = [(0, 0), (120, 0), (120, 8.7), (90, 8.7), (90, 11.5), (40, 11.5), (40, 14),
             (25, 14), (25, 9.2), (0, 9.2)]  # fmt: skip
    (only,) = done(shaft)
    turned = {tool: names for kind, tool, names in only if kind == "turn"}
    assert turned["copy 35 right"] == ("S3", "S5")
    assert turned["rough right"] == ("S7", "S8", "S9")


def test_the_edge_behind_which_the_work_is_parted_off_is_broken_by_that_blade():
    """By hand: no corner digs 0.5 x 45 degrees into the full bar; the blade is sunk behind the end
    and breaks the edge with its own corner, then parts off. One tool turns the rest."""
    (only,) = done([(0, 0), (40, 0), (40, 9.5), (39.5, 10), (0.5, 10), (0, 9.5)])
    assert [one for one in only if "S5" in one[2]] == [("groove", "part 3", ("S5",))]
    assert [one[0] for one in only][-2:] == ["groove", "part off"]
    assert {tool for kind, tool, _ in only if kind in ("turn", "face")} == {"rough right"}


def test_the_edges_of_a_groove_are_broken_by_the_blade_that_is_sunk_there():
    """By hand: a groove 5 wide, 2 deep with both its edges broken: all of it the blade's."""
    (only,) = done([
        (0, 0), (40, 0), (40, 10), (23, 10), (22.5, 9.5), (22.5, 8), (17.5, 8), (17.5, 9.5),
        (17, 10), (0, 10),
    ])  # fmt: skip
    grooves = [one for one in only if one[0] == "groove"]
    assert [names for _, _, names in grooves] == [("S4", "S5", "S6", "S7", "S8")]
    assert {tool for kind, tool, _ in only if kind == "turn"} == {"rough right"}


@pytest.mark.parametrize(
    ("r", "slot", "turned"), [(17.0, "slot drill 12", False), (16.5, "slot drill 16", True)]
)
def test_a_flat_floor_of_a_wide_blind_bore_is_bored_and_its_centre_squared_by_a_slot_drill(
    r, slot, turned
):
    """By hand: ⌀34 × 64, blind and flat. The bar of 20 with f 13 comes no nearer to the centre than
    13 + 10 - 17 = 6 mm, its nose of 0.4 touching the floor at 5.6: the slot drill of 12 squares
    what lies within. No blade on a bar is fed across it. In ⌀33 the nose touches it at 6.1, beyond
    the edge of that one."""
    blind = [(0, 0), (8, 0), (8, r), (72, r), (72, 25), (0, 25)]
    (only,) = done([(72 - z, r) for z, r in reversed(blind)] if turned else blind)
    assert [(kind, tool, len(names)) for kind, tool, names in only if kind in INSIDE] == [
        ("drill", "drill 30", 0),
        ("drill", slot, 1),
        ("bore", "bore 20", 2),
    ]
    assert not [tool for _, tool, _ in only if "inside" in tool]


def test_a_cone_inside_is_bored_as_far_as_a_bar_gets_and_a_blade_cuts_the_rest_alone():
    """By hand: a venturi of ⌀28 and ⌀14. Bore 12 stands out 48 mm and comes 8 mm into the cone that
    begins at 40; groove inside 3 goes on from there, as far as its bar of 16 passes."""
    venturi = [(0, 14), (40, 14), (66, 7), (72, 7), (150, 14), (160, 14), (160, 20), (0, 20)]
    first, _ = done(venturi)
    on_cone = [(kind, tool) for kind, tool, names in first if "S2" in names]
    assert on_cone == [("bore", "bore 12"), ("groove", "groove inside 3")]


def test_a_long_bore_is_bored_as_far_as_a_bar_gets_and_a_narrow_blade_cuts_the_rest_alone():
    """By hand: ⌀14.5 behind ⌀26, 40 mm in all, true to the outside. Bore 8 stands out 32 mm and
    comes to z 8; ring groove inside, of 1.1 mm, finishes no more than ten widths sideways, 11 mm:
    what is left of 30, not all of it."""
    stepped = [(0, 7.25), (30, 7.25), (30, 13), (40, 13), (40, 25), (0, 25)]
    places = (Named(diameter_mm=(14.5, 14.5)), Named(diameter_mm=(50.0, 50.0)))
    first, *_ = done(stepped, Intent(related=(Related("true", places, 0.03),)))
    on_bore = [(kind, tool) for kind, tool, names in first if "S1" in names]
    assert on_bore == [("bore", "bore 8"), ("groove", "ring groove inside")]
