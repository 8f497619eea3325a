"""Small files that ask for a great deal, and large ones that hold little."""

from __future__ import annotations

import gzip
from itertools import pairwise

PAGE = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
OPEN = PAGE + 'width="50mm" height="50mm" viewBox="0 0 50 50">'
SQUARE = '<path d="M5 5h40v40h-40z"/>'
FAR = "http://drawings.invalid/part.svg"


def page(body: str, *, head: str = "") -> bytes:
    """A page of 50 mm with a body, and something before the root."""
    return f"{head}{OPEN}{body}</svg>".encode()


def nested_entities(levels: int = 9, width: int = 10) -> bytes:
    """Each entity ten times the one below it: 10^9 letters from 600 bytes."""
    names = [f"e{k}" for k in range(levels + 1)]
    lines = [f'<!ENTITY {names[0]} "aaaaaaaaaa">']
    lines += [f'<!ENTITY {b} "{f"&{a};" * width}">' for a, b in pairwise(names)]
    return page(f'<path d="&{names[-1]};"/>', head=f"<!DOCTYPE svg [{''.join(lines)}]>")


def long_entity(letters: int = 50_000, times: int = 20_000) -> bytes:
    """One long entity used often: 10^9 letters from 130 kB."""
    head = f'<!DOCTYPE svg [<!ENTITY a "{"1 " * (letters // 2)}">]>'
    return page(f'<path d="{"&a;" * times}"/>', head=head)


def foreign_entity(target: str) -> bytes:
    """An entity whose text stands in another file."""
    head = f'<!DOCTYPE svg [<!ENTITY far SYSTEM "{target}">]>'
    return page(f"<text>&far;</text><title>&far;</title>{SQUARE}", head=head)


def foreign_definitions(target: str) -> bytes:
    """Definitions that stand in another file."""
    head = f'<!DOCTYPE svg SYSTEM "{target}" [<!ENTITY % far SYSTEM "{target}"> %far;]>'
    return page(SQUARE, head=head)


def use_tree(levels: int = 9, width: int = 10) -> bytes:
    """Copies of copies: 10^9 squares from two kilobytes."""
    groups = ['<g id="u0"><rect width="1" height="1"/></g>']
    for k in range(levels):
        copies = f'<use href="#u{k}"/>' * width
        groups.append(f'<g id="u{k + 1}">{copies}</g>')
    return page(f'<defs>{"".join(groups)}</defs><use href="#u{levels}"/>')


def deep(levels: int = 100_000, tag: str = "g") -> bytes:
    """Elements inside elements."""
    return page(f"<{tag}>" * levels + SQUARE + f"</{tag}>" * levels)


def deep_clips(levels: int = 2_000) -> bytes:
    """Each clip path clipped by the next."""
    clips = "".join(
        f'<clipPath id="c{k}" clip-path="url(#c{k + 1})"><path d="M0 0h49v49h-49z"/></clipPath>'
        for k in range(levels)
    )
    last = f'<clipPath id="c{levels}"><path d="M0 0h49v49h-49z"/></clipPath>'
    return page(f'<defs>{clips}{last}</defs><path clip-path="url(#c0)" d="M5 5h40v40h-40z"/>')


def squares(count: int) -> bytes:
    """Many small squares in a row of rows."""
    body = "".join(
        f'<rect x="{k % 500}" y="{k // 500}" width=".5" height=".5"/>' for k in range(count)
    )
    return page(body)


def attributes(each: int = 3_000, shapes: int = 3_000) -> bytes:
    """A root with thousands of attributes, and thousands of shapes below it."""
    names = " ".join(f'a{k}="1"' for k in range(each))
    return f"{PAGE}{names}>{SQUARE * shapes}</svg>".encode()


def gzip_bomb(megabytes: int = 300) -> bytes:
    """Hundreds of megabytes of blanks, packed."""
    return gzip.compress(OPEN.encode() + b" " * (megabytes << 20) + b"</svg>")


def path_data(megabytes: int, step: str = "l1 1-1 1") -> bytes:
    """One path of that many megabytes."""
    return page(f'<path d="M1 1{step * (megabytes * 1_000_000 // len(step))}z"/>')


def dashes(each: str = "1e-9") -> bytes:
    """A line of more dashes than there is memory for."""
    return page(f'<path fill="none" stroke="red" stroke-dasharray="{each}" d="M0 0h1e6v1e6"/>')


def crossings(lines: int = 3_000) -> bytes:
    """A zigzag over a zigzag: the square of its lines in crossings."""
    one = "".join(f"L{50 * (k % 2)} {50 * k / lines:.3f}" for k in range(lines))
    two = "".join(f"L{50 * k / lines:.3f} {50 * (k % 2)}" for k in range(lines))
    return page(f'<path fill-rule="evenodd" d="M0 0{one}{two}z"/>')
