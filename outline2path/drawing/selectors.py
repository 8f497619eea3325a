"""Selectors: which style rules apply to which elements, in bounded time.

In: parsed selectors, in order, and the elements of a drawing. Out: for each element the payloads
of the rules that match it, weakest first (specificity, then order; CSS Cascading 4, from
memory). Simple selectors are judged by cssselect2. Combinators (descendant, child, sibling) are
judged here, remembering for each element what its ancestors and earlier siblings match, so the
cost is at most selectors times elements: no nesting of a small file can make it explode.
Refused with a note by the caller: `:has()`, and combinators inside `:not()` and the like.
"""

from __future__ import annotations

from typing import Any

from cssselect2.compiler import CompiledSelector
from cssselect2.parser import CombinedSelector, Selector, SelectorError, parse

from outline2path.errors import DrawingError

__all__ = ["Matcher", "SelectorError"]

_LONGEST_CHAIN = 50
_MOST_WORK = 500_000


class _Chain:
    """A selector as compounds and the combinators between them, subject last."""

    __slots__ = ("combinators", "order", "payload", "specificity", "tests")

    def __init__(self, selector: Selector, order: int, payload: Any) -> None:
        self.order = order
        self.payload = payload
        self.specificity = selector.specificity
        tests, combinators = [], []
        node = selector.parsed_tree
        while isinstance(node, CombinedSelector):
            tests.append(CompiledSelector(Selector(node.right)))
            combinators.append(node.combinator)
            node = node.left
        tests.append(CompiledSelector(Selector(node)))
        self.tests = [compiled.test for compiled in reversed(tests)]
        self.combinators = combinators[::-1]


class Matcher:
    """Matches style rules to elements.

    Examples
    --------
    >>> matcher = Matcher()
    >>> matcher.add("g > .part", "payload")
    >>> matcher.rules
    1
    """

    def __init__(self) -> None:
        self.rules = 0
        self._work = 0
        self._by: dict[tuple[str, str], list[_Chain]] = {}
        self._holds: dict[tuple[int, int, int], bool] = {}
        self._around: dict[tuple[int, int, int], bool] = {}

    def add(self, prelude: Any, payload: Any) -> None:
        """Add a rule: a selector list, as text or tokens, and what it brings.

        Raises
        ------
        SelectorError
            When the selectors cannot be read, or are of the kinds refused.
        """
        for selector in _parsed(prelude):
            _refuse_costly(selector)
            if selector.pseudo_element is not None:
                continue
            self.rules += 1
            chain = _Chain(selector, self.rules, payload)
            self._by.setdefault(_key(selector), []).append(chain)

    def match(self, element: Any) -> list[Any]:
        """Return the payloads of the rules matching an element, weakest first."""
        keys = [("", ""), ("name", element.local_name), ("id", element.id or "")]
        keys += [("class", name) for name in element.classes]
        chains = [chain for key in keys for chain in self._by.get(key, ())]
        self._work += len(chains)
        if self._work > _MOST_WORK:
            raise DrawingError(
                f"the style sheets hold {self.rules} selectors, too many for so many elements",
                value=self._work,
                limit=_MOST_WORK,
                remedy="save the drawing with plain attributes instead of style sheets",
            )
        found = [c for c in chains if self._holds_at(c, len(c.tests) - 1, element)]
        found.sort(key=lambda chain: (chain.specificity, chain.order))
        return [chain.payload for chain in found]

    def _holds_at(self, chain: _Chain, k: int, element: Any) -> bool:
        """Whether compound k and all before it match at this element."""
        if k == 0:
            return bool(chain.tests[0](element))
        key = (id(chain), k, id(element))
        known = self._holds.get(key)
        if known is None:
            known = bool(chain.tests[k](element)) and self._before(chain, k, element)
            self._holds[key] = known
        return known

    def _before(self, chain: _Chain, k: int, element: Any) -> bool:
        """Whether the compound before k matches where its combinator looks."""
        combinator = chain.combinators[k - 1]
        step = "parent" if combinator in " >" else "previous"
        there = getattr(element, step)
        if combinator in ">+":
            return there is not None and self._holds_at(chain, k - 1, there)
        passed: list[tuple[int, int, int]] = []
        result = False
        while there is not None:
            key = (id(chain), k, id(there))
            known = self._around.get(key)
            if known is None and self._holds_at(chain, k - 1, there):
                known = True
            passed.append(key)
            if known is not None:
                result = known
                break
            there = getattr(there, step)
        for key in passed:
            self._around[key] = result
        return result


def _key(selector: Selector) -> tuple[str, str]:
    """Return what a subject must have: an id, a class, a name, or nothing in particular."""
    compiled = CompiledSelector(selector)
    if compiled.id:
        return ("id", compiled.id)
    if compiled.class_name:
        return ("class", compiled.class_name)
    if compiled.local_name:
        return ("name", compiled.local_name)
    return ("", "")


def _parsed(prelude: Any) -> list[Selector]:
    """Read a selector list; refuse one so long that the parser loses itself in it."""
    try:
        return list(parse(prelude))
    except RecursionError:
        raise SelectorError(prelude, f"more than {_LONGEST_CHAIN} parts") from None


def _refuse_costly(selector: Selector) -> None:
    """Refuse selectors whose cost cannot be bounded."""
    node, length = selector.parsed_tree, 1
    while isinstance(node, CombinedSelector):
        _refuse_inside(node.right)
        node, length = node.left, length + 1
        if length > _LONGEST_CHAIN:
            raise SelectorError(selector, f"more than {_LONGEST_CHAIN} parts")
    _refuse_inside(node)


def _refuse_inside(compound: Any) -> None:
    for simple in compound.simple_selectors:
        inner = getattr(simple, "selector_list", None)
        if inner is not None and any(
            not hasattr(getattr(s, "parsed_tree", None), "simple_selectors") for s in inner
        ):
            raise SelectorError(simple, "combinators inside a pseudo-class")
