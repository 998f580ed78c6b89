"""A designation as engraved, being read: looks signs up and says which one cannot be."""

from __future__ import annotations

from dataclasses import dataclass

from turnability.shop.books import Row, row, rows
from turnability.toml_file.keys import Fault


@dataclass(frozen=True, slots=True)
class Engraved:
    """The text as written and the key of the shop file that holds it."""

    text: str
    key: str

    def fault(self, cause: str, remedy: str) -> Fault:
        """What is wrong with this designation."""
        return Fault(self.key, cause, remedy)

    def letter(self, place: int, letter: str, means: tuple[str, str]) -> Row:
        """The row of letter number `place`; `means` is its meaning and its table. Raises Fault."""
        name, table = means
        entry = row(table, letter=letter)
        if entry is None:
            may = ", ".join(r["letter"] for r in rows(table))
            raise self.fault(
                f'letter {place} of "{self.text}" ({name}) is {letter}', f"It may be {may}"
            )
        return entry

    def figures(self, code: str, column: str, means: tuple[str, str]) -> Row:
        """The row whose `column` holds `code`. Raises Fault."""
        name, table = means
        entry = row(table, **{column: code})
        if entry is None:
            may = ", ".join(r[column] for r in rows(table))
            raise self.fault(f'the {name} in "{self.text}" is {code}', f"It may be {may}")
        return entry
