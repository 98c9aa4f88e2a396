"""XML is read as a stream whose depth, names and longest tag are bounded, without entities.

The standard library's expat is fast and needs no tree; alone it keeps every open element, every
name and an unfinished tag of any length. The 3MF core specification forbids document types, so no
entity is ever expanded.
"""

from collections.abc import Callable, Iterator, Mapping
from xml.parsers import expat

from fitcheck.errors import InputError
from fitcheck.meshes.triangles import EXPORT_AGAIN, MOST_TRIANGLES, MOST_VERTICES

DEEPEST = 50
"""Elements in each other; a 3MF has seven."""
MOST_NAMES = 2_000
"""Different names of elements, attributes and namespaces."""
MOST_ELEMENTS = MOST_VERTICES + MOST_TRIANGLES + 1_000_000
LONGEST_BYTES = 262_144
"""Of one tag, with all its attributes, or of one comment."""

Started = Callable[[str, Mapping[str, str]], None]
Ended = Callable[[str], None]
Prefixed = Callable[[str, str], None]


def read_xml(
    pieces: Iterator[bytes],
    started: Started,
    ended: Ended = lambda name: None,
    prefixed: Prefixed = lambda prefix, uri: None,
) -> None:
    """Call back for each element that starts or ends, and each prefix that gets a namespace.

    A name is "namespace local", or "local" alone. Raises ``InputError`` whose line lacks the
    file's name where the text is no XML or passes a bound.
    """
    parser = expat.ParserCreate(namespace_separator=" ")
    open_elements = elements = prefixes = 0

    def start(name: str, attributes: Mapping[str, str]) -> None:
        nonlocal open_elements, elements
        open_elements += 1
        elements += 1
        if open_elements > DEEPEST or elements > MOST_ELEMENTS:
            raise _too_much()
        started(name, attributes)

    def end(name: str) -> None:
        nonlocal open_elements
        open_elements -= 1
        ended(name)

    def prefix_named(prefix: str | None, uri: str | None) -> None:
        nonlocal prefixes
        prefixes += 1
        if prefixes > MOST_NAMES:
            raise _too_much()
        prefixed(prefix or "", uri or "")

    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.StartNamespaceDeclHandler = prefix_named
    parser.StartDoctypeDeclHandler = _no_document_type
    _feed(parser, pieces)


def _feed(parser: expat.XMLParserType, pieces: Iterator[bytes]) -> None:
    fed = 0
    try:
        for piece in pieces:
            fed += len(piece)
            parser.Parse(piece, False)
            waiting = fed - max(0, parser.CurrentByteIndex)
            if waiting > LONGEST_BYTES or len(parser.intern) > MOST_NAMES:
                raise _too_much()
        parser.Parse(b"", True)
    except (expat.ExpatError, LookupError, UnicodeError) as error:
        raise InputError(f"holds broken XML ({error}); {EXPORT_AGAIN}") from None


def _too_much() -> InputError:
    return InputError(
        f"holds XML with over {DEEPEST} elements in each other, {MOST_NAMES:,} names, "
        f"{MOST_ELEMENTS:,} elements or {LONGEST_BYTES:,} bytes in one tag; {EXPORT_AGAIN}"
    )


def _no_document_type(*_: object) -> None:
    raise InputError(f"holds a document type, which no 3MF may have; {EXPORT_AGAIN}")
