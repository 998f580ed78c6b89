"""The one contract that every kind of tool keeps, over its own examples."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, get_args

import pytest
from rings_checks import check_outlines
from toml_text import table_text

from turnability.errors import ShopUnusable
from turnability.half_plane.curves import flatten_ring
from turnability.shop.limits import LIMIT_WORDS
from turnability.shop.load import load_shop
from turnability.shop.load import tools_of as made_of
from turnability.shop.model import Access, Cause, Hand, Tool
from turnability.shop.tool_kind import COMMON, Example, ToolKind, kinds
from turnability.toml_file.keys import Key

CASES = [(kind, example) for kind in kinds().values() for example in kind.EXAMPLES]
GOOD = [(kind, example) for kind, example in CASES if example.fault is None]
BAD = [(kind, example) for kind, example in CASES if example.fault is not None]


def name_of(case: object) -> str:
    if isinstance(case, Example):
        return json.dumps(case.table, default=str)[:60]
    return getattr(case, "NAME", "")


def tools_of(example: Example, tmp_path: Path) -> tuple[Tool, ...]:
    file = tmp_path / "shop.toml"
    file.write_text(table_text(example.table))
    shop = load_shop(file)
    assert not (shop.tools and shop.thread_tools)
    return shop.tools or shop.thread_tools


@pytest.mark.parametrize("kind", kinds().values(), ids=lambda k: k.NAME)
def test_a_kind_is_found_by_its_name_with_keys_and_examples(kind: ToolKind) -> None:
    assert kinds()[kind.NAME] is kind
    assert all(isinstance(key, Key) and key.about for key in kind.KEYS)
    assert not {k.name for k in kind.KEYS} & {k.name for k in COMMON}
    faults = [example.fault for example in kind.EXAMPLES]
    first_bad = next((i for i, fault in enumerate(faults) if fault), len(faults))
    assert first_bad > 0, "harmless examples first"
    assert all(faults[first_bad:]), "harmless examples first"


@pytest.mark.parametrize(("kind", "example"), GOOD, ids=name_of)
def test_good_example_makes_whole_tools(kind: ToolKind, example: Example, tmp_path: Path) -> None:
    for tool in tools_of(example, tmp_path):
        assert tool.kind == kind.NAME
        assert tool.name
        assert tool.access in get_args(Access)
        assert tool.hand in get_args(Hand)
        assert tool.weight > 0.0
        check_outlines(tool.outlines)
        for name, value in tool.limits.items():
            assert name.rsplit("_", 1)[1] in ("mm", "deg")
            assert value >= 0.0
            assert name in LIMIT_WORDS, "people read a word for it"
        for name, source in tool.sources.items():
            assert name in tool.limits
            told = any(LIMIT_WORDS[name] in note for note in tool.notes)
            assert told != source.verified, "doubts are told, and nothing else is"
        seen = [relaxation.cause for relaxation in tool.relaxations]
        assert len(seen) == len(set(seen))
        for relaxation in tool.relaxations:
            assert relaxation.cause in get_args(Cause)
            assert (relaxation.parameter is None) == (relaxation.value is None)
            if relaxation.parameter is not None:
                assert tool.limits[relaxation.parameter] == relaxation.value
            check_outlines(relaxation.outlines)
            assert relaxation.outlines != tool.outlines


@pytest.mark.parametrize(("kind", "example"), GOOD, ids=name_of)
def test_the_body_goes_on_where_the_tool_comes_from(
    kind: ToolKind, example: Example, tmp_path: Path
) -> None:
    """The body reaches further out than all that cuts: it goes on without end that way."""
    for tool in tools_of(example, tmp_path):
        if not tool.outlines.body:
            continue
        column = 1 if tool.access == "outer" else 0
        far = [
            max(flatten_ring(ring, 0.01)[:, column].max() for ring in rings)
            for rings in (tool.outlines.cutting, tool.outlines.body)
        ]
        assert far[1] > far[0]


@pytest.mark.parametrize(("kind", "example"), BAD, ids=name_of)
def test_bad_example_is_told_with_its_line(
    kind: ToolKind, example: Example, tmp_path: Path
) -> None:
    with pytest.raises(ShopUnusable) as caught:
        tools_of(example, tmp_path)
    assert example.fault is not None
    assert example.fault in str(caught.value)
    assert "shop.toml" in str(caught.value)
    assert " line " in str(caught.value)


@pytest.mark.parametrize(
    ("table", "unstated"),
    [
        (
            {"kind": "end-grooving", "width_mm": 3, "depth_mm": 9, "first_cut_mm": [40, 60]},
            {"shank_mm": 20.0, "height_mm": 9.0},
        ),
        ({"kind": "grooving", "width_mm": 3, "depth_mm": 9}, {"shank_mm": 20.0}),
        ({"kind": "parting", "width_mm": 3, "max_diameter_mm": 40}, {"shank_mm": 20.0}),
        ({"kind": "threading", "insert": "16ER 1.5 ISO"}, {"shank_mm": 20.0}),
        (
            {"kind": "reamer", "diameter_mm": 8, "cutting_length_mm": 40},
            {"lead_mm": 1.0, "allowance_mm": 0.2},
        ),
    ],
)
def test_what_the_file_leaves_to_common_practice_is_marked_so(
    table: dict[str, Any], unstated: dict[str, float]
) -> None:
    """The sheet marks a limit whose source nobody verified, and none that the file states."""
    (tool,) = made_of(table)
    for key in unstated:
        assert tool.sources[key].value == pytest.approx(tool.limits[key])
        assert not tool.sources[key].verified
    (tool,) = made_of(table | unstated)
    assert not set(unstated) & set(tool.sources)
