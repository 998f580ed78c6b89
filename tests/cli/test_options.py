"""Options whose values cannot be used, told in our words; the defaults still hold."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from turnability.cli import app


@pytest.mark.parametrize(
    ("command", "says"),
    [
        ("batch . --jobs many", '"many" cannot be used. Give a whole number from 1 to 1024'),
        ("batch . --jobs 2.5", '"2.5" cannot be used. Give a whole number from 1 to 1024'),
        ("batch . --jobs 0", '"0" cannot be used. Give a whole number from 1 to 1024'),
        ("check a.step --solid 0", '"0" cannot be used. Give a whole number of at least 1'),
        ("check a.step --time-limit nan", '"nan" cannot be used. Give a number of at least 1'),
        ("check a.step --fail-on foo", '"foo" cannot be used. Give error, warning or never'),
        ("check a.step --units cm", '"cm" cannot be used. Give mm or inch'),
    ],
)
def test_values_that_cannot_be_used(command: str, says: str) -> None:
    told = CliRunner().invoke(app, command.split(), terminal_width=200)
    assert told.exit_code == 2
    assert says in told.stderr
    assert "Input should be" not in told.stderr
    assert "Value error" not in told.stderr


def test_units_and_their_default_are_taken() -> None:
    inch = CliRunner().invoke(app, ["explain", "unreached-surface", "--units", "inch"])
    plain = CliRunner().invoke(app, ["explain", "unreached-surface"])
    assert (inch.exit_code, plain.exit_code) == (0, 0)
