"""What a STEP file's text says, held against ISO 10303-21's own rules and examples."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from turnability.errors import PartUnreadable
from turnability.part.reading.step_strings import decode_string, encode_string
from turnability.part.reading.step_text import StepText, read_step_text
from turnability.part.reading.step_units import length_units, unit_name, unit_size_mm

FILE = r"""ISO-10303-21;
HEADER;
/* A comment with a ' quote; and a #12=ADVANCED_FACE('',(),#1,.T.); in it */
FILE_DESCRIPTION(('a ''quoted'' word; ENDSEC'),'2;1');
FILE_NAME('pin.step','2024-01-01T00:00:00',('a'),('b'),'pre','the system; v1','');
FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));
ENDSEC;
DATA;
#1 = ADVANCED_FACE ( 'it''s; #7=ADVANCED_FACE(''x'',(),#2,.T.);' ,
  (#3) , #2,
  .T. ) ;
#2=PLANE('a /* no comment */',#9);/* #5=ADVANCED_FACE('',(),#1,.T.); */
#3=FACE_OUTER_BOUND('',#4,.T.);#4=EDGE_LOOP('',());
#6=ADVANCED_FACE('',(#3),#2,.T.);
#8=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));
#9=AXIS2_PLACEMENT_3D('',$,$,$);
#10=PRODUCT('id 1','Welle f\X\FCr \X2\6F225B57\X0\','',(#11));
#11=PRODUCT_CONTEXT('',#12,'mechanical');
ENDSEC;
END-ISO-10303-21;
"""


def text_of(tmp_path: Path, content: str | bytes) -> StepText:
    path = tmp_path / "file.step"
    path.write_bytes(content if isinstance(content, bytes) else content.encode("latin-1"))
    return read_step_text(path)


def with_units(units: str) -> str:
    return FILE.replace("#11=", units + "\n#11=").replace(
        "#8=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));\n", ""
    )


def test_comments_and_strings_hide_no_entity_and_make_none(tmp_path: Path) -> None:
    text = text_of(tmp_path, FILE)
    assert text.faces == [1, 6]
    assert list(text.instances) == [1, 2, 3, 4, 6, 8, 9, 10, 11]
    assert text.references(1) == [3, 2]
    assert text.references(2) == [9]
    assert text.strings(1) == ["it's; #7=ADVANCED_FACE('x',(),#2,.T.);"]


def test_header(tmp_path: Path) -> None:
    text = text_of(tmp_path, FILE)
    assert text.schema == "AUTOMOTIVE_DESIGN"
    assert text.originating_system == "the system; v1"
    assert text.product_names == ["Welle für 漢字"]
    none = text_of(tmp_path, FILE.replace("'the system; v1'", "''"))
    assert none.originating_system is None


@pytest.mark.parametrize("newline", ["\r\n", "\r", "\n\n"])
def test_any_line_ends(tmp_path: Path, newline: str) -> None:
    assert text_of(tmp_path, FILE.replace("\n", newline)).faces == [1, 6]


def test_byte_order_mark_and_latin_1(tmp_path: Path) -> None:
    assert text_of(tmp_path, b"\xef\xbb\xbf" + FILE.encode()).faces == [1, 6]
    said = FILE.replace("id 1','Welle f\\X\\FCr \\X2\\6F225B57\\X0\\", "id 1','Bör")
    assert text_of(tmp_path, said.encode("latin-1")).product_names == ["Bör"]
    assert text_of(tmp_path, said.encode("utf-8")).product_names == ["Bör"]


SI = "#20=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));"
CONTEXT = (
    "#30=(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNIT_ASSIGNED_CONTEXT((#{}))"
    "REPRESENTATION_CONTEXT('',''));"
)


@pytest.mark.parametrize(
    ("unit", "expected"),
    [
        (SI + CONTEXT.format(20), "mm"),
        (SI.replace(".MILLI.", "$") + CONTEXT.format(20), "m"),
        (SI.replace(".MILLI.", ".CENTI.") + CONTEXT.format(20), "cm"),
        (
            SI + "#21=(CONVERSION_BASED_UNIT('an odd name',#22)LENGTH_UNIT()NAMED_UNIT(#23));"
            "#22=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#20);"
            "#23=DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);" + CONTEXT.format(21),
            "inch",
        ),
        (
            SI.replace(".MILLI.", "$")
            + "#21=(CONVERSION_BASED_UNIT('FOOT',#22)LENGTH_UNIT()NAMED_UNIT(#23));"
            "#22=LENGTH_MEASURE_WITH_UNIT( LENGTH_MEASURE ( 3.048E-1 ), #20);"
            "#23=DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);" + CONTEXT.format(21),
            "foot",
        ),
        (
            SI + "#21=(CONVERSION_BASED_UNIT('INCH',#22)LENGTH_UNIT()NAMED_UNIT(#23));"
            "#22=LENGTH_MEASURE_WITH_UNIT(25.4,#20);"
            "#23=DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);" + CONTEXT.format(21),
            "inch",
        ),
    ],
)
def test_length_units(tmp_path: Path, unit: str, expected: str) -> None:
    assert length_units(text_of(tmp_path, with_units(unit))) == (expected,)


def test_unit_sizes() -> None:
    """International yard and pound agreement of 1959: 1 in = 25.4 mm, 1 ft = 0.3048 m."""
    assert unit_size_mm("inch") == 25.4
    assert unit_size_mm("foot") == 304.8
    assert unit_name(25.4) == "inch"
    assert unit_name(25.3) == "25.3 mm"
    assert unit_size_mm("ell") is None


@pytest.mark.parametrize("number", ["1.E400", "-1.E+309", "INF", "-inf", "NaN", "2.5E4000"])
def test_impossible_numbers_are_refused(tmp_path: Path, number: str) -> None:
    broken = FILE.replace("#9=AXIS", f"#13=CARTESIAN_POINT('',(0.,{number} ,0.));\n#9=AXIS")
    with pytest.raises(PartUnreadable, match="impossible number") as told:
        text_of(tmp_path, broken)
    assert number in str(told.value)


@pytest.mark.parametrize("number", ["1.E-400", "1.E+001", "2.E100", "1.E+0300", "'(1.E400,'"])
def test_odd_numbers_that_are_harmless(tmp_path: Path, number: str) -> None:
    odd = FILE.replace("#9=AXIS", f"#13=CARTESIAN_POINT('',(0.,{number},0.));\n#9=AXIS")
    assert text_of(tmp_path, odd).faces == [1, 6]


@pytest.mark.parametrize(
    ("raw", "meant"),
    [
        # examples of ISO 10303-21:2016, 6.4.3 (from memory)
        ("CAT", "CAT"),
        ("Don''t", "Don't"),
        (r"see \X\A7 4.1", "see § 4.1"),
        (r"\X2\03C0\X0\ is the Greek letter pi", "π is the Greek letter pi"),
        (r"\X4\0001F600\X0\!", "\U0001f600!"),
        (r"\S\D", "Ä"),
        (r"\\", "\\"),
        (r"\PA\x", "x"),
    ],
)
def test_string_escapes(raw: str, meant: str) -> None:
    assert decode_string(raw) == meant


@given(st.text(alphabet=st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"])))
def test_encoded_strings_are_ascii_and_mean_the_same(text: str) -> None:
    encoded = encode_string(text)
    assert encoded.isascii()
    assert encoded[0] == encoded[-1] == "'"
    assert decode_string(encoded[1:-1]) == text


def test_a_large_file_is_scanned_once(tmp_path: Path) -> None:
    """An unclosed string near the start must not make every later character a new start."""
    body = "".join(f"#{n}=CARTESIAN_POINT('',(0.,{n}.,0.));\n" for n in range(100, 20000))
    text = text_of(tmp_path, FILE.replace("#11=", f"#12=PRODUCT('open);\n{body}#11="))
    assert len(text.instances) < 20100
