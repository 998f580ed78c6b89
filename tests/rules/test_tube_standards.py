"""Sizes of steel tube and pipe are offered for what those are made of, else asked for.

EN 10305-1 is precision tube of plain steel, ASME B36.10M pipe of carbon and alloy steel, B36.19M of
stainless (the scopes of the standards).
"""

from dataclasses import replace

import pytest

from turnability.rules.drawn import drawn_shop, drawn_view
from turnability.rules.tube_would_save import check
from turnability.shop.material import COMMON_POLICY

BUSH = [(0, 21.5), (30, 21.5), (30, 23), (0, 23)]


@pytest.mark.parametrize(
    ("material", "named"),
    [
        ("C45", ("precision tube", "pipe NPS")),
        ("1.4404", ("pipe NPS",)),
        ("PEEK", ()),
        ("CW614N", ()),
        ("6082-T6", ()),
        ("Ti-6Al-4V", ()),
        ("CuSn8", ()),
        # what no table holds is taken for no steel
        ("ABS", ()),
    ],
)
def test_a_standard_s_size_only_in_its_material(material, named):
    shop = drawn_shop((50, 60))
    policy = replace(COMMON_POLICY, material=material)
    (found,) = check(drawn_view(BUSH, shop=replace(shop, stock_policy=policy)))
    offered = [name for name in ("precision tube", "pipe NPS") if name in found.message]
    if named:
        assert len(offered) == 1
        assert offered[0] in named
        assert "Ask what it costs" in found.message
    else:
        assert not offered
        assert "B36.10M" not in found.message
        # ⌀46 and ⌀43, with 0.050 in on diameter either way: 47.27 and 41.73
        sizes = "outside at least 47.3 mm and inside at most 41.7 mm"
        assert f"a hollow bar or tube of {material}, {sizes}, would hold" in found.message
        assert "Ask for such hollow bar or tube" in found.message


@pytest.mark.parametrize(
    ("inch", "sizes"),
    [
        (False, "(DN 40, outside 48.3 mm, wall 3.68 mm, inside 40.94 mm;"),
        (True, "(outside 1.9 in, wall 0.145 in, inside 1.61 in;"),
    ],
)  # fmt: skip
def test_a_pipe_is_named_as_it_is_sold(inch, sizes):
    """NPS 1 1/2 schedule 40: 1.900 x 0.145 in, or 48.3 x 3.68 mm (ASME B36.10M, published)."""
    shop = drawn_shop((50, 60), inch=inch)
    policy = replace(COMMON_POLICY, material="1.4404")
    (found,) = check(drawn_view(BUSH, shop=replace(shop, stock_policy=policy)))
    assert f"pipe NPS 1-1/2 schedule 40 {sizes}" in found.message
    assert "about" not in found.message.split("would hold")[0]
    assert "tables agree" not in found.message


def test_a_ring_that_no_standard_tube_holds_is_asked_for_all_the_same():
    """⌀190 × 12 with a bore of ⌀150 out of solid bar 200: a lead would ask for a hollow, or plate.

    Bright hollow with 0.050 in on either diameter: 191.27 and 148.73 mm, 36 % of the bar's section.
    """
    shop = drawn_shop((200,))
    policy = replace(COMMON_POLICY, material="C45")
    shop = replace(shop, stock_policy=policy)
    ring = [(0, 75), (12, 75), (12, 95), (0, 95)]
    (found,) = check(drawn_view(ring, shop=shop))
    assert found.measured == pytest.approx(1.0 - (191.27**2 - 148.73**2) / 200.0**2, abs=1e-3)
    assert "for rings cut from plate of at least 14 mm" in found.message  # 12 and 1 at either side
    long = [(0, 75), (120, 75), (120, 95), (0, 95)]
    (found,) = check(drawn_view(long, shop=shop))
    assert "plate" not in found.message
