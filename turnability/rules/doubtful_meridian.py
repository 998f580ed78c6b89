"""What was bridged, recovered or doubted while the solid was read."""

from __future__ import annotations

from dataclasses import replace

from turnability.part.profile import drawn_profile
from turnability.rules.books_do_not_close import is_said_here
from turnability.rules.drawn import PIN, Example, drawn_view
from turnability.rules.model import Basis, Finding, Judgement, Level, NotJudged, View, Where

NAME = "doubtful-meridian"
LEVELS = ("error", "note")
WHY = "All other answers rest on the profile; where it is in doubt, so are they."
LIMIT = "every turned face lies on the profile that was found"
BASIS = "geometry: the solid's own faces against the profile"


def check(view: View) -> Judgement:
    """An error for each doubt about the profile; a note for each thing bridged or recovered."""
    profile = view.part.profile
    if profile is None:
        return NotJudged("the part has no profile")
    where = Where(z_mm=(0.0, profile.length_mm))
    said: list[tuple[Level, str]] = [
        *(
            ("error", f"The profile is not to be trusted: {doubt}. Look at the drawn section, and "
             "repair the model or export it again.")
            for doubt in view.part.doubts
            if not is_said_here(doubt)
        ),
        *(
            ("note", f"While reading: {remark}.")
            for remark in view.part.remarks
            if not is_said_here(remark)
        ),
    ]  # fmt: skip
    return [
        Finding(rule=NAME, level=level, message=text, where=where, basis=Basis(BASIS, "geometry"))
        for level, text in said
    ]


def _read_with(doubts: tuple[str, ...], remarks: tuple[str, ...]) -> View:
    view = drawn_view(drawn_profile(PIN))
    return replace(view, part=replace(view.part, doubts=doubts, remarks=remarks))


EXAMPLES = (
    Example("a pin read without a word", lambda: _read_with((), ())),
    Example(
        "a pin with a gap bridged",
        lambda: _read_with((), ("gaps of up to 1 µm between faces were bridged",)),
        ("note",),
    ),
    Example(
        "a pin of which two faces do not lie on what was found",
        lambda: _read_with(("faces 4 and 12 do not lie on it",), ()),
        ("error",),
    ),
)
