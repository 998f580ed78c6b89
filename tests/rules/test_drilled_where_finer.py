"""A drill holds IT12 and no H7 (ISO 286-1: IT7 of ⌀6 is 0.012, IT12 0.12); a reamer does.

What a drill holds, and what it leaves a reamer, are common practice without a source.
"""

from dataclasses import replace

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, Related, Roughness, StatedThread, Tolerance
from turnability.outputs.route_sheet.route import route_of
from turnability.rules.drawn import drawn_part
from turnability.rules.drilled_where_finer import _REAMER
from turnability.setups.bores.as_drilled import left_as_drilled
from turnability.shop.load import starter_shop, tools_of

SHOP = starter_shop()
(DRILL_58,) = tools_of({"kind": "drill", "diameter_mm": 5.8})
BORE = Named(diameter_mm=(6.0, 6.0))
BUSH = [(0, 3), (24, 3), (24, 8), (0, 8)]


def size(width: float, d: float = 6.0) -> Tolerance:
    at = Named(diameter_mm=(d, d))
    return Tolerance("diameter", at, f"+{width}/0", deviations_mm=(0.0, width), nominal_mm=d)


def reamer(d, flutes, fit="H7"):
    (made,) = tools_of(
        {"kind": "reamer", "diameter_mm": d, "cutting_length_mm": flutes, "fit": fit}
    )
    return made


def made(intent, points=BUSH, shop=SHOP):
    report = walk(drawn_part(points), shop, intent=intent)
    return report, [f for f in report.findings if f.rule == "drilled-where-finer"]


def test_a_bore_h7_that_a_drill_alone_makes_is_an_error_with_what_would_make_it():
    _, (finding,) = made(Intent(tolerances=(size(0.012),)))
    assert (finding.level, finding.measured, finding.limit) == ("error", 0.012, 0.12)
    # out of the bore by a lead of 1.5 mm
    assert "reamer of ⌀6 mm H7 (6 to 6.012 mm) that cuts 25.5 mm deep" in finding.message
    assert "a drill of 5.8 mm to go before it" in finding.message
    # of the starter shop's bars bore 8 is the slimmest that is 24 long
    least = min(
        t.limits["min_bore_mm"]
        for t in SHOP.tools
        if t.name.startswith("bore ") and t.limits["overhang_mm"] >= 24.0
    )
    assert f"draw it at least ⌀{least:g} mm, which bore 8 bores" in finding.message


def test_the_route_sheet_says_it_beside_the_drill():
    report, (finding,) = made(Intent(tolerances=(size(0.012),)))
    (step,) = [s for s in route_of(report, SHOP).setups[0].steps if s.kind == "drill"]
    assert step.where.endswith(f"; does not finish it as stated ({finding.id})")
    report, told = made(Intent(tolerances=(size(0.12),)))
    (step,) = [s for s in route_of(report, SHOP).setups[0].steps if s.kind == "drill"]
    assert not told
    assert "as stated" not in step.where


@pytest.mark.parametrize(
    ("intent", "level"),
    [
        (Intent(), None),
        (Intent(tolerances=(size(0.075),)), "warning"),
        (Intent(roughness=(Roughness(BORE, 0.8),)), "error"),
        (Intent(roughness=(Roughness(BORE, 3.2),)), "warning"),
        (Intent(ra_um=0.8), "warning"),
        (Intent(ra_um=3.2), "note"),
        (Intent(ra_um=6.3), None),
        # ±0.1 of ISO 2768-m is coarser than IT12 of ⌀6, ±0.05 of 2768-f finer, 0.1 > IT11
        (Intent(general_tolerance="ISO 2768-m"), None),
        (Intent(general_tolerance="ISO 2768-f"), "note"),
    ],
)
def test_how_heavy_it_is(intent, level):
    _, told = made(intent)
    assert [f.level for f in told] == ([level] if level else [])


def test_a_bore_that_a_bar_finishes_is_none():
    """⌀20 H7, 24 deep: bored after a drill."""
    wide = [(0, 10), (24, 10), (24, 16), (0, 16)]
    report, told = made(Intent(tolerances=(size(0.021, 20.0),)), wide)
    assert not told
    assert any(o.kind == "bore" for s in report.setups for o in s.operations)


def test_what_the_shop_lacks_to_ream_it_is_named_and_proven():
    """⌀6 takes two tenths off: handbooks' usual allowance, from memory."""
    _, (finding,) = made(Intent(tolerances=(size(0.012),)))
    change = finding.change
    assert (change.parameter, change.from_, change.to) == ("reamer_diameter_mm", None, 6.0)
    assert change.proven
    # the reamer is there, and no drill before it
    shop = replace(SHOP, tools=(*SHOP.tools, _REAMER))
    _, (finding,) = made(Intent(tolerances=(size(0.012),)), shop=shop)
    assert finding.level == "error"
    assert "the shop has reamer 6, but no drill that leaves it something to take" in finding.message
    change = finding.change
    assert (change.parameter, change.from_, change.to) == ("drill_diameter_mm", 6.0, 5.8)
    assert change.proven
    # both are there: the plan has them
    shop = replace(SHOP, tools=(*shop.tools, DRILL_58))
    report, told = made(Intent(tolerances=(size(0.012),)), shop=shop)
    assert not told
    done = [(o.kind, o.tool) for o in report.setups[0].operations if o.kind in ("drill", "ream")]
    assert done == [("drill", "drill 5.8"), ("ream", "reamer 6")]


def test_where_a_bar_only_lacks_a_drill_that_lets_it_in_that_is_proposed_first():
    """By hand: ⌀25 H7 × 60, blind (IT7 of ⌀25 is 0.021). Bore 12 stands out 48 mm. Bore 20 goes in
    from 23 mm (f 13 and half of 20) and wants 0.4 mm left: of the drills 22 and 25 neither does,
    one of 23 to 24.6 would."""
    wide = [(0, 0), (12, 0), (12, 12.5), (72, 12.5), (72, 20), (0, 20)]
    report, (finding,) = made(Intent(tolerances=(size(0.021, 25.0),)), wide)
    assert "drill 25" in [o.tool for o in report.setups[0].operations]
    assert "list a drill of 24 mm (23 to 24.6 mm would do), which lets bore 20 in" in (
        finding.message
    )
    change = finding.change
    assert (change.parameter, change.from_, change.to) == ("drill_diameter_mm", 25.0, 24.0)
    assert change.proven


def test_a_reamer_that_does_not_come_through_is_told_with_how_far_it_cuts():
    short = reamer(6.0, 20.0)
    shop = replace(SHOP, tools=(*SHOP.tools, short, DRILL_58))
    (finding,) = made(Intent(tolerances=(size(0.012),)), shop=shop)[1]
    assert (
        "reamer 6 cuts 20 mm deep at most (state its overall_length_mm if its neck follows into "
        "the bore). Ream it: list"
    ) in finding.message
    assert "and run drill 5.8 before it" in finding.message
    assert finding.change.proven


def test_a_drill_too_short_for_the_bore_goes_before_no_reamer():
    (short,) = tools_of({"kind": "drill", "diameter_mm": 5.8, "flute_length_mm": 20.0})
    shop = replace(SHOP, tools=(*SHOP.tools, _REAMER, short))
    (finding,) = made(Intent(tolerances=(size(0.012),)), shop=shop)[1]
    assert "something to take and goes as deep. List a drill of 5.8 mm that goes 24 mm deep" in (
        finding.message
    )
    assert finding.change.proven


def test_a_reamer_ground_for_another_fit_is_told_with_what_it_makes():
    """ISO 286-2: F7 of ⌀6 is 6.010 to 6.022, H7 6.000 to 6.012."""
    at = Named(diameter_mm=(6.0, 6.0))
    running = Tolerance("diameter", at, "F7", "F7", None, (0.010, 0.022), 0.012, 6.0)
    shop = replace(SHOP, tools=(*SHOP.tools, _REAMER, DRILL_58))
    report, (finding,) = made(Intent(tolerances=(running,)), shop=shop)
    assert "reamer 6 is ground for H7 (6 to 6.012 mm)" in finding.message
    assert "list a reamer of ⌀6 mm F7 (6.01 to 6.022 mm)" in finding.message
    assert finding.change.proven
    assert not any(o.kind == "ream" for s in report.setups for o in s.operations)
    shop = replace(SHOP, tools=(*SHOP.tools, reamer(6.0, 26.0, "F7"), DRILL_58))
    report, told = made(Intent(tolerances=(running,)), shop=shop)
    assert not told
    assert any(o.kind == "ream" for s in report.setups for o in s.operations)


def test_what_is_asked_of_the_whole_part_alone_proposes_no_tools():
    _, (finding,) = made(Intent(ra_um=0.8))
    assert finding.level == "warning"
    assert finding.change is None


def test_where_it_must_run_true_too_no_reamer_alone_is_advised():
    true = Related("bore", (BORE, Named(diameter_mm=(16.0, 16.0))), 0.05)
    report, (finding,) = made(Intent(tolerances=(size(0.012),), related=(true,)))
    assert any(f.rule == "related-surfaces-split" for f in report.findings)
    assert "a reamer alone does not do: draw it at least" in finding.message
    # related alone is told there, and only there
    report, told = made(Intent(related=(true,)))
    assert any(f.rule == "related-surfaces-split" for f in report.findings)
    assert not told


def test_the_depth_is_told_from_the_end_that_the_drill_comes_from():
    """A throat of ⌀6 behind a bore of ⌀20: 30 to 40 from one end, 0 to 10 from the other."""
    throat = [(0, 3), (10, 3), (10, 10), (40, 10), (40, 16), (0, 16)]
    report, _ = made(Intent(tolerances=(size(0.012),)), throat)
    assert report.part.profile is not None
    found = left_as_drilled(
        report.part.profile, report.part.stated, report.intent, report.setups, SHOP
    )
    (one,) = found
    (drilled,) = [s for s in report.setups if any("S1" in o.segments for o in s.operations)]
    assert one.deep_mm == pytest.approx(40.0 if drilled.toward_chuck == "low" else 10.0)


def test_a_tapped_hole_is_none():
    """M6 from 5 mm: what is stated of the whole part is not asked of the hole that is tapped."""
    hole = [(0, 2.5), (12, 2.5), (12, 8), (0, 8)]
    thread = StatedThread(Named(diameter_mm=(5.0, 5.0)), "M6")
    report, told = made(Intent(ra_um=0.8, threads=(thread,)), hole)
    assert any(f.kind == "thread" for f in report.features)
    assert not told
    assert made(Intent(ra_um=0.8), hole)[1]


def test_what_lacks_little_for_a_bar_is_drawn_shorter_and_bored_then() -> None:
    """The starter shop's bar of 12 stands out by 4 diameters, 48 mm (common practice, no source):
    it bores 50 mm not whole, and 48 mm, as it is told."""
    bore = Named(diameter_mm=(20.0, 20.0))
    true = Related("bore", (bore, Named(diameter_mm=(60.0, 60.0))), 0.03)
    intent = Intent(tolerances=(size(0.021, 20.0),), related=(true,))
    told = {}
    for long in (50.0, 48.0):
        hub = [(0, 10), (long, 10), (long, 16), (45, 16), (8, 22), (8, 30), (0, 30)]
        told[long] = [f.message for f in made(intent, hub)[1]]
    assert "shorten it by 2 mm, to the 48 mm that bore 12 bores, or draw it" in told[50.0][0]
    assert told[48.0] == []
