"""Tables for notebooks: well formed, escaped, figures right and words left."""

from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from outline2path.notebook import html_picture, html_table

CELLS = st.text(max_size=12)
ALONE = {"img"}


class _Reader(HTMLParser):
    """The standard library's own reader of HTML: cells, and whether tags close as they open."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.cells: list[str] = []
        self.open: list[str] = []
        self.sound = True
        self.feed(page)
        self.close()

    def handle_starttag(self, tag, _attrs):
        if tag not in ALONE:
            self.open.append(tag)
        if tag in ("td", "th"):
            self.cells.append("")

    def handle_endtag(self, tag):
        self.sound = self.sound and bool(self.open) and self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] in ("td", "th"):
            self.cells[-1] += data


@settings(max_examples=60)
@given(st.lists(st.tuples(CELLS, CELLS), max_size=6), CELLS)
def test_any_words_come_back_as_they_were(rows, caption):
    page = html_table(("one", "two mm"), rows, caption=caption)
    read = _Reader(page)
    assert read.sound
    assert read.open == []
    # the reader gives line ends as HTML does, by one sign
    told = [cell.replace("\r\n", "\n").replace("\r", "\n") for row in rows for cell in row]
    assert [c.replace("\r\n", "\n").replace("\r", "\n") for c in read.cells] == [
        "one",
        "two mm",
        *told,
    ]


@pytest.mark.parametrize(
    ("column", "side"),
    [
        (["1.5", "-20"], "right"),
        (["\u22126.30", ""], "right"),
        (["12.0, 3.5"], "right"),
        (["1.5", "through"], "left"),
        (["V 90 deg"], "left"),
    ],
)
def test_columns_of_figures_stand_right(column, side):
    page = html_table(("head",), [(cell,) for cell in column])
    assert page.count(f"text-align:{side}") == 1 + len(column)


def test_a_long_table_counts_what_it_leaves_out():
    page = html_table(("n",), [(str(k),) for k in range(50)], most=12)
    assert page.count("<tr>") == 1 + 12 + 1
    assert "and 38 more" in page


def test_rows_of_another_length_are_refused():
    with pytest.raises((ValueError, IndexError)):
        html_table(("one", "two"), [("1",)])


def test_a_picture_says_its_size_and_is_told_in_words():
    page = html_picture(b"\x89PNG", {"width": 90, "height": 40}, words='a "plan" & more')
    assert 'width="90" height="40" alt="a &quot;plan&quot; &amp; more"' in page
    assert page.startswith('<img src="data:image/png;base64,iVBORw==')
