"""A part saved in the wrong unit is told so at once instead of being searched for minutes."""

from turnability.analysis.stages import walk
from turnability.part.profile import drawn_profile
from turnability.rules.drawn import PIN, drawn_part, drawn_shop


def test_a_pin_of_thirty_metres_has_its_size_told_and_no_reach():
    part = drawn_part(drawn_profile([(1000.0 * z, 1000.0 * r) for z, r in PIN]))
    report = walk(part, drawn_shop())
    assert report.reach is None
    assert report.verdict == "undetermined"
    assert "implausible-size" in [finding.rule for finding in report.findings]
    assert report.crashed == ()
