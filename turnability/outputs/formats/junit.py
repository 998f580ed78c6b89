"""The findings for build servers: JUnit XML as they commonly read it.

One test case for each finding, and one for each rule that found nothing; a rule that could not
judge is skipped. A finding is a failure exactly where it makes `turnability check` exit with 1.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from turnability.outputs._findings import finding_text, place_text
from turnability.outputs._words import standing_words
from turnability.outputs.drawing.sheet import clean
from turnability.whole_files import write_whole

if TYPE_CHECKING:
    from turnability.report import Report
    from turnability.rules.model import Finding

NAME = "JUnit XML"
SUFFIX = ".turnability.junit.xml"


def write(report: Report, target: Path) -> bool:
    """Write one suite: the part."""
    write_whole(target, _document(report))
    return True


def _document(report: Report) -> str:
    source = report.part.source
    name = f"{report.name}.{source.solid}" if source.solids > 1 else report.name
    root = ET.Element("testsuites", {"name": "turnability"})
    suite = ET.SubElement(root, "testsuite", {"name": clean(name)})
    properties = ET.SubElement(suite, "properties")
    for key, value in (("verdict", report.verdict), ("shop", report.shop_name)):
        ET.SubElement(properties, "property", {"name": key, "value": clean(value)})
    names: Counter[str] = Counter()

    def case(words: str) -> ET.Element:
        names[words] += 1
        words = words if names[words] == 1 else f"{words} ({names[words]})"
        made = {"classname": clean(f"turnability.{name}"), "name": clean(words)}
        return ET.SubElement(suite, "testcase", made)

    for finding in report.findings:
        _tell(case(_name(finding, report.inch)), finding, report)
    for status in report.rules:
        if status.status == "passed":
            case(status.rule)
        elif status.status != "found":
            crashed = status.status == "crashed"
            reason = {"message": clean(status.reason or "no reason given")}
            kind = {"type": "crashed"} if crashed else {}
            ET.SubElement(case(status.rule), "error" if crashed else "skipped", {**kind, **reason})
    for key, tag in (("tests", "testcase"), ("failures", "failure"), ("errors", "error")):
        count = str(len(suite.findall(f".//{tag}")))
        root.set(key, count)
        suite.set(key, count)
    suite.set("skipped", str(len(suite.findall(".//skipped"))))
    ET.indent(root)
    text = ET.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'


def _name(finding: Finding, inch: bool) -> str:
    """Rule and place, which stay from build to build; not the finding's number."""
    where = finding.where
    place = place_text(finding, inch)
    if where.features:  # features are numbered anew with every export
        place = place.partition(", ")[2]
    return f"{finding.rule}: {place}" if place else finding.rule


def _tell(case: ET.Element, finding: Finding, report: Report) -> None:
    standing = standing_words(finding)
    text = clean("\n".join([f"{finding.id} {finding.level}: {finding_text(finding)}", *standing]))
    if finding.fails(report.failing):
        message = clean(finding.message)
        made = {"type": finding.weight, "message": message}
        ET.SubElement(case, "failure", made).text = text
    else:
        ET.SubElement(case, "system-out").text = text
