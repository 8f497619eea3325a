"""The public front: what it names exists, is documented, and nothing else leaks."""

import inspect

import pytest

import outline2path

CALLABLES = [n for n in outline2path.__all__ if inspect.isroutine(getattr(outline2path, n))]


def test_the_front_lists_exactly_what_it_can_load():
    assert sorted(outline2path.__all__) == sorted(outline2path._HOMES)


@pytest.mark.parametrize("name", outline2path.__all__)
def test_every_public_name_loads_and_is_documented(name):
    assert inspect.getdoc(getattr(outline2path, name))


@pytest.mark.parametrize("name", CALLABLES)
def test_every_public_function_shows_an_example_and_hints(name):
    function = getattr(outline2path, name)
    hints = inspect.signature(function)
    bare = [p for p in hints.parameters.values() if p.annotation is inspect.Parameter.empty]
    assert ">>>" in inspect.getdoc(function)
    assert bare == []


def test_an_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no attribute 'Lathe'"):
        _ = outline2path.Lathe


def test_the_listing_shows_only_the_public_names():
    assert dir(outline2path) == sorted(outline2path.__all__)
