"""Changed profiles have the volume that closed forms say; proofs hold and are refused rightly."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import pytest

from turnability.analysis.changed import changed_profiles
from turnability.analysis.prove import with_proofs
from turnability.analysis.restated import Restated
from turnability.features.model import Feature
from turnability.features.recognise import recognise
from turnability.part.model import Part, Profile
from turnability.part.profile import drawn_profile
from turnability.rules.drawn import drawn_view
from turnability.rules.model import Basis, Change, Finding, RuleOutcome, RuleStatus, Where

# A sleeve with a recess 20 to 30, bore 10 and 12 beside it, and a groove 50 to 54 outside.
SLEEVE = drawn_profile(
    [
        (0, 10), (20, 10), (20, 16), (30, 16), (30, 12), (70, 12), (70, 30), (54, 30), (54, 27),
        (50, 27), (50, 30), (0, 30),
    ]
)  # fmt: skip
FEATURES = recognise(SLEEVE)


def feature(kind: str) -> Feature:
    return next(f for f in FEATURES if f.kind == kind)


def proposed(kind: str, parameter: str, before: float, after: float) -> Finding:
    hollow = feature(kind)
    return Finding(
        "drawn-rule", "error", "drawn",
        Where(hollow.segments, (), (hollow.id,), hollow.z_mm, hollow.diameter_mm),
        Basis("drawn for the test", "geometry"),
        change=Change("drawn", parameter, before, after, proven=False), id="N1",
    )  # fmt: skip


def added(profile: Profile) -> float:
    return profile.volume_mm3 - SLEEVE.volume_mm3


def ring(outer: float, inner: float, length: float) -> float:
    return math.pi * (outer**2 - inner**2) * length


@pytest.mark.parametrize(
    ("finding", "volumes"),
    [
        (proposed("recess", "depth_mm", 4.0, 1.5), [ring(16, 13.5, 10)]),
        # it is entered from its wider side, r 12; the narrower stays
        (
            proposed("recess", "bore_and_recess_mm", 24.0, 28.0),
            [-ring(14, 12, 40) - ring(18, 16, 10)],
        ),
        (proposed("groove", "depth_mm", 3.0, 1.0), [ring(29, 27, 4)]),
        (proposed("groove", "width_mm", 4.0, 5.0), [-ring(30, 27, 1), -ring(30, 27, 1)]),
        (proposed("groove", "max_diameter_mm", 60.0, 58.0), [-ring(30, 29, 66)]),
        (proposed("groove", "depth_mm", 1.0, 3.0), []),
        (proposed("groove", "unheard_of_mm", 1.0, 3.0), []),
        (proposed("bore", "bore_diameter_mm", 20.0, 22.0), [-ring(11, 10, 20)]),
        (proposed("bore", "bore_diameter_mm", 20.0, 18.0), [ring(10, 9, 20)]),
    ],
)
def test_a_change_is_a_ring_more_or_less(finding: Finding, volumes: list[float]) -> None:
    made = [added(profile) for profile in changed_profiles(SLEEVE, finding, FEATURES)]
    assert made == [pytest.approx(volume, rel=1e-9) for volume in volumes]


def test_an_entry_is_enlarged_on_the_side_it_is_on() -> None:
    finding = proposed("recess", "entry_diameter_mm", 24.0, 26.0)
    side = feature("recess").parameters["entry_side"]
    low, high = -ring(13, 10, 20), -ring(13, 12, 40)
    expected = {"low": [low], "high": [high], "both": [low, high, low + high]}[str(side)]
    made = [added(profile) for profile in changed_profiles(SLEEVE, finding, FEATURES)]
    assert made == [pytest.approx(volume, rel=1e-9) for volume in expected]


@pytest.mark.parametrize("to", [9.0, 11.0])
def test_a_drilled_hole_keeps_its_point(to: float) -> None:
    """A blind hole of 10, 20 deep with a point of 118 deg, as drills of other sizes make it."""
    slope = 1.0 / math.tan(math.radians(59.0))
    tip = 20.0 + 5.0 * slope
    drilled = drawn_profile([(0, 5), (20, 5), (tip, 0), (40, 0), (40, 15), (0, 15)])
    features = recognise(drilled)
    hole = next(f for f in features if f.kind == "bore")
    finding = Finding(
        "drawn-rule", "error", "drawn",
        Where(hole.segments, (), (hole.id,), hole.z_mm, hole.diameter_mm),
        Basis("drawn for the test", "geometry"),
        change=Change("drawn", "bore_diameter_mm", 10.0, to, proven=False), id="N1",
    )  # fmt: skip
    (made,) = changed_profiles(drilled, finding, features)

    def hollow(r: float) -> float:
        return math.pi * r * r * (20.0 + r * slope / 3.0)

    assert made.volume_mm3 - drilled.volume_mm3 == pytest.approx(hollow(5.0) - hollow(to / 2.0))
    (point,) = [f for f in recognise(made) if f.kind == "drill-point"]
    assert point.diameter_mm == pytest.approx((0.0, to))


def test_what_a_change_leaves_alone_keeps_its_faces() -> None:
    loop = SLEEVE.outline
    faced = replace(
        SLEEVE,
        loops=(
            replace(
                loop,
                segments=tuple(replace(s, faces=(i,)) for i, s in enumerate(loop.segments, 1)),
            ),
        ),
    )
    (made,) = changed_profiles(faced, proposed("groove", "depth_mm", 3.0, 1.0), FEATURES)
    kept = {(s.curve.start, s.curve.end): s.faces for s in made.segments}
    before = {(s.curve.start, s.curve.end): s.faces for s in faced.segments}
    same = set(kept) & set(before)
    assert len(same) == len(before) - 3  # two walls are shorter, the floor is new
    assert all(kept[ends] == before[ends] for ends in same)


PART: Part = replace(drawn_view([(0, 0), (1, 0), (1, 1), (0, 1)]).part, profile=SLEEVE)


def judged(*after: Finding, status: str = "found") -> RuleOutcome:
    return RuleOutcome(after, (RuleStatus("drawn-rule", status),))  # type: ignore[arg-type]


class TestProof:
    finding = proposed("recess", "depth_mm", 4.0, 1.5)

    def proven(self, outcome: RuleOutcome | None, *more: Finding) -> bool:
        first, *_ = with_proofs(PART, FEATURES, (self.finding, *more), lambda *_: iter([outcome]))
        assert first.change is not None
        return first.change.proven

    def test_the_error_gone_and_none_new_is_a_proof(self) -> None:
        assert self.proven(judged(status="passed"))

    def test_the_error_still_there_is_none(self) -> None:
        assert not self.proven(judged(self.finding))

    def test_a_new_error_is_none(self) -> None:
        elsewhere = replace(self.finding, rule="other", where=Where(z_mm=(60.0, 61.0)))
        assert not self.proven(judged(elsewhere))

    def test_an_error_that_was_there_before_does_not_count(self) -> None:
        elsewhere = replace(
            self.finding, rule="other", where=Where(z_mm=(60.0, 61.0)), change=None, id="N2"
        )
        assert self.proven(judged(elsewhere), elsewhere)

    def test_a_crash_proves_nothing(self) -> None:
        assert not self.proven(judged(status="crashed"))
        assert not self.proven(None)

    def test_who_sees_early_that_the_error_stays_walks_no_further(self) -> None:
        walked = []

        def judge(part: Part, told: Restated | None, tools: object) -> Iterator[RuleOutcome]:
            for outcome in (judged(self.finding), judged(status="passed")):
                walked.append(outcome)
                yield outcome

        (told,) = with_proofs(PART, FEATURES, (self.finding,), judge)
        assert told.change is None or not told.change.proven
        assert len(walked) == 1

    def test_what_is_found_late_counts_too(self) -> None:
        both = [judged(status="passed"), judged(self.finding)]
        (told,) = with_proofs(PART, FEATURES, (self.finding,), lambda *_: iter(both))
        assert told.change is None or not told.change.proven

    def test_a_change_tried_in_vain_is_taken_back(self) -> None:
        finding = replace(self.finding, otherwise="Nothing is known that helps.")
        (told,) = with_proofs(PART, FEATURES, (finding,), lambda *_: iter([judged(finding)]))
        assert told.change is None
        assert told.message == "Nothing is known that helps."
        (told,) = with_proofs(
            PART, FEATURES, (finding,), lambda *_: iter([judged(status="passed")])
        )
        assert told.change is not None
        assert told.message == finding.message

    def test_a_change_that_cannot_be_tried_stays_unproven(self) -> None:
        assert self.finding.change is not None
        unknown = replace(self.finding.change, parameter="unheard_of_mm")
        finding = replace(self.finding, change=unknown, otherwise="Nothing.")
        assert with_proofs(PART, FEATURES, (finding,), lambda *_: iter([None])) == (finding,)

    def test_warnings_are_left_as_they_are(self) -> None:
        warning = replace(self.finding, level="warning")
        asked = []
        with_proofs(PART, FEATURES, (warning,), asked.append)  # type: ignore[arg-type]
        assert asked == []


def test_a_shorter_part_loses_its_length_on_a_straight_outside() -> None:
    """By hand: 5 mm less of the ring between r 12 and r 30, before the groove at z 50 or after it.

    17 mm are more than the 16 after it; 25 mm before it would reach into the recess at z 30.
    """

    def less(by: float) -> list[float]:
        finding = proposed("groove", "length_mm", 70.0, 70.0 - by)
        made = list(changed_profiles(SLEEVE, finding, FEATURES))
        assert all(profile.length_mm == pytest.approx(70.0 - by) for profile in made)
        return [added(profile) for profile in made]

    assert less(5.0) == [pytest.approx(-ring(30, 12, 5))] * 2
    assert less(17.0) == [pytest.approx(-ring(30, 12, 17))]
    assert less(25.0) == []
