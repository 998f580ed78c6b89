"""Colours of drawing and annotated STEP, with what each says.

Chosen by us to differ in lightness as well as in hue, so that readers with any kind of colour
blindness can tell them apart (a test holds them to it), on a light ground.
"""

from __future__ import annotations

from typing import Literal, TypeAlias

Mark: TypeAlias = Literal["error", "warning", "uncut", "note", "accepted", "grip"]

MARKS: dict[Mark, str] = {
    "error": "#B23A1E",
    "warning": "#F0B429",
    "uncut": "#4B2A7B",
    "note": "#3C78B4",
    "accepted": "#949482",
    "grip": "#7FC4DE",
}
"""Worst first: where several concern a face, the first of them colours it."""

SAYS: dict[Mark, str] = {
    "error": "error: must change before it can be turned here",
    "warning": "warning: possible, at a price",
    "uncut": "left uncut by every tool of the shop",
    "note": "note: good to know",
    "accepted": "accepted by the project: may stay until its date",
    "grip": "held by the chuck in some setup",
}
OF_CORNERS = (
    "What is said of a corner colours the shorter of the surfaces that meet there, and names both. "
    "What a nose radius alone leaves in it colours neither."
)
ON_MARK: dict[Mark, str] = {
    "error": "#FFFFFF",
    "warning": "#1D2733",
    "uncut": "#FFFFFF",
    "note": "#FFFFFF",
    "accepted": "#1D2733",
    "grip": "#1D2733",
}
"""Text that stands on a mark's colour."""

MARKS_ON_DARK: dict[Mark, str] = {
    "error": "#F0704C",
    "warning": "#F5C95A",
    "uncut": "#C9A8FF",
    "note": "#4487CC",
    "accepted": "#86867C",
    "grip": "#A8E1F5",
}
"""The same on a dark ground, where the light page's would drown."""
ON_MARK_ON_DARK: dict[Mark, str] = dict.fromkeys(MARKS_ON_DARK, "#14191F")
DARK_PAPER = "#171E25"
PAPER = "#FFFFFF"
INK = "#1D2733"
FAINT_INK = "#5A6775"
MATERIAL = "#E3E6EA"
BEYOND = "#A9B2BC"
"""Edges seen behind the cut."""


def rgb(colour: str) -> tuple[float, float, float]:
    """Red, green and blue, each 0 to 1, of a "#RRGGBB"."""
    return tuple(int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5))  # type: ignore[return-value]
