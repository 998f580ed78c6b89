"""A fixture for pytest, found by itself where turnability is installed.

    def test_the_cap_can_be_made(turnable):
        turnable(make_cap())

`turnable` is `turnability.testing.assert_turnable` with the shop and the project file that
pytest's own configuration names (`turnability_shop`, `turnability_project`, from its folder), where
the test names none.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeAlias

import pytest

if TYPE_CHECKING:
    from turnability.report import Report

Turnable: TypeAlias = "Callable[..., tuple[Report, ...]]"
_OPTIONS = {"shop": "turnability_shop", "project": "turnability_project"}


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let pytest's configuration name the files that hold for all tests."""
    parser.addini(_OPTIONS["shop"], "shop file that `turnable` judges by (TOML)")
    parser.addini(_OPTIONS["project"], "project file that says what findings count as (TOML)")


@pytest.fixture
def turnable(pytestconfig: pytest.Config) -> Turnable:
    """Assert that the shop can make a part; takes what `assert_turnable` takes."""
    given = {
        name: pytestconfig.rootpath / value
        for name, option in _OPTIONS.items()
        if (value := pytestconfig.getini(option))
    }

    def check(part: Any, *arguments: Any, **options: Any) -> tuple[Report, ...]:
        __tracebackhide__ = True
        from turnability.testing import assert_turnable

        known = {key: value for key, value in given.items() if key != "shop" or not arguments}
        return assert_turnable(part, *arguments, **{**known, **options})

    return check
