"""Lines of keys in a TOML text, against the text itself."""

from __future__ import annotations

import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from turnability.shop.load import starter_shop_text
from turnability.toml_file.lines import key_lines, line_of

TRICKY = '''# [[tool]] in a comment
name = "a [[tool]] in a text" # = [
[[tool]]
a = [
  [1, 2], # [[tool]]
  [3, "]"],
]
"quoted key" = 3
b = """
[[tool]]
a = 1
"""

  [[ tool ]]
  a = { x = 1, y = [2] }
  c.d = 2
[tool.sub]
e = 1
[other]
f = [[1], [2]]
[[tool]]
a = '# not a comment ['
g = 2
'''


def test_tricky_text() -> None:
    tomllib.loads(TRICKY)
    lines = key_lines(TRICKY)
    expected = {
        ("name",): 2,
        ("tool", 0): 3,
        ("tool", 0, "a"): 4,
        ("tool", 0, "quoted key"): 8,
        ("tool", 0, "b"): 9,
        ("tool", 1): 14,
        ("tool", 1, "a"): 15,
        ("tool", 1, "c", "d"): 16,
        ("tool", 1, "sub"): 17,
        ("tool", 1, "sub", "e"): 18,
        ("other",): 19,
        ("other", "f"): 20,
        ("tool", 2): 21,
        ("tool", 2, "a"): 22,
        ("tool", 2, "g"): 23,
    }
    assert lines == expected
    assert line_of(lines, ("tool", 1, "missing")) == 14
    assert line_of(lines, ("missing",)) == 1


def leaves(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    if isinstance(value, dict):
        return [leaf for k, v in value.items() for leaf in leaves(v, (*path, k))]
    if isinstance(value, list) and value and all(isinstance(v, dict) for v in value):
        return [leaf for i, v in enumerate(value) for leaf in leaves(v, (*path, i))]
    return [path]


def test_every_key_of_the_starter_shop_stands_in_its_line() -> None:
    text = starter_shop_text()
    lines, written = key_lines(text), text.splitlines()
    for path in leaves(tomllib.loads(text)):
        assert written[lines[path] - 1].split("=")[0].strip() == path[-1]


VALUES = st.sampled_from(
    [
        "1",
        '"x"',
        "[1,\n 2]",
        '"""\n[[tool]]\n"""',
        "{ a = 1 }",
        "'#'",
        "[[[0, 0],\n[1, 1]]] # ]",
        "1 # x",
    ]
)


@given(st.lists(st.lists(VALUES, max_size=4), min_size=1, max_size=5))
def test_lines_counted_while_writing(tables: list[list[str]]) -> None:
    text, line = "", 1
    for i, values in enumerate(tables):
        text += "[[tool]]\n"
        line = text.count("\n")
        expected = {("tool", i): line}
        for j, value in enumerate(values):
            expected[("tool", i, f"k{j}")] = text.count("\n") + 1
            text += f"k{j} = {value}\n"
        found = key_lines(text)
        for path, at in expected.items():
            assert found[path] == at
    tomllib.loads(text)
