"""What holds a face in a STEP file: its shells, its solid's representation, its product's shape."""

from __future__ import annotations

from collections.abc import Container, Mapping

from turnability.part.reading.step_text import StepText

_SHELLS = ("CLOSED_SHELL", "OPEN_SHELL", "ORIENTED_CLOSED_SHELL")
_LINKS = ("SHAPE_REPRESENTATION_RELATIONSHIP", "REPRESENTATION_RELATIONSHIP")


def shells_of_face(text: StepText) -> Mapping[int, list[int]]:
    """The shells that list each face."""
    found: dict[int, list[int]] = {}
    for keyword in _SHELLS:
        for shell in text.by_keyword.get(keyword, ()):
            for item in text.references(shell):
                found.setdefault(item, []).append(shell)
    return found


def representation_of(text: StepText, face: int, among: Container[int]) -> int | None:
    """The first of these shape representations that the face's solid stands in."""
    return next(
        (
            representation
            for brep in text.breps_of_face.get(face, ())
            for representation in text.representations_of.get(brep, ())
            if representation in among
        ),
        None,
    )


def context_of(text: StepText, face: int) -> int | None:
    """The representation context that the face's solid stands in."""
    for brep in text.breps_of_face.get(face, ()):
        for representation in text.representations_of.get(brep, ()):
            references = text.references(representation)
            if references and "CONTEXT" in text.parameters(references[-1]).upper():
                return references[-1]
    return next(text.complex_with("GEOMETRIC_REPRESENTATION_CONTEXT"), None)


def product_shapes(text: StepText) -> Mapping[int, int]:
    """The product definition shape by shape representation, those linked to it too."""
    found: dict[int, int] = {}
    for link in text.by_keyword.get("SHAPE_DEFINITION_REPRESENTATION", ()):
        ends = text.references(link)
        if len(ends) == 2 and text.instances[ends[0]].keyword == "PRODUCT_DEFINITION_SHAPE":
            found.setdefault(ends[1], ends[0])
    # A relationship without a transformation links representations of one product.
    pairs = [
        ends
        for keyword in _LINKS
        for link in text.by_keyword.get(keyword, ())
        if len(ends := text.references(link)) == 2
    ]
    for _ in range(2):
        for one, other in (pair for both in pairs for pair in (both, both[::-1])):
            if one in found:
                found.setdefault(other, found[one])
    return found
