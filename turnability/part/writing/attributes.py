"""What is said of places, as shape aspects with user-defined attributes, to append to a STEP file.

ISO 10303-41 (shape aspects, property definitions, general properties) and -43 (representations),
as the recommended practices of the CAx Interoperability Forum for user-defined attributes put them
together: one shape aspect on its faces, for each attribute a property definition of it that names
its general property, and a representation that holds the text.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from turnability.part.reading.step_strings import encode_string
from turnability.part.reading.step_text import StepText
from turnability.part.writing.holders import context_of, product_shapes, representation_of
from turnability.part.writing.marks import Remark
from turnability.part.writing.styles import listed

USER_DEFINED = "user defined attribute"
_FIRST_EDITION = "CONFIG_CONTROL_DESIGN"
"""AP203 of 1994, which knows aspects and properties, but neither general properties nor items that
are texts: there the aspect's own name and description hold what is said."""


def attributes(
    text: StepText, remarks: Sequence[tuple[Remark, tuple[int, ...]]], numbers: Iterator[int]
) -> Iterator[str]:
    """Entities for each remark with its faces' entity numbers.

    A remark whose faces belong to no product's shape has no aspect, and is left out.
    """
    shapes = product_shapes(text)
    plain = (text.schema or "").upper().startswith(_FIRST_EDITION)
    general: dict[str, int] = {}
    for remark, faces in remarks:
        held: dict[tuple[int, int], list[int]] = {}
        for face in faces:
            representation = representation_of(text, face, shapes)
            if representation is not None:
                held.setdefault((shapes[representation], representation), []).append(face)
        for (shape, representation), own in held.items():
            aspect = next(numbers)
            name, words = encode_string(remark.name), encode_string(remark.text)
            yield f"#{aspect}=SHAPE_ASPECT({name},{words},#{shape},.T.);"
            context = context_of(text, own[0])
            if plain:
                yield from _placed_by_shape(name, aspect, own, context, numbers)
                continue
            for face in own:
                yield (
                    f"#{next(numbers)}=GEOMETRIC_ITEM_SPECIFIC_USAGE('','',#{aspect},"
                    f"#{representation},#{face});"
                )
            for title, value in remark.attributes if context is not None else ():
                if title not in general:
                    general[title] = next(numbers)
                    yield (
                        f"#{general[title]}=GENERAL_PROPERTY('',{encode_string(title)},"
                        f"'{USER_DEFINED}');"
                    )
                yield from _attribute(title, value, aspect, general[title], context, numbers)


def _attribute(
    title: str, value: str, aspect: int, general: int, context: int | None, numbers: Iterator[int]
) -> Iterator[str]:
    # A general property and its definition must have the same name (ISO 10303-41).
    name = encode_string(title)
    definition, item, representation = (next(numbers) for _ in range(3))
    yield f"#{definition}=PROPERTY_DEFINITION({name},'{USER_DEFINED}',#{aspect});"
    yield (
        f"#{next(numbers)}=GENERAL_PROPERTY_ASSOCIATION('{USER_DEFINED}','',#{general},"
        f"#{definition});"
    )
    yield f"#{item}=DESCRIPTIVE_REPRESENTATION_ITEM({name},{encode_string(value)});"
    yield f"#{representation}=REPRESENTATION({name},(#{item}),#{context});"
    yield f"#{next(numbers)}=PROPERTY_DEFINITION_REPRESENTATION(#{definition},#{representation});"


def _placed_by_shape(
    name: str, aspect: int, faces: Sequence[int], context: int | None, numbers: Iterator[int]
) -> Iterator[str]:
    """The older link from an aspect to its faces: a shape representation of its own."""
    if context is None:
        return
    definition, representation = next(numbers), next(numbers)
    yield f"#{definition}=PROPERTY_DEFINITION({name},'',#{aspect});"
    yield f"#{representation}=SHAPE_REPRESENTATION({name},({listed(faces)}),#{context});"
    yield f"#{next(numbers)}=SHAPE_DEFINITION_REPRESENTATION(#{definition},#{representation});"
