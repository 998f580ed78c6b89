"""Earlier reports read back; damaged and foreign ones refused with a clear word."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.outputs.sample import housing_report, plate_report
from turnability.errors import BaselineUnusable
from turnability.standing.old_report import read_old

DOCUMENT = json.loads(housing_report().to_json())


def written(document: object, folder: Path) -> Path:
    file = folder / "old.json"
    file.write_text(document if isinstance(document, str) else json.dumps(document), "utf-8")
    return file


def said(path: Path) -> str:
    with pytest.raises(BaselineUnusable) as raised:
        read_old(path)
    text = str(raised.value)
    assert text.startswith(str(path))
    assert "\n" not in text
    return text


def test_what_was_written_comes_back(tmp_path: Path) -> None:
    report = housing_report()
    old = read_old(written(DOCUMENT, tmp_path))
    assert old.findings == report.findings
    assert report.part.profile is not None
    assert old.corners is not None
    assert old.corners.length_mm == report.part.profile.length_mm
    assert len(old.corners.points) == len(report.part.profile.segments)
    assert (old.solid, old.solids, old.shop_sha256) == (1, 1, "0" * 64)
    assert read_old(written(plate_report().to_json(), tmp_path)).corners is None


def test_reports_from_before_these_keys_can_be_compared_with(tmp_path: Path) -> None:
    """The contract's keys alone, as the first version wrote them."""
    plain = {k: v for k, v in DOCUMENT.items() if k not in ("baseline", "project", "intent")}
    plain["findings"] = [
        {k: v for k, v in f.items() if k not in ("state", "counts_as", "accepted")}
        for f in DOCUMENT["findings"]
    ]
    assert read_old(written(plain, tmp_path)).findings == housing_report().findings


@pytest.mark.parametrize("version", [0, 2, "1", 1.0, True, None, [1]])
def test_other_versions_are_named(version: object, tmp_path: Path) -> None:
    text = said(written({**DOCUMENT, "report_version": version}, tmp_path))
    assert f"report_version {json.dumps(version)}" in text
    assert "Analyse the old STEP file again" in text


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "not JSON (line 1"),
        ("{", "not JSON (line 1"),
        ('{"report_version": 1,\n "x": }', "not JSON (line 2"),
        ("[]", "no report of turnability's"),
        ("null", "no report of turnability's"),
        ('{"version": "2.1.0"}', "no report of turnability's"),
        ('{"report_version": 1, "x": NaN}', "holds NaN"),
        ('{"report_version": 1}', "source is missing"),
        ("[" * 100_000, "no report"),
        (json.dumps(DOCUMENT)[:2000], "not JSON"),
    ],
)
def test_what_is_no_report_is_told(content: str, says: str, tmp_path: Path) -> None:
    assert says in said(written(content, tmp_path))


def with_(change: Callable[[Any], None]) -> Any:
    document = json.loads(json.dumps(DOCUMENT))
    change(document)
    return document


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (lambda d: d["findings"][1].pop("rule"), "findings[1].rule is missing"),
        (lambda d: d["findings"][1].update(level="bad"), "findings[1].level is none of error"),
        (lambda d: d["findings"][0]["where"].update(z_mm=[1]), "where.z_mm is not two numbers"),
        (lambda d: d["findings"][0]["where"].update(z_mm=[1, "2"]), "z_mm[1] is not a number"),
        (lambda d: d["findings"][0]["where"].update(faces=[1.5]), "faces[0] is not a whole"),
        (lambda d: d["findings"][0].update(measured=True), "measured is not a number"),
        (lambda d: d["findings"][0]["change"].update(proven=1), "proven is not true or false"),
        (lambda d: d.update(findings={}), "findings is not a list"),
        (lambda d: d.update(source=[]), "source is not an object"),
        (lambda d: d["profile"].update(length_mm=1e400), "no report"),
        (lambda d: d["profile"].update(length_mm=10**400), "length_mm is no finite number"),
        (lambda d: d["profile"]["loops"][0]["segments"][2].pop("start"), "segments[2].start is"),
        (lambda d: d["inputs"].pop("shop"), "inputs.shop is missing"),
    ],
)
def test_damage_by_hand_is_told_with_its_place(
    change: Callable[[Any], None], place: str, tmp_path: Path
) -> None:
    assert place in said(written(with_(change), tmp_path))


@given(st.data())
@settings(max_examples=150)
def test_no_damage_gets_past_as_anything_but_its_word(data: st.DataObject) -> None:
    """Any one value of a document replaced: it is read, or refused; nothing else is raised."""
    document = json.loads(json.dumps(DOCUMENT))
    node: Any = document
    while True:
        keys = list(node) if isinstance(node, dict) else list(range(len(node)))
        key = data.draw(st.sampled_from(keys))
        if not isinstance(node[key], dict | list) or not node[key] or data.draw(st.booleans()):
            break
        node = node[key]
    node[key] = data.draw(
        st.sampled_from([None, True, -1, 0.5, "x", [], {}, [[1, 2]], {"a": 1}, 10**400])
    )
    file = Path(os.environ.get("TMPDIR", "/tmp")) / f"turnability-old-{os.getpid()}.json"
    try:
        file.write_text(json.dumps(document), "utf-8")
        with suppress(BaselineUnusable):
            read_old(file)
    finally:
        file.unlink(missing_ok=True)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    assert "there is no such file" in said(tmp_path / "none.json")
    assert "cannot be read" in said(tmp_path)
    (tmp_path / "latin.json").write_bytes(b'{"report_version": "\xff"}')
    assert "not UTF-8" in said(tmp_path / "latin.json")
    (tmp_path / "bom.json").write_bytes(b"\xef\xbb\xbf" + json.dumps(DOCUMENT).encode())
    assert len(read_old(tmp_path / "bom.json").findings) == 3
