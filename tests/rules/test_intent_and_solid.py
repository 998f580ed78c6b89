"""What the intent states of a surface against what the solid has there."""

from __future__ import annotations

import pytest

from turnability.analysis.stages import walk
from turnability.intent.model import Intent, Named, StatedThread, Tolerance
from turnability.rules.drawn import drawn_part, drawn_view
from turnability.rules.intent_differs_from_solid import check
from turnability.rules.model import NotJudged
from turnability.rules.no_thread_tool import NAME as NO_TOOL
from turnability.shop.load import starter_shop

_NAMED = Named(diameter_mm=(8.0, 8.0))


def told(intent: Intent, bored_mm: float | None = None) -> list[str]:
    """Messages for a pin of 8, or for a ring of 30 with this bore."""
    if bored_mm is None:
        corners = [(0.0, 0.0), (20.0, 0.0), (20.0, 4.0), (0.0, 4.0)]
    else:
        corners = [(0.0, bored_mm / 2), (20.0, bored_mm / 2), (20.0, 15.0), (0.0, 15.0)]
    found = check(drawn_view(part=drawn_part(corners), intent=intent))
    assert not isinstance(found, NotJudged)
    return [f.message for f in found]


def test_a_thread_of_another_diameter() -> None:
    """ISO 261: M10 has a major diameter of 10, M8 one of 8."""
    (message,) = told(Intent(threads=(StatedThread(_NAMED, "M10"),)))
    assert message.startswith(
        "The intent states a thread M10 on ⌀8 mm, but M10 has a major diameter of 10 mm."
    )
    assert told(Intent(threads=(StatedThread(_NAMED, "M8x1"),))) == []


@pytest.mark.parametrize(
    ("bored", "differs"), [(8.376, False), (8.5, False), (9.25, False), (10.0, False), (8.0, True),
                           (9.7, True), (10.2, True)],
)  # fmt: skip
def test_a_tapped_hole(bored: float, differs: bool) -> None:
    """M10: ISO 724 minor diameter 8.376; drilled 8.5 to tap (ISO 2306), about 9.25 to form."""
    place = Named(diameter_mm=(bored, bored))
    assert bool(told(Intent(threads=(StatedThread(place, "M10"),)), bored)) is differs


@pytest.mark.parametrize(
    ("limits", "differs"),
    [((8.2, 8.3), True), ((7.7, 7.8), True), ((7.99, 8.0), False), ((7.972, 7.987), False),
     ((7.924, 7.96), False), ((8.015, 8.024), False)],
)  # fmt: skip
def test_limits_that_do_not_hold_the_size(limits: tuple[float, float], differs: bool) -> None:
    """ISO 286-2 at 8 mm: f7 -13 / -28 µm, d9 -40 / -76, p6 +15 / +24 are fits drawn at 8."""
    of = Tolerance("diameter", _NAMED, "…", limits_mm=limits)
    assert bool(told(Intent(tolerances=(of,)))) is differs
    if limits == (8.2, 8.3):
        assert (
            "8.2–8.3 mm as the limits of a diameter that the solid draws at 8 mm"
            in (told(Intent(tolerances=(of,)))[0])
        )


def test_no_thread_is_proposed_on_a_surface_that_is_not_drawn_for_it() -> None:
    """ISO 261: M52 has 5 mm of pitch and a major diameter of 52 mm, where ⌀44 is drawn."""
    told = {}
    for name, d in (("M52", 44.0), ("M45", 45.0)):
        part = drawn_part([(0.0, 0.0), (40.0, 0.0), (40.0, d / 2), (0.0, d / 2)])
        intent = Intent(threads=(StatedThread(Named(diameter_mm=(d, d)), name),))
        report = walk(part, starter_shop(), intent=intent)
        (told[name],) = [f.message for f in report.findings if f.rule == NO_TOOL]
    assert "Correct it, or the diameter that it is stated on" in told["M52"]
    assert "Take M" not in told["M52"]
    assert "Take M45x3" in told["M45"]  # pitch 4.5 mm, and the point cuts to 3
