"""What people write for a value that TOML does not take, and what they should write."""

from __future__ import annotations

import json
import re

_FLAG = {"true": "true", "yes": "true", "on": "true", "false": "false", "no": "false"}
_NUMBER = r"[-+]?\d+(?:\.\d+)?"
_UNIT = r"(?:mm|cm|in|inch|inches|deg|°|\"|%|rpm|kw)"


def cause_of(statement: str, key: str | None, told: str) -> tuple[str, str]:
    """Cause and way out for the first line of a statement that does not parse.

    `key` is its key where it has one, `told` what the parser says of it.
    """
    name, equals, value = statement.partition("=")
    if not equals and key is not None:
        rest = statement.split("#", 1)[0].strip().removeprefix(key).strip(" \t:")
        return "has no = before its value", f"Write {key} = {_short(rest)}"
    if not equals:
        return (
            f'"{_short(statement)}" is neither a key with its value nor a heading',
            "Write key = value, as in width_mm = 3.0, or # before a remark",
        )
    if key is None:
        return (
            f'"{_short(name)}" is no key',
            "Keys are one word of letters, figures and _, as in width_mm = 3.0",
        )
    value = value.split("#", 1)[0].strip()
    if not value:
        return "has no value", f"Write it behind the =, as in {key} = ..., or leave the key out"
    if re.search("[“”„‘’«»]", value):
        return "has curly quotes", f"Write straight ones: {key} = {json.dumps(_bare(value))}"
    if re.fullmatch(r"[-+]?\d+,\d+", value):
        return (
            f"is {value}, with a comma in the number",
            f"Write a point: {key} = {value.replace(',', '.')}",
        )
    with_unit = re.fullmatch(rf"({_NUMBER})\s*{_UNIT}", value, re.IGNORECASE)
    if with_unit:
        return (
            f"is {value}, a number with its unit",
            f"Write the number alone, {key} = {with_unit[1]}; its unit is in the key's name",
        )
    if re.fullmatch(r"[-+]?(\.\d+|\d+\.)", value):
        sign, figures = re.fullmatch(r"([-+]?)(.*)", value).groups()  # type: ignore[union-attr]
        return (
            f"is {value}, with no figure on one side of the point",
            f"Write {key} = {sign}{'0' if figures[0] == '.' else ''}{figures}"
            f"{'0' if figures[-1] == '.' else ''}",
        )
    if value.lower() in _FLAG:
        return f"is {value}", f"Write {key} = {_FLAG[value.lower()]}, in small letters"
    if re.fullmatch(r"[^\W\d][\w /.-]*", value):
        return f"is {value}, text without quotes", f'Write {key} = "{value}"'
    if "\\" in value and value.startswith('"'):
        return "has a \\ in its text", "Write such a text between ' and ', or write \\\\"
    if re.search(r"[\]}\"']\s*[^\s,\]}]", value):
        return "has more behind its value", "Write one key = value in a line"
    cause = re.sub(r"\s*\(at .*\)$", "", told.split(";", maxsplit=1)[0])
    return (
        f"is {_short(value)}, which is no value ({cause[:1].lower()}{cause[1:]})",
        "Values are numbers, true or false, texts in quotes, and lists in [ ]",
    )


def _bare(value: str) -> str:
    return re.sub("[“”„‘’«»\"']", "", value).strip()


def _short(text: str) -> str:
    text = text.strip()
    return text if len(text) <= 40 else text[:37] + "..."
