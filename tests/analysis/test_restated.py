"""Changes of what is stated, proven by judging again: sizes and surfaces that no turning holds.

Widths of grades by ISO 286-1 (table 1, 18 to 30 mm): IT3 4, IT5 9, IT6 13 µm.
"""

from dataclasses import replace

import pytest

from turnability.analysis.prove import MOST_PROOFS, with_proofs
from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, Roughness, Tolerance
from turnability.part.model import Place, StatedSize
from turnability.rules.drawn import drawn_part
from turnability.rules.model import RuleOutcome
from turnability.shop.load import starter_shop

STARTER = starter_shop()
PIN = [(0, 0), (50, 0), (50, 10), (30, 10), (30, 14), (0, 14)]
SEAT = Named(diameter_mm=(20.0, 20.0))


def pin():
    """The drawn pin as if read from a solid whose books close, so that its verdict is whole."""
    part = drawn_part(PIN)
    volume = part.profile.volume_mm3
    return replace(
        part, profile=replace(part.profile, solid_volume_mm3=volume, departures_volume_mm3=0.0)
    )


def within(by: float) -> Intent:
    """The ⌀20 within ± so much."""
    width = 2.0 * by
    tolerance = Tolerance(
        "diameter", SEAT, f"±{by}", deviations_mm=(-by, by), width_mm=width, nominal_mm=20.0
    )
    return Intent(tolerances=(tolerance,))


def told(report):
    return [f for f in report.findings if f.rule == "tighter-than-turning"]


@pytest.mark.parametrize(
    ("by", "verdict", "levels"),
    [
        (0.0065, "turnable", []),  # IT6
        (0.0045, "turnable", ["warning"]),  # IT5, by a careful hand
        (0.002, "needs-changes", ["error"]),  # IT3 is ground
    ],
)
def test_a_shop_of_lathes_does_not_hold_what_is_ground(by, verdict, levels):
    report = walk(pin(), STARTER, intent=within(by))
    assert report.verdict == verdict
    assert [f.level for f in told(report)] == levels


def test_the_grade_that_turning_holds_is_proven():
    (finding,) = told(walk(pin(), STARTER, intent=within(0.002)))
    assert finding.change is not None
    assert finding.change.proven
    assert (finding.change.from_, finding.change.to) == (0.004, 0.013)
    assert finding.limit == 0.009


def test_what_the_file_states_is_widened_too():
    part = pin()
    (seat,) = [
        s for s in part.profile.outline.segments if s.surface == "outer" and s.curve.start[1] == 10
    ]
    size = StatedSize(
        None, "diameter", "⌀20", "mm", 20.0, 19.998, 20.002, None, (), Place((), (seat.id,))
    )
    report = walk(replace(part, stated=replace(part.stated, sizes=(size,))), STARTER)
    assert [f.change.proven for f in told(report)] == [True]
    assert report.verdict == "needs-changes"


def test_one_size_widened_leaves_the_other_an_error_of_its_own():
    first = within(0.002).tolerances[0]
    head = replace(first, place=Named(diameter_mm=(28.0, 28.0)), nominal_mm=28.0)
    found = told(walk(pin(), STARTER, intent=Intent(tolerances=(first, head))))
    assert [f.change.proven for f in found] == [True, True]


def test_a_length_that_is_ground_is_an_error_and_one_faced_with_care_is_none():
    def long(by):
        return Tolerance(
            "length",
            Named(z_mm=(0.0, 30.0)),
            f"±{by}",
            deviations_mm=(-by, by),
            width_mm=2.0 * by,
            nominal_mm=30.0,
        )

    for by, levels in ((0.01, []), (0.005, ["warning"]), (0.002, ["error"])):
        report = walk(pin(), STARTER, intent=Intent(tolerances=(long(by),)))
        assert [f.level for f in told(report)] == levels
        assert all(f.change.proven for f in told(report) if f.level == "error")


@pytest.mark.parametrize("everywhere", [False, True])
def test_what_is_polished_is_made_here_and_what_is_lapped_is_not(everywhere):
    for ra_um, verdict, levels in (
        (0.8, "turnable", []),
        (0.2, "turnable", ["warning"]),
        (0.05, "needs-changes", ["error"]),
    ):
        one = Intent(roughness=(Roughness(SEAT, ra_um),))
        intent = Intent(ra_um=ra_um) if everywhere else one
        report = walk(pin(), STARTER, intent=intent)
        assert (report.verdict, [f.level for f in told(report)]) == (verdict, levels)
        assert all("turning alone" in f.message for f in told(report) if f.level == "warning")


SPOOL = [(0, 0), (200, 0)] + [
    (200 - 20 * k - along, 10 - 0.2 * k) for k in range(10) for along in (0, 20)
]
LANDS = tuple(
    Tolerance("diameter", Named(diameter_mm=(d, d)), "0.003", width_mm=0.003)
    for d in (20 - 0.4 * k for k in range(10))
)


def test_more_close_lands_than_proofs_are_made_are_proven_together():
    """Ten lands of a spool within 3 µm: eight changes are tried one by one, these by one walk."""
    found = told(walk(drawn_part(SPOOL), STARTER, intent=Intent(tolerances=LANDS)))
    assert len(found) == 10 > MOST_PROOFS
    assert all(f.level == "error" and f.change.proven for f in found)


@pytest.mark.parametrize("some", [LANDS[:3], LANDS[:6:2]], ids=["neighbours", "apart"])
def test_where_not_all_help_together_each_is_tried_by_itself(some):
    """One of three is said to stay whatever is stated: the other two are proven all the same."""
    found = told(walk(drawn_part(SPOOL), STARTER, intent=Intent(tolerances=some)))
    unproven = [replace(f, change=replace(f.change, proven=False)) for f in found]
    asked = []

    def judge(part, restate, tools):
        asked.append(restate)
        yield RuleOutcome((unproven[1],) if len(asked) in (1, 3) else (), ())

    judged = with_proofs(drawn_part(SPOOL), (), unproven, judge)
    assert len(asked) == 4  # all at once, then each
    assert [f.change is not None and f.change.proven for f in judged] == [True, False, True]
