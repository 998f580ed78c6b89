"""Work that is turned on a centre, and bored while nothing carries its end.

What a machinist does instead (tube stock, a steady, the hole before the outside while the bar is
drawn in) and the 4 diameters are common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

from turnability.rules import long_slender
from turnability.rules.model import Finding, NotJudged, View
from turnability.stock.choose import choose_stock


def bush(example: str) -> View:
    return next(e.view() for e in long_slender.EXAMPLES if e.text == example)


FREE, STEADY = "the same, bored with its end free", "a bush of 7 diameters, bored on a steady"


def found(view: View) -> list[Finding]:
    judged = long_slender.check(view)
    assert not isinstance(judged, NotJudged)
    return list(judged)


def with_lathe(view: View, **numbers: object) -> View:
    lathe = replace(view.shop.machines[0], **numbers)  # type: ignore[arg-type]
    shop = replace(view.shop, machines=(lathe,))
    assert view.part.profile is not None
    return replace(view, shop=shop, stock=choose_stock(view.part.profile, shop))


def test_it_hangs_from_the_chuck_alone_while_it_is_bored() -> None:
    """150 mm of ⌀22: 6.8 diameters, which a centre carries (8) and a chuck alone does not (4)."""
    (one,) = found(bush(FREE))
    assert one.level == "warning"
    assert one.measured is not None
    assert round(one.measured, 3) == round(150.0 / 22.0, 3)
    assert one.limit == 4.0
    assert "while its end is drilled and bored" in one.message
    assert found(bush(STEADY)) == []


def test_what_it_is_bored_from_and_how_it_is_carried_is_advised() -> None:
    view = with_lathe(bush(FREE), spindle_bore_mm=40.0, bar_capacity_mm=None, steady=False)
    (one,) = found(view)
    assert "Begin from a tube" in one.message
    assert "saw the piece to length and run a steady on its free end" in one.message
    assert "state steady = true" in one.message
    assert "drill and bore it first, and turn the outside after that" in one.message
    assert "state steady" not in found(with_lathe(view, steady=True))[0].message


def test_nothing_is_drawn_into_a_spindle_that_it_does_not_pass() -> None:
    view = with_lathe(bush(FREE), spindle_bore_mm=20.0, bar_capacity_mm=None)
    assert "draw it into" not in found(view)[0].message


def test_a_tube_is_begun_from_already() -> None:
    view = with_lathe(bush(FREE))
    assert view.stock is not None
    assert view.stock.choice is not None
    tube = replace(view.stock.choice, inner_diameter_mm=10.0)
    assert "tube" not in found(replace(view, stock=replace(view.stock, choice=tube)))[0].message


def test_a_hole_in_the_end_is_but_noted() -> None:
    view = bush(FREE)
    assert view.setups is not None
    (setup,) = view.setups
    turn, bore = setup.operations
    drilled = replace(setup, operations=(turn, replace(bore, tool="drill 12", kind="drill")))
    (one,) = found(replace(view, setups=(drilled,)))
    assert one.level == "note"
    assert "while its end is drilled," in one.message
