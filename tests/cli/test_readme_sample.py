"""What the README shows of the demo part is what the command prints."""

from __future__ import annotations

from pathlib import Path

CHECKOUT = Path(__file__).resolve().parents[2]


def test_the_readme_shows_what_is_printed(run):
    readme = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    _, _, after = readme.partition("```text\nfloat_housing: ")
    shown, dots, _ = after.partition("\n…\n```")
    assert dots
    code, printed, _ = run("check", CHECKOUT / "fixtures" / "float_housing.step")
    assert code == 1
    assert printed.startswith(f"float_housing: {shown}\n")
