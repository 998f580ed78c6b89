"""A change against bending is proven by walking again on the changed part, bending and all."""

from dataclasses import replace

from turnability.analysis import walk
from turnability.analysis.prove import with_proofs
from turnability.intent.model import Intent, Named, Tolerance
from turnability.rules import thin_wall
from turnability.rules.drawn import drawn_part
from turnability.rules.model import RuleOutcome
from turnability.setups.bending.squeeze import gripped_walls
from turnability.shop.load import starter_shop
from turnability.shop.materials import material_of

STARTER = starter_shop()
ALONE = replace(
    STARTER, machines=tuple(replace(m, tailstock=False, steady=False) for m in STARTER.machines)
)
# ⌀8 over 34 mm on ⌀16: slender for a chuck alone, and ⌀9 is within what is proposed
STEPPED = [(0, 0), (54, 0), (54, 4), (20, 4), (20, 8), (0, 8)]


def bending(report):
    return [f for f in report.findings if f.rule == "bends-too-much"]


def test_the_thicker_diameter_is_proven():
    part = drawn_part(STEPPED)
    (finding,) = bending(walk(part, ALONE))
    assert finding.change.proven
    thick = finding.change.to / 2.0
    other = drawn_part([(z, thick if r == 4 else r) for z, r in STEPPED])
    assert bending(walk(other, ALONE)) == []


def test_one_that_leaves_it_bending_is_not_proven():
    """Judged again with the same finding at the same place, the change did not help."""
    report = walk(drawn_part(STEPPED), ALONE)
    (finding,) = bending(report)
    open_ = replace(finding, change=replace(finding.change, proven=False))
    still = RuleOutcome((finding,), ())
    gone = RuleOutcome((), ())
    for outcome, proven in ((still, False), (gone, True)):
        (told,) = with_proofs(
            report.part,
            report.features,
            (open_,),
            lambda *_, outcome=outcome: iter([outcome]),
        )
        assert (told.change is not None and told.change.proven) is proven


WHIP = [(0, 0), (400, 0), (400, 5), (0, 5)]
"""⌀10 × 400, 40 diameters, on a centre."""


def with_rest(rest):
    machines = tuple(replace(m, follow_rest=rest) for m in STARTER.machines)
    return replace(STARTER, machines=machines)


def gripped_wall(view):
    (wall,) = gripped_walls(view.part, view.setups, view.shop, material_of(view.shop).material)
    return wall


def stated(width):
    place = Named(diameter_mm=(10.0, 10.0))
    return Intent(tolerances=(Tolerance("diameter", place, "±", width_mm=width),))


def test_what_misses_its_drawing_by_far_is_an_error_unless_a_follow_rest_holds_it():
    """Stated 0.1 mm: over 1.5 times that is an error; a follow rest leaves next to nothing."""
    part = drawn_part(WHIP)
    (bare,) = bending(walk(part, with_rest(False), intent=stated(0.1)))
    assert (bare.level, bare.limit) == ("error", 0.1)
    assert "times what is stated" in bare.message
    assert "follow_rest = true" in bare.message
    (helped,) = bending(walk(part, with_rest(True), intent=stated(0.1)))
    assert helped.level == "warning"
    assert "Use bench's follow rest" in helped.message
    # what exceeds it by less than the forces are known to is a warning
    (near,) = bending(walk(part, with_rest(False), intent=stated(bare.measured / 1.4)))
    assert near.level == "warning"
    assert bending(walk(part, with_rest(False), intent=stated(1.1 * bare.measured))) == []


def test_without_a_tolerance_the_least_one_that_will_do_is_proven():
    """⌀8 × 300 varies by more than ISO 2768-m leaves (0.4 mm), and no step is stiff enough."""
    rod = drawn_part([(0, 0), (300, 0), (300, 4), (0, 4)])
    turned = Intent(bar_outside=False)  # a bar of ⌀8 as it comes is no way out
    (finding,) = bending(walk(rod, with_rest(False), intent=turned))
    assert finding.level == "error"
    assert finding.measured > 0.4
    assert finding.change.parameter == "diameter_tolerance_mm"
    assert finding.measured <= finding.change.to < 1.1 * finding.measured
    assert finding.change.proven


def test_a_wall_far_out_of_round_in_the_jaws_is_an_error_with_a_wall_that_holds():
    """⌀40 with 1 mm of wall: out of round by more than half of ISO 2768-m (0.6 mm) lets it be."""
    view = next(e for e in thin_wall.EXAMPLES if "error" in e.levels).view()
    (found,) = thin_wall.check(view)
    assert found.measured > 0.3
    wall = gripped_wall(view)
    assert wall.thicker(found.change.to - found.change.from_).lobing_mm <= found.limit
    assert wall.thicker(found.change.to - found.change.from_ - 0.5).lobing_mm > found.limit
