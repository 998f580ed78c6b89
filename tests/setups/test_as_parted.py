"""What the blade leaves at the end that it parts off: whether it may stay decides the chuckings.

A blade leaves a burr or a pip and runs out of square; a second chucking faces it (common practice,
no source).
"""

import pytest
from test_plans_by_hand import plan

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, Related, Roughness, Tolerance
from turnability.rules.drawn import drawn_part
from turnability.shop.load import starter_shop

FLANGED = [(0, 12.5), (35, 12.5), (35, 21), (30, 21), (30, 16), (0, 16)]
"""A bush of 32 x 30 to hold by, its flange toward the bar."""
HUB = [(0, 12.5), (24, 12.5), (24, 35), (14, 35), (14, 17), (0, 17)]
"""A short one of 34 x 14 before a flange of 70."""
CONES = [(0, 0), (40, 0), (40, 6), (20, 10), (0, 6)]
"""Nothing for jaws to hold."""


def true_to_the_bore(end):
    places = (Named(end=end), Named(diameter_mm=(25.0, 25.0), side="inner"))
    return Intent(related=(Related("true", places, 0.02),))


def kinds(made):
    return [[o.kind for o in setup.operations] for setup in made.setups]


@pytest.mark.parametrize("intent", [None, Intent(), Intent(parting_pip=("low", "high"))])
def test_where_nothing_bars_the_pip_it_stays(intent: Intent | None) -> None:
    ((*_, last),) = kinds(plan(FLANGED, intent=intent))
    assert last == "part off"


def test_a_pip_that_may_not_stay_is_faced_in_a_second_chucking() -> None:
    made = plan(FLANGED, intent=Intent(parting_pip=()))
    first, second = made.setups
    assert first.operations[-1].kind == "part off"
    assert [(o.kind, o.segments) for o in second.operations] == [("face", ("S2",))]
    assert second.grip.diameter_mm == 32.0
    assert made.runner_up is not None
    assert made.runner_up.why.endswith("where a pip may not stay or more is asked of it")


@pytest.mark.parametrize(
    "stated",
    [
        Intent(roughness=tuple(Roughness(Named(end=end), 1.6) for end in ("low", "high"))),
        Intent(tolerances=(Tolerance("length", Named(z_mm=(0.0, 35.0)), "±0.05", width_mm=0.1),)),
    ],
)
def test_a_face_of_which_more_is_stated_than_a_blade_leaves_is_faced(stated: Intent) -> None:
    """A blade leaves Ra 3.2 at best, and a length to 0.1 (common practice, from memory)."""
    first, second = plan(FLANGED, intent=stated).setups
    assert first.operations[-1].kind == "part off"
    assert [o.kind for o in second.operations] == ["face"]


def test_what_a_blade_leaves_anyway_asks_for_no_second_chucking() -> None:
    coarse = Intent(
        roughness=tuple(Roughness(Named(end=end), 3.2) for end in ("low", "high")),
        tolerances=(Tolerance("length", Named(z_mm=(0.0, 35.0)), "±0.1", width_mm=0.2),),
    )
    assert len(plan(FLANGED, intent=coarse).setups) == 1


def test_where_nothing_holds_it_again_that_is_an_error_whose_change_is_proven() -> None:
    fine = Intent(roughness=tuple(Roughness(Named(end=end), 1.6) for end in ("low", "high")))
    report = walk(drawn_part(CONES), starter_shop(), intent=fine)
    (finding,) = [f for f in report.findings if f.rule == "parting-pip"]
    assert finding.level == "error"
    assert "Ra 1.6 µm is stated for that face, and a blade leaves 3.2" in finding.message
    assert finding.change is not None
    assert (finding.change.to, finding.change.proven) == (3.2, True)


def test_a_pip_barred_at_one_end_is_parted_off_at_the_other() -> None:
    cylinder = [(0, 0), (30, 0), (30, 10), (0, 10)]
    for barred, other in (("low", "high"), ("high", "low")):
        (setup,) = plan(cylinder, intent=Intent(parting_pip=(other,))).setups
        assert (setup.toward_chuck, barred) == (other, barred)


@pytest.mark.parametrize("end", ["low", "high"])
def test_a_face_that_must_run_true_is_not_the_one_that_is_parted_off(end: str) -> None:
    (setup,) = plan(FLANGED, intent=true_to_the_bore(end)).setups
    assert setup.toward_chuck != end
    assert setup.operations[-1].kind == "part off"


def test_where_it_would_be_it_is_cut_with_the_bore_in_a_second_chucking() -> None:
    # held by its hub's end the bar would have a blade sunk 18 mm beside the chuck
    made = plan(HUB, intent=true_to_the_bore("high"))
    first, second = made.setups
    assert first.operations[-1].kind == "part off"
    assert {s for o in second.operations for s in o.segments} == {"S1", "S2"}
    (one,) = made.rechucked
    assert (one.setups, one.mismatch, one.holds) == ((2,), None, True)


def test_without_a_grip_the_pip_stays_and_no_arbor_is_glued_on_for_it() -> None:
    made = plan(CONES, intent=Intent(parting_pip=()))
    assert kinds(made)[0][-1] == "part off"
    assert len(made.setups) == 1
