"""Every key the standard library reads has its line."""

import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.job.toml_lines import key_lines, tokens_of

HARD = '''# a comment = 1
name = "a # b = c"   # [no.table]
"quoted key" = 'it''s'
text = """
[not.a.table]
no_key = 1
"""
'raw' = \'\'\'
[[nor.this]]\'\'\'
dotted . "key" = 1.5
when = 2024-01-02T03:04:05
list = [
  1, # one = 1
  { x = 1, y = [2, 3] },
  "]",
]
[table.sub]
a = { b = { c = 1 } }
[[many]]
k = 1
[[many]]
k = 2
[many.inner]
deep = true
[[many.again]]
last = -1_000
'''.replace("'it''s'", "'its'")

LINES = {
    ("name",): 2,
    ("quoted key",): 3,
    ("text",): 4,
    ("raw",): 8,
    ("dotted", "key"): 10,
    ("list",): 12,
    ("list", 1, "y"): 14,
    ("list", 1, "y", 1): 14,
    ("list", 2): 15,
    ("table", "sub"): 17,
    ("table", "sub", "a", "b", "c"): 18,
    ("many", 0, "k"): 20,
    ("many", 1, "k"): 22,
    ("many", 1, "inner", "deep"): 24,
    ("many", 1, "again", 0, "last"): 26,
}


@pytest.mark.parametrize(("path", "line"), LINES.items())
def test_a_key_has_its_line(path, line):
    assert key_lines(tokens_of(HARD))[path] == line


def leaves(value, path=()):
    """Path of every value that is neither table nor list."""
    if isinstance(value, dict | list):
        pairs = value.items() if isinstance(value, dict) else enumerate(value)
        for key, inner in pairs:
            yield from leaves(inner, (*path, key))
    else:
        yield path


def test_every_value_of_the_standard_reader_is_found():
    assert set(leaves(tomllib.loads(HARD))) <= set(key_lines(tokens_of(HARD)))


NAMES = st.text("abc_-1", min_size=1, max_size=4)
VALUES = st.sampled_from(
    ["1", "-2.5", '"a = [b"', "'{'", "[1, [2], {x = 3}]", '{ y = "}", z.w = 4 }', '"""\n=\n"""']
)


@settings(max_examples=60)
@given(st.dictionaries(NAMES, st.dictionaries(NAMES, VALUES, max_size=4), max_size=4), NAMES)
def test_any_file_has_all_its_values(tables, many):
    text, lines = "", {}
    for name, pairs in tables.items():
        text += f"\n# {name}\n[[{many}.{name}]]\n"
        for key, value in pairs.items():
            lines[many, name, 0, key] = text.count("\n") + 1
            text += f"{key} = {value} # = 1\n"
    found = key_lines(tokens_of(text))
    assert lines.items() <= found.items()
    assert set(leaves(tomllib.loads(text))) <= set(found)
