"""Sizes of steel tube and pipe are offered for what those are made of, else asked for.

EN 10305-1 is precision tube of plain steel, ASME B36.10M pipe of carbon and alloy steel, B36.19M of
stainless (the scopes of the standards).
"""

from dataclasses import replace

import pytest

from turnability.rules.drawn import drawn_shop, drawn_view
from turnability.rules.tube_would_save import check
from turnability.stock.allowance import COMMON_POLICY

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
        # what no table holds is taken for no steel
        ("CuSn8", ()),
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
        assert f"a hollow bar or tube of {material} of about outside" in found.message
        assert "Ask for such hollow bar or tube" in found.message
