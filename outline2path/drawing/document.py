"""Document: the bytes of an SVG file -> a tree of nodes that know their line numbers.

The XML is read once, by the expat parser of the standard library, in one linear pass. Nothing is
ever fetched: external entities and external definitions are not loaded. Internal entities are
allowed while they are short and hold no reference to another one; drawing programs use a
handful of them for the names of namespaces. Sizes, depth and counts are bounded by `Limits`.
Files that are merely untidy are read: a byte-order mark, UTF-16, a declared encoding, a blank
line before the declaration, a prefix that was never declared, gzip (.svgz).

Refused, with line and column: text that is not XML, a file cut short, a root other than `svg`.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from xml.parsers import expat

from outline2path.drawing.limits import Limits
from outline2path.errors import DrawingError

__all__ = ["SVG", "Node", "parse_document", "unpack"]

SVG = "http://www.w3.org/2000/svg"
"""Namespace of SVG elements."""
_KNOWN = {
    "svg": SVG,
    "xlink": "http://www.w3.org/1999/xlink",
    "xml": "http://www.w3.org/XML/1998/namespace",
}
_KEPT_PREFIX = {_KNOWN["xlink"]: "xlink:", _KNOWN["xml"]: "xml:"}
_NATIVE = {"utf-8", "utf8", "us-ascii", "ascii", "utf-16", "utf-16le", "utf-16be"}
_DECLARED = re.compile(rb"<\?xml[^>]{0,200}?encoding\s*=\s*[\"']([A-Za-z0-9._-]{1,40})[\"']")
_CUT_SHORT = {
    expat.errors.codes[expat.errors.XML_ERROR_NO_ELEMENTS],
    expat.errors.codes[expat.errors.XML_ERROR_UNCLOSED_TOKEN],
}
_ENTITIES = 64
_ENTITY_CHARS = 256


@dataclass(slots=True, eq=False)
class Node:
    """One element: its name, attributes, children, text and line in the file.

    `name` is the local name of an SVG element and "" for any other. Attributes of SVG carry
    their plain name, linked ones `xlink:href`, those of other namespaces `*:` and their local
    name, as the labels that drawing programs give.

    Examples
    --------
    >>> root = parse_document(b'<svg><g id="a"/></svg>').root
    >>> root.name, root.children[0].get("id"), root.children[0].line
    ('svg', 'a', 1)
    """

    name: str
    tag: str
    attrib: dict[str, str]
    line: int
    parent: Node | None = None
    children: list[Node] = field(default_factory=list)
    text: list[str] = field(default_factory=list)
    rules: dict[str, str] | None = None

    def get(self, key: str, default: Any = None) -> Any:
        """Return one attribute, as element trees do."""
        return self.attrib.get(key, default)

    def __iter__(self) -> Iterator[Node]:
        return iter(self.children)

    def __len__(self) -> int:
        return len(self.children)

    def __getitem__(self, index: int) -> Node:
        return self.children[index]

    def __str__(self) -> str:
        name = self.attrib.get("id")
        label = f' "{name[:40]}"' if name else ""
        return f"<{self.name or self.tag[:40]}>{label} (line {self.line})"


@dataclass(frozen=True, kw_only=True)
class Document:
    """A parsed file: its root, its nodes by id (the first of each) and notes for people."""

    root: Node
    by_id: dict[str, Node]
    style_sheets: tuple[tuple[Node, str], ...]
    notes: tuple[str, ...] = ()


def unpack(data: bytes, *, limits: Limits | None = None) -> bytes:
    """Return the bytes of a file, unpacked where it is gzip, never more than the limit.

    Raises
    ------
    DrawingError
        When the file is empty, too large, or its compression is damaged.

    Examples
    --------
    >>> import gzip
    >>> unpack(gzip.compress(b"<svg/>"))
    b'<svg/>'
    """
    most = (limits or Limits()).file_bytes
    if data[:2] == b"\x1f\x8b":
        try:
            unpacker = zlib.decompressobj(wbits=31)
            data = unpacker.decompress(data, most + 1)
        except zlib.error as fault:
            raise DrawingError(
                f"the compressed drawing is damaged: {fault}", remedy="save it again as plain SVG"
            ) from fault
        if len(data) <= most and not unpacker.eof:
            raise DrawingError(
                f"the compressed drawing ends too early, after {len(data)} bytes",
                remedy="copy the whole file again",
            )
    if len(data) > most:
        raise DrawingError(
            f"the drawing is larger than {most} bytes",
            value=len(data),
            limit=most,
            remedy="leave out pictures and repeated parts, or raise the limit file_bytes",
        )
    if not data.strip():
        raise DrawingError(f"the drawing is empty ({len(data)} bytes)", remedy="save it again")
    return data


def parse_document(data: bytes, *, limits: Limits | None = None) -> Document:
    """Read the XML of one SVG file.

    Parameters
    ----------
    data : bytes
        The file as it is, plain or gzip.
    limits : Limits, optional
        Bounds on size, depth and counts.

    Raises
    ------
    DrawingError
        With line and column, when the text is not XML, is cut short, has another root
        than `svg`, or passes a limit.

    Examples
    --------
    >>> sorted(parse_document(b'<svg id="page"><g id="a"/></svg>').by_id)
    ['a', 'page']
    >>> parse_document(b"<svg><g></svg>")
    Traceback (most recent call last):
    ...
    outline2path.errors.DrawingError: line 1, column 10: this is not well-formed XML (mismatched \
tag); save it again as plain SVG
    """
    limits = limits or Limits()
    data = unpack(data, limits=limits)
    text, encoding, notes = _as_expat_reads(data)
    builder = _Builder(limits, text)
    try:
        builder.read(text, encoding)
    except expat.ExpatError as fault:
        raise _not_xml(fault, text) from fault
    root = builder.root
    if root is None or root.name != "svg":
        found = "nothing" if root is None else f"<{root.tag.rpartition('}')[2][:40]}>"
        raise DrawingError(
            f"the file holds {found} where an <svg> element should be",
            value=found,
            remedy="give a file saved as SVG",
        )
    return Document(
        root=root, by_id=builder.by_id, style_sheets=tuple(builder.sheets), notes=notes
    )


class _Builder:
    """Callbacks of the parser; holds the open elements."""

    def __init__(self, limits: Limits, data: bytes) -> None:
        self.limits = limits
        self.data = data
        self.root: Node | None = None
        self.by_id: dict[str, Node] = {}
        self.sheets: list[tuple[Node, str]] = []
        self._open: list[Node] = []
        self._spaces: list[dict[str, str]] = [_KNOWN]
        self._count = 0
        self._style_chars = 0
        self._entities = 0
        self._bare = False
        self._parser: Any = None

    def read(self, data: bytes, encoding: str | None) -> None:
        self._parser = parser = expat.ParserCreate(encoding)
        parser.buffer_text = True
        parser.ordered_attributes = False
        parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._characters
        parser.EntityDeclHandler = self._entity
        parser.Parse(data, True)

    def _refuse(self, what: str, value: object, limit: object, remedy: str) -> DrawingError:
        line = self._parser.CurrentLineNumber
        return DrawingError(f"line {line}: {what}", value=value, limit=limit, remedy=remedy)

    def _entity(self, name: str, is_parameter: int, value: str | None, *_: object) -> None:
        if value is None or is_parameter:
            return
        self._entities += 1
        refs = self.data.count(b"&")
        too_much = refs * len(value) > self.limits.file_bytes
        if "&" in value or "<" in value or len(value) > _ENTITY_CHARS or too_much:
            raise self._refuse(
                f"the entity {name[:40]!r} is nested, long or used too often to be safe",
                len(value),
                _ENTITY_CHARS,
                "save the drawing without entities",
            )
        if self._entities > _ENTITIES:
            raise self._refuse(
                f"{self._entities} entities are declared",
                self._entities,
                _ENTITIES,
                "save the drawing without entities",
            )

    def _start(self, tag: str, attrib: dict[str, str]) -> None:
        limits = self.limits
        self._count += 1
        if self._count > limits.elements:
            raise self._refuse(
                f"the drawing has more than {limits.elements} elements",
                self._count,
                limits.elements,
                "simplify it, or raise the limit elements",
            )
        if len(self._open) >= limits.depth:
            raise self._refuse(
                f"elements are nested more than {limits.depth} deep",
                len(self._open) + 1,
                limits.depth,
                "ungroup the drawing, or raise the limit depth",
            )
        if len(attrib) > limits.attributes:
            raise self._refuse(
                f"<{tag[:40]}> has {len(attrib)} attributes",
                len(attrib),
                limits.attributes,
                "save it as plain SVG, or raise the limit attributes",
            )
        self._open_node(tag, attrib)

    def _open_node(self, tag: str, attrib: dict[str, str]) -> None:
        spaces = self._spaces[-1]
        if any(key[:5] == "xmlns" for key in attrib):
            spaces = {**spaces, **{k[6:]: v for k, v in attrib.items() if k[:5] == "xmlns"}}
        self._spaces.append(spaces)
        prefix, colon, local = tag.partition(":")
        if not colon:
            prefix, local = "", tag
        space = spaces.get(prefix, prefix)
        if self.root is None:
            self._bare = not space
        is_svg = space == SVG or (not space and self._bare)
        parent = self._open[-1] if self._open else None
        node = Node(
            local if is_svg else "",
            f"{{{SVG if is_svg else space}}}{local}",
            _plain(attrib, spaces),
            self._parser.CurrentLineNumber,
            parent,
        )
        if parent is None:
            self.root = node
        else:
            parent.children.append(node)
        name = node.attrib.get("id")
        if name:
            self.by_id.setdefault(name, node)
        self._open.append(node)

    def _end(self, _tag: str) -> None:
        self._spaces.pop()
        node = self._open.pop()
        if node.name == "style" and node.text:
            self.sheets.append((node, "".join(node.text)))

    def _characters(self, text: str) -> None:
        if not self._open:
            return
        node = self._open[-1]
        if node.name == "style":
            self._style_chars += len(text)
            if self._style_chars > self.limits.style_chars:
                raise self._refuse(
                    f"the style sheets are longer than {self.limits.style_chars} characters",
                    self._style_chars,
                    self.limits.style_chars,
                    "leave out embedded fonts, or raise the limit style_chars",
                )
            node.text.append(text)


def _plain(attrib: dict[str, str], spaces: dict[str, str]) -> dict[str, str]:
    """Rename prefixed attributes; drop namespace declarations."""
    if not any(":" in key or key == "xmlns" for key in attrib):
        return attrib
    plain: dict[str, str] = {}
    for key, value in attrib.items():
        prefix, colon, local = key.partition(":")
        if not colon:
            if key != "xmlns":
                plain[key] = value
        elif prefix != "xmlns":
            space = spaces.get(prefix, "")
            plain.setdefault(f"{_KEPT_PREFIX.get(space, '*:')}{local}", value)
    return plain


def _as_expat_reads(data: bytes) -> tuple[bytes, str | None, tuple[str, ...]]:
    """Bytes and encoding that expat reads by itself, and what had to be assumed."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data, None, ()
    if data[:3] == b"\xef\xbb\xbf":
        data = data[3:]
    data = data.lstrip(b" \t\r\n")
    match = _DECLARED.match(data[:300])
    declared = match[1].decode("ascii").lower() if match else "utf-8"
    if declared in _NATIVE:
        try:
            data.decode("utf-8")
        except UnicodeDecodeError:
            if b"\x00" in data[:4]:
                return data, None, ()
            text = data.decode("latin-1")
            note = f"the file is not {declared} as it should be; its letters were read as latin-1"
            return text.encode("utf-8"), "utf-8", (note,)
        return data, None if declared.startswith("utf-16") and b"\x00" in data[:4] else "utf-8", ()
    try:
        return data.decode(declared).encode("utf-8"), "utf-8", ()
    except (LookupError, UnicodeDecodeError) as fault:
        raise DrawingError(
            f"the file says its encoding is {declared!r}, and cannot be read so: {fault}",
            value=declared,
            remedy="save it again as UTF-8",
        ) from fault


def _not_xml(fault: expat.ExpatError, data: bytes) -> DrawingError:
    """Turn the parser's complaint into a paragraph."""
    what = expat.errors.messages.get(fault.code, str(fault.code))
    where = f"line {fault.lineno}, column {fault.offset}"
    if fault.code in _CUT_SHORT:
        return DrawingError(
            f"{where}: the file ends before its drawing is complete ({what})",
            remedy="copy or save the whole file again",
        )
    if b"<" not in data[:4096] or (fault.lineno, fault.offset) == (1, 0):
        start = data[:20].decode("latin-1")
        begins = repr(start) if start.isascii() and start.strip().isprintable() else "no text"
        return DrawingError(
            f"the file is not SVG: it begins with {begins}", remedy="give a file saved as SVG"
        )
    return DrawingError(
        f"{where}: this is not well-formed XML ({what})", remedy="save it again as plain SVG"
    )
