"""A drawn cap with something of everything, and intents as text."""

from __future__ import annotations

from pathlib import Path

from turnability.half_plane.curves import line_ring
from turnability.intent.load import load_intent
from turnability.intent.model import Intent
from turnability.part.model import Face, Part
from turnability.part.profile import make_profile
from turnability.rules.drawn import drawn_part

CAP = [
    (0, 0), (20, 0), (20, 8), (34, 8), (34, 21), (33, 22), (23.8, 22), (23.8, 19.1), (19, 19.1),
    (19, 22), (14, 22), (14, 55), (1, 55), (0, 54),
]  # fmt: skip
"""The end cap of `scripts/make_fixtures`: one face a line, numbered from 1 in this order."""


def drawn_cap(names: dict[int, str] | None = None) -> Part:
    """The cap, each line of it a face, some of them named."""
    profile = make_profile([[(line, (i,)) for i, line in enumerate(line_ring(CAP), 1)]])
    faces = tuple(
        Face(i, None, s.surface, (s.id,), (names or {}).get(i))  # type: ignore[arg-type]
        for s in profile.segments
        for i in s.faces
    )
    return drawn_part(profile, faces=faces)


def intent_of(folder: Path, text: str) -> Intent:
    """The intent that this text states."""
    file = folder / "cap.intent.toml"
    file.write_text(text, encoding="utf-8")
    return load_intent(file)
