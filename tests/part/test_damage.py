"""Damaged files: none ends the parent, outlasts its limit, shows an internal error, is half told.

Damage is drawn with a seed over all fixtures, of the kinds that copying, editing and failing disks
do. What is read of a damaged file without a word of doubt must be the part that it was.
"""

from __future__ import annotations

import random
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from turnability import cli
from turnability.errors import KernelDied, PartUnreadable
from turnability.part.apart.child import Kernel, read_parts
from turnability.part.model import Part

FIXTURES = sorted((Path(__file__).resolve().parents[2] / "fixtures").glob("*.step"))
TIME_LIMIT_S = 20.0
EACH = 24

_ENTITY = re.compile(r"\n#(\d+)\s*=\s*([A-Z0-9_]*)[^;]*;")
_NUMBER = re.compile(r"(?<=[(,])-?\d+\.\d*(?:E[-+]?\d+)?(?=[,)])")


def _any(pattern: re.Pattern[str], text: str, chance: random.Random) -> re.Match[str]:
    return chance.choice(list(pattern.finditer(text, text.index("DATA;"))))


def _put(text: str, begin: int, end: int, new: str) -> str:
    return text[:begin] + new + text[end:]


def truncated(text: str, chance: random.Random) -> str:
    return text[: chance.randrange(len(text) - 20)]


def bytes_flipped(text: str, chance: random.Random) -> str:
    changed = bytearray(text.encode("latin-1"))
    for _ in range(chance.choice((1, 1, 4, 20))):
        changed[chance.randrange(text.index("DATA;"), len(changed))] ^= 1 << chance.randrange(8)
    return changed.decode("latin-1")


def entity_deleted(text: str, chance: random.Random) -> str:
    return _put(text, *_any(_ENTITY, text, chance).span(), "")


def entity_duplicated(text: str, chance: random.Random) -> str:
    """Another entity's text under a number that stands elsewhere already."""
    one, other = (_any(_ENTITY, text, chance) for _ in range(2))
    return _put(text, one.start(), one.start(), other.group().replace(other[1], one[1], 1))


def _retarget(text: str, chance: random.Random, new: Callable[[re.Match[str]], str]) -> str:
    referring = [m for m in _ENTITY.finditer(text) if m.group().count("#") > 1]
    entity = chance.choice(referring)
    hits = list(re.finditer(r"#\d+", entity.group()))[1:]
    hit = chance.choice(hits)
    begin = entity.start() + hit.start()
    return _put(text, begin, begin + len(hit.group()), f"#{new(entity)}")


def cyclic(text: str, chance: random.Random) -> str:
    return _retarget(text, chance, lambda entity: entity[1])


def astray(text: str, chance: random.Random) -> str:
    return _retarget(text, chance, lambda _: _any(_ENTITY, text, chance)[1])


def too_large(text: str, chance: random.Random) -> str:
    new = chance.choice(("1.E400", "-1.E+309", "1.E308", "-1.E200", "1.E40"))
    return _put(text, *_any(_NUMBER, text, chance).span(), new)


def no_number(text: str, chance: random.Random) -> str:
    new = chance.choice(("NaN", "INF", "-inf", "nan"))
    return _put(text, *_any(_NUMBER, text, chance).span(), new)


def another_number(text: str, chance: random.Random) -> str:
    hit = _any(_NUMBER, text, chance)
    new = chance.choice((f"{chance.uniform(-1e6, 1e6):.4f}", "0.", hit.group() + "1", "1.E-300"))
    return _put(text, *hit.span(), new)


def another_keyword(text: str, chance: random.Random) -> str:
    named = re.compile(r"= ?([A-Z][A-Z0-9_]+)\(")
    return _put(text, *_any(named, text, chance).span(1), _any(named, text, chance)[1])


def stretch_lost(text: str, chance: random.Random) -> str:
    begin = chance.randrange(text.index("DATA;") + 5, len(text) - 3000)
    return _put(text, begin, begin + chance.randrange(1, 2900), "")


def line_backwards(text: str, chance: random.Random) -> str:
    line = _any(re.compile(r"\n#[^\n]+"), text, chance)
    return _put(text, *line.span(), "\n" + line.group()[:0:-1])


def lines_exchanged(text: str, chance: random.Random) -> str:
    lines = text.split("\n")
    at = chance.randrange(lines.index("DATA;") + 1, len(lines) - 4)
    lines[at], lines[at + 1] = lines[at + 1], lines[at]
    return "\n".join(lines)


def mark_lost(text: str, chance: random.Random) -> str:
    return _put(text, *_any(re.compile(r"[(),;'=#]"), text, chance).span(), "")


def binary(text: str, chance: random.Random) -> str:
    junk = bytes(chance.randrange(256) for _ in range(1500)).decode("latin-1")
    begin = chance.choice((0, text.index("DATA;") + 5, len(text) // 2))
    return _put(text, begin, begin + len(junk), junk)


def nothing(text: str, chance: random.Random) -> str:
    frame = "ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n"
    return chance.choice(("", "\n", "ISO-10303-21;", frame, text[: text.index("DATA;")]))


def twice(text: str, chance: random.Random) -> str:
    return text[: chance.randrange(len(text) // 2, len(text))] + text


ALWAYS_REFUSED = (truncated, no_number, nothing, twice)
KINDS = (
    *ALWAYS_REFUSED, bytes_flipped, entity_deleted, entity_duplicated, cyclic, astray, too_large,
    another_number, another_keyword, stretch_lost, line_backwards, lines_exchanged, mark_lost,
    binary,
)  # fmt: skip
assert EACH * len(KINDS) >= 400

Reading = tuple[Part | PartUnreadable, ...]


@pytest.fixture(scope="module")
def kernel() -> Iterator[Kernel]:
    one = Kernel()
    yield one
    one.close()


@pytest.fixture(scope="module")
def sound(parts_of: Callable[[Path], Reading]) -> dict[str, Reading]:
    return {path.stem: parts_of(path) for path in FIXTURES}


def damaged(kind: Callable[[str, random.Random], str], seed: int) -> tuple[str, bytes]:
    """Name of the fixture and the bytes of its damaged copy."""
    chance = random.Random(f"{kind.__name__} {seed}")
    path = FIXTURES[seed % len(FIXTURES)]
    return path.stem, kind(path.read_text(encoding="latin-1"), chance).encode("latin-1")


def told_well(error: PartUnreadable, path: Path) -> None:
    message = str(error)
    assert message.startswith(str(path)), message
    assert "\n" not in message
    assert error.remedy
    assert not re.search(r"Traceback|Standard_|OCP|Error\b|Exception|<[a-z]", message), message


def measures(parts: Reading) -> list[tuple[int, float | None]]:
    return [
        (len(part.faces), part.profile and round(part.profile.volume_mm3, 2))
        for part in parts
        if isinstance(part, Part)
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_damage_is_survived_and_told(
    kind: Callable[[str, random.Random], str],
    kernel: Kernel,
    sound: dict[str, Reading],
    tmp_path: Path,
) -> None:
    answers: Counter[str] = Counter()
    for seed in range(EACH):
        name, data = damaged(kind, seed)
        path = tmp_path / f"{name}.step"
        path.write_bytes(data)
        try:
            parts = read_parts(path, kernel=kernel, time_limit_s=TIME_LIMIT_S)
        except PartUnreadable as error:
            told_well(error, path)
            answers["died" if isinstance(error, KernelDied) else "refused"] += 1
            continue
        errors = [part for part in parts if isinstance(part, PartUnreadable)]
        for error in errors:
            told_well(error, path)
        doubts = [said for part in parts if isinstance(part, Part) for said in
                  (*part.remarks, *part.doubts)]  # fmt: skip
        answers["doubted" if errors or doubts else "read"] += 1
        if not errors and not doubts:
            assert measures(parts) == measures(sound[name]), f"seed {seed}: another part, unsaid"
    assert sum(answers.values()) == EACH
    if kind in ALWAYS_REFUSED:
        assert answers == {"refused": EACH}
    else:
        assert answers["read"] < EACH, "a damage that is never noticed shows nothing"


def test_of_unusable_files_nothing_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    files = []
    for number, kind in enumerate((*ALWAYS_REFUSED, entity_deleted, line_backwards)):
        path = tmp_path / f"{kind.__name__}.step"
        path.write_bytes(damaged(kind, number)[1])
        files.append(str(path))
    out = tmp_path / "out"
    monkeypatch.setattr(sys, "argv", ["turnability", "check", *files, "--out", str(out)])
    with pytest.raises(SystemExit) as left:
        cli.main()
    said = capsys.readouterr()
    assert left.value.code == 3
    assert said.out == ""
    assert [line.split(": ")[1] for line in said.err.splitlines()] == files
    assert list(out.iterdir()) == []


def test_a_bound_that_was_lost_is_never_passed_over(
    kernel: Kernel, sound: dict[str, Reading], tmp_path: Path
) -> None:
    """Each circle of the end cap in turn lies nowhere: its edge, loop and face fall out."""
    text = next(p for p in FIXTURES if p.stem == "end_cap").read_text()
    nowhere = re.findall(r"#\d+(?= = VECTOR\()", text)[0]
    path = tmp_path / "cap.step"
    answers: Counter[str] = Counter()
    for circle in list(re.finditer(r"= CIRCLE\('',(#\d+),", text))[::4]:
        path.write_text(_put(text, *circle.span(1), nowhere))
        try:
            (part,) = read_parts(path, kernel=kernel, time_limit_s=TIME_LIMIT_S)
        except PartUnreadable as error:
            told_well(error, path)
            answers["refused"] += 1
            continue
        assert isinstance(part, Part)
        if part.doubts:
            assert any("could not be converted" in said for said in part.doubts)
            answers["doubted"] += 1
            continue
        answers["harmless"] += 1  # a curve in a face's parameters, which the kernel makes anew
        assert part.profile is not None
        whole = sound["end_cap"][0]
        assert isinstance(whole, Part)
        assert whole.profile is not None
        assert part.profile.solid_volume_mm3 == pytest.approx(
            whole.profile.solid_volume_mm3, rel=1e-9
        )
    assert answers["refused"] + answers["doubted"] >= 5
