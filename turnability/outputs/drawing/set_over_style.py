"""What colours the drawing of a chucking set over, and what its lines mean."""

from __future__ import annotations

SET_OVER_KEY = (
    '<b class="cut">Thick</b>: finished here, as it is at the end. Dashed: as it was turned about '
    "the part's own axis before. At the left a cut in the plane of both axes, the numbers where "
    "each operation's cut ends; at the right the free end, the eccentric up. Sizes are to scale, "
    "chuck and jaws by usual proportions."
)
"""What its lines mean, as HTML."""
TAPER_KEY = (
    '<b class="cut">Thick</b>: the front of the taper, which the set-over lays along the ways; the '
    "arrow: the feed. Dash-dotted: the line of the spindle, and the work's own axis, aslant. Work "
    "and set-over are to scale, dog and centres by usual proportions."
)
"""The same of a taper turned with the tailstock set over."""


def set_over_style(
    ink: str, faint: str, paper: str, *, work: str, cut: str, grip: str, body: str
) -> str:
    """Rules of CSS that colour it."""
    return f"""
.set-over {{ display: block; max-width: 100%; height: auto; }}
.set-over path, .set-over circle {{ fill: none; }}
.set-over text {{ font-size: 10px; fill: {ink}; stroke: none; }}
.set-over .over-body {{ fill: {body}; stroke: {ink}; stroke-width: 0.9; }}
.set-over .over-grip {{ fill: {grip}; stroke: {ink}; stroke-width: 0.9; }}
.set-over .over-packing {{ fill: {ink}; }}
.set-over .over-work {{ fill: {work}; }}
.set-over .over-hollow {{ fill: {paper}; }}
.set-over .over-edge {{ stroke: {ink}; stroke-width: 1; }}
.set-over .over-behind {{ stroke: {ink}; stroke-width: 0.8; stroke-dasharray: 2 2; }}
.set-over .over-stock {{ stroke: {faint}; stroke-width: 0.9; stroke-dasharray: 5 3; }}
.set-over .over-cut {{ stroke: {cut}; stroke-width: 2.6; }}
.set-over .over-tool {{ fill: {cut}; fill-opacity: 0.3; stroke: {cut}; stroke-width: 0.8; }}
.set-over .over-axis {{ stroke: {faint}; stroke-width: 0.8; stroke-dasharray: 12 3 2 3; }}
.set-over .over-turned {{ stroke: {cut}; stroke-width: 1.1; }}
.set-over .over-leader {{ stroke: {faint}; stroke-width: 0.7; }}
.set-over .over-feed {{ stroke: {cut}; stroke-width: 1.4; }}
.set-over .over-feed-tip {{ fill: {cut}; }}
.set-over .over-mark {{ stroke: {ink}; stroke-width: 2; }}
.set-over .over-dial {{ fill: {paper}; stroke: {ink}; stroke-width: 1.1; }}
.set-over .over-hole {{ fill: {paper}; stroke: {ink}; stroke-width: 1; }}
.set-over .over-dot {{ fill: {ink}; }}
.set-over .over-number {{ font-size: 11px; font-weight: bold; text-anchor: middle; }}
.set-over .over-middle {{ text-anchor: middle; }}
.set-over .over-size {{ font-size: 11px; }}
"""
