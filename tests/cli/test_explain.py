"""`turnability explain [RULE]`: exit codes and streams."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner, Result

from turnability.cli import app
from turnability.rules.judge import all_rules


def run(*arguments: str) -> Result:
    return CliRunner().invoke(app, ["explain", *arguments])


@pytest.mark.parametrize("rule", all_rules(), ids=lambda rule: rule.name)
def test_every_rule_is_explained(rule) -> None:  # type: ignore[no-untyped-def]
    result = run(rule.name)
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.startswith(f"{rule.name} (")


def test_without_a_name_all_are_listed() -> None:
    result = run()
    assert result.exit_code == 0
    assert all(rule.name in result.stdout for rule in all_rules())


def test_inch() -> None:
    assert "at least 0.3937 in and half" in run("no-land-to-grip", "--units", "inch").stdout
    assert "at least 10 mm and half" in run("no-land-to-grip").stdout


@pytest.mark.parametrize("name", ["recess", "", "\x1b[31m", "n" * 300])
def test_an_unknown_rule_is_wrong_use(name: str) -> None:
    result = run(name)
    assert (result.exit_code, result.stdout) == (2, "")
    assert "there is no such rule" in result.stderr
    assert "recess-behind-small-entry" in result.stderr
    assert "\x1b" not in result.stderr


def test_what_is_like_no_rule_is_not_taken_for_one() -> None:
    told = run("nosuch").stderr
    assert all(rule.name in told for rule in all_rules()), "none is nearer than another"
    assert "[[RULE]]" not in run("--help").stdout
