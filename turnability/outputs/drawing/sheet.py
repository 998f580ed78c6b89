"""A sheet of SVG: a few marks in pixels, y downwards, with all text escaped."""

from __future__ import annotations

import re
import textwrap
import unicodedata
import xml.etree.ElementTree as ET
from collections.abc import Iterable

from turnability.outputs._palette import INK, PAPER

FONT = "Helvetica, Arial, sans-serif"
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class Sheet:
    """Collects marks in the order in which they are painted."""

    def __init__(self, title: str, description: str) -> None:
        self.root = ET.Element(
            "svg", {"xmlns": "http://www.w3.org/2000/svg", "role": "img", "font-family": FONT}
        )
        ET.SubElement(self.root, "title").text = clean(title)
        ET.SubElement(self.root, "desc").text = clean(description)
        self._defs = ET.SubElement(self.root, "defs")

    def hatch(self, name: str, colour: str) -> str:
        """Define a fill of slanted lines and give its paint."""
        pattern = ET.SubElement(
            self._defs,
            "pattern",
            {
                "id": name,
                "width": "6",
                "height": "6",
                "patternUnits": "userSpaceOnUse",
                "patternTransform": "rotate(45)",
            },
        )
        ET.SubElement(
            pattern, "rect", {"width": "6", "height": "6", "fill": colour, "fill-opacity": "0.28"}
        )
        ET.SubElement(
            pattern,
            "path",
            {"d": "M0 0V6", "stroke": colour, "stroke-width": "3"},
        )
        return f"url(#{name})"

    def path(
        self,
        data: str,
        *,
        fill: str = "none",
        stroke: str = "none",
        width: float = 1.0,
        dashes: str | None = None,
        tip: str | None = None,
    ) -> None:
        """A path in SVG's own words; `tip` is shown where a pointer rests on it."""
        attributes = {
            "d": data,
            "fill": fill,
            "fill-rule": "evenodd",
            "stroke": stroke,
            "stroke-width": _number(width),
            "stroke-linejoin": "round",
            "stroke-linecap": "round" if dashes is None else "butt",
        }
        if dashes is not None:
            attributes["stroke-dasharray"] = dashes
        element = ET.SubElement(self.root, "path", attributes)
        if tip is not None:
            ET.SubElement(element, "title").text = clean(tip)

    def polyline(self, points: Iterable[tuple[float, float]], stroke: str, width: float) -> None:
        """An open run of straight pieces."""
        self.path(line_data(points), stroke=stroke, width=width)

    def dot(self, x: float, y: float, colour: str) -> None:
        """A small round mark."""
        ET.SubElement(
            self.root,
            "circle",
            {"cx": _number(x), "cy": _number(y), "r": "2.4", "fill": colour, "stroke": PAPER},
        )

    def ring(self, x: float, y: float, radius: float, colour: str) -> None:
        """A circle round something too small to be seen."""
        ET.SubElement(
            self.root,
            "circle",
            {
                "cx": _number(x),
                "cy": _number(y),
                "r": _number(radius),
                "fill": "none",
                "stroke": colour,
                "stroke-width": "1.2",
            },
        )

    def box(
        self, x: float, y: float, width: float, height: float, *, fill: str, r: float = 0
    ) -> None:
        """A filled rectangle, its corners rounded by `r`."""
        ET.SubElement(
            self.root,
            "rect",
            {
                "x": _number(x),
                "y": _number(y),
                "width": _number(width),
                "height": _number(height),
                "rx": _number(r),
                "fill": fill,
            },
        )

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float = 13.0,
        colour: str = INK,
        bold: bool = False,
        anchor: str = "start",
    ) -> None:
        """One line of text with its base line at y."""
        attributes = {
            "x": _number(x),
            "y": _number(y),
            "font-size": _number(size),
            "fill": colour,
            "text-anchor": anchor,
        }
        if bold:
            attributes["font-weight"] = "bold"
        ET.SubElement(self.root, "text", attributes).text = clean(words)

    def paragraph(
        self,
        x: float,
        y: float,
        words: str,
        width: float,
        *,
        size: float = 13.0,
        colour: str = INK,
        bold: bool = False,
    ) -> float:
        """Text broken into lines no wider than `width`; gives the y below it."""
        columns = max(12, int(width / ((_BOLD if bold else _PLAIN) * size)))
        for line in textwrap.wrap(clean(words), columns):
            self.text(x, y, line, size=size, colour=colour, bold=bold)
            y += 1.35 * size
        return y

    def done(self, width: float, height: float) -> str:
        """The whole as text, on paper of that size."""
        w, h = _number(width), _number(height)
        self.root.set("viewBox", f"0 0 {w} {h}")
        self.root.set("width", w)
        self.root.set("height", h)
        paper = ET.Element("rect", {"width": w, "height": h, "fill": PAPER})
        self.root.insert(3, paper)
        return ET.tostring(self.root, encoding="unicode") + "\n"


_PLAIN, _BOLD = 0.53, 0.67
"""Width of a letter by its size, on average; bold small letters are wider, "m" and "w" aside."""


def text_width(words: str, size: float) -> float:
    """About how wide a line of text is drawn, in pixels."""
    wide = sum(unicodedata.east_asian_width(letter) in "WF" for letter in words)
    return size * (0.57 * (len(words) - wide) + wide)


def line_data(points: Iterable[tuple[float, float]]) -> str:
    """SVG path data of straight pieces through the points."""
    return "M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in points)


def clean(words: str) -> str:
    """Text without characters that XML cannot hold."""
    return _NOT_XML.sub("\ufffd", words)


def _number(value: float) -> str:
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
