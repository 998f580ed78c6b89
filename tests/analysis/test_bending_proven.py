"""A change against bending is proven by walking again on the changed part, bending and all."""

from dataclasses import replace

from turnability.analysis import walk
from turnability.analysis.prove import with_proofs
from turnability.rules.drawn import drawn_part
from turnability.rules.model import RuleOutcome
from turnability.shop.load import starter_shop

STARTER = starter_shop()
ALONE = replace(
    STARTER, machines=tuple(replace(m, tailstock=False, steady=False) for m in STARTER.machines)
)
# ⌀8 over 40 mm on ⌀12: slender for a chuck alone
STEPPED = [(0, 0), (60, 0), (60, 4), (20, 4), (20, 6), (0, 6)]


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
            report.part, report.features, (open_,), lambda part: iter(()),
            lambda part, outcome=outcome: iter([outcome]),
        )  # fmt: skip
        assert (told.change is not None and told.change.proven) is proven
