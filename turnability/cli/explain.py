"""`turnability explain RULE`: what a rule says of itself, with a good and a bad part."""

from __future__ import annotations

from shutil import get_terminal_size
from typing import Annotated

import typer

from turnability.cli.options import Units, choice_option
from turnability.cli.saying import FINE, WRONG_USE, complain, run, say, shown
from turnability.cli.terminal import WIDEST


def explain(
    rule: Annotated[
        str | None, typer.Argument(metavar="RULE", help="A rule's name. Default: list them all.")
    ] = None,
    units: Annotated[Units, choice_option(Units, "In what to tell lengths.")] = Units.MM,
) -> None:
    """Say why a rule is there, its limit and what it rests on, with a good and a bad part.

    Exit codes: 0 told; 2 there is no such rule.
    """
    run("the rules", lambda: _told(rule, units is Units.INCH))


def _told(name: str | None, inch: bool) -> int:
    from turnability.outputs.rule_page.explain import explained, listed, nearest_rules, rule_named

    width = min(get_terminal_size((100, 24)).columns, WIDEST)
    if name is None:
        say(listed(width))
        return FINE
    rule = rule_named(name)
    if rule is None:
        meant = ", ".join(nearest_rules(name))
        complain(f"{shown(name)}: there is no such rule. Perhaps one of these: {meant}")
        return WRONG_USE
    say(explained(rule, inch, width))
    return FINE
