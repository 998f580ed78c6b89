"""What all pages share: the frame, and escaping."""

from __future__ import annotations

from html import escape
from importlib.resources import files

_POLICY = "default-src 'none'; img-src 'self' data:; style-src 'unsafe-inline'; base-uri 'none'"


def text(value: object) -> str:
    """Anything as HTML text; letters that cannot be written become question marks."""
    words = "" if value is None else str(value)
    return escape(words.encode("utf-8", "replace").decode(), quote=True)


def page(title: str, body: str, script: str = "") -> str:
    """A whole page. Only a page with a script of its own lets scripts run."""
    policy = _POLICY + ("; script-src 'unsafe-inline'" if script else "")
    style = files(__package__).joinpath("site.css").read_text(encoding="utf-8")
    scripts = f"<script>{script}</script>\n" if script else ""
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{text(title)}</title>\n<style>{style}</style>\n</head>\n"
        f"<body>\n<main>\n{body}\n</main>\n{scripts}</body>\n</html>\n"
    )


def listed(items: list[str]) -> str:
    """A list of HTML items; a word where there are none."""
    return f"<ul>{''.join(f'<li>{item}</li>' for item in items)}</ul>" if items else "<p>None.</p>"
