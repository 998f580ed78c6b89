"""Text values of STEP files: the escapes of ISO 10303-21 (6.4.3, string encoding)."""

from __future__ import annotations

import re
from itertools import groupby

_ESCAPE = re.compile(
    r"\\X2\\((?:[0-9A-F]{4})+)\\X0\\"
    r"|\\X4\\((?:[0-9A-F]{8})+)\\X0\\"
    r"|\\X\\([0-9A-F]{2})"
    r"|\\S\\(.)"
    r"|\\P[A-I]\\"
    r"|\\(?-i:[NF])\\"
    r"|\\\\"
    r"|''",
    re.I | re.S,
)


def decode_string(raw: str) -> str:
    """The text that a STEP string means; `raw` is what stands between the apostrophes.

    `raw` holds one character per byte. Escapes are those of the standard; bytes above 127, which
    it doesn't allow but exporters write, are taken as UTF-8 and else as latin-1.
    """
    try:
        text = raw.encode("latin-1").decode("utf-8")
    except (UnicodeDecodeError, UnicodeEncodeError):
        text = raw
    # A string may be broken over lines; the break is no part of it.
    return _ESCAPE.sub(_meant, text.replace("\r", "").replace("\n", ""))


def encode_string(text: str) -> str:
    """`text` as a STEP string with its apostrophes, in ASCII, by the standard's escapes."""
    out: list[str] = []
    for width, run in groupby(text, _width):
        if width == 0:
            out.extend(c * 2 if c in "'\\" else c if c >= " " else " " for c in run)
        else:
            codes = "".join(f"{ord(c):0{width}X}" for c in run)
            out.append(f"\\X{width // 2}\\{codes}\\X0\\")
    return "'" + "".join(out) + "'"


def _width(character: str) -> int:
    """Hexadecimal digits that a character needs; 0 for ASCII."""
    code = ord(character)
    return 0 if code < 127 else 4 if code <= 0xFFFF else 8


def _meant(escape: re.Match[str]) -> str:
    two, four, one, shifted = escape.groups()
    if two:
        # UTF-16 pairs occur although the standard speaks of UCS-2.
        return bytes.fromhex(two).decode("utf-16-be", "replace")
    if four:
        return bytes.fromhex(four).decode("utf-32-be", "replace")
    if one:
        return chr(int(one, 16))
    if shifted:
        return chr((ord(shifted) + 128) % 0x110000)
    return {"''": "'", "\\\\": "\\"}.get(escape.group(), "")
