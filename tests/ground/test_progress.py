"""A bar is seen by who looks at a terminal or a notebook for over a second, by nobody else."""

import io
import re
import sys
import threading
import types

import pytest

from outline2path import progress
from outline2path.progress import bar, in_notebook, on_terminal
from outline2path.stages import Progress, expect, stage, watched


class Screen(io.StringIO):
    """Standard error that is a terminal, or is not; tells when something was drawn on it."""

    def __init__(self, terminal: bool) -> None:
        super().__init__()
        self.terminal, self.drawn = terminal, threading.Event()

    def isatty(self):
        return self.terminal

    def write(self, text):
        done = super().write(text)
        self.drawn.set()
        return done


@pytest.fixture(name="soon")
def bars_come_soon(monkeypatch):
    """Bars that come at once."""
    monkeypatch.setattr(progress, "_AFTER_S", 0.0)
    monkeypatch.setattr(progress, "_EVERY_S", 0.01)


def looked_at(monkeypatch, *, terminal=True):
    screen = Screen(terminal)
    monkeypatch.setattr(sys, "stderr", screen)
    return screen


@pytest.mark.usefixtures("soon")
def test_long_work_draws_a_bar_and_takes_it_away(monkeypatch):
    screen = looked_at(monkeypatch)
    with on_terminal():
        expect(2)
        with stage("first"):
            pass
        with stage("second thing"):
            screen.drawn.clear()
            screen.drawn.wait(5)
    lines = screen.getvalue().split("\r\x1b[2K")
    assert any(re.fullmatch(r"\[#{12}\.{12}\] second thing, 0 s", line) for line in lines)
    assert lines[-1] == ""


def test_short_work_draws_nothing(monkeypatch):
    screen = looked_at(monkeypatch)
    with on_terminal(), stage("quick"):
        pass
    assert screen.getvalue() == ""
    assert threading.active_count() == len(threading.enumerate())


@pytest.mark.parametrize("options", [{"terminal": False}, {"terminal": True}])
@pytest.mark.usefixtures("soon")
def test_piped_or_quiet_nothing_is_written(monkeypatch, options):
    screen = looked_at(monkeypatch, **options)
    with on_terminal(quiet=options["terminal"]), stage("long"):
        assert not screen.drawn.wait(0.1)
    assert screen.getvalue() == ""


@pytest.mark.usefixtures("soon")
def test_a_fault_within_takes_the_bar_away_and_goes_on(monkeypatch):
    screen = looked_at(monkeypatch)

    def stopped() -> None:
        with on_terminal():
            screen.drawn.wait(5)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        stopped()
    assert screen.getvalue().endswith("\r\x1b[2K")
    assert not [t for t in threading.enumerate() if t.daemon and "_keep_drawing" in t.name]


@pytest.mark.usefixtures("soon")
def test_a_bar_within_a_bar_is_left_to_the_outer_one(monkeypatch):
    screen = looked_at(monkeypatch)
    before = threading.active_count()
    with on_terminal(), on_terminal():
        assert threading.active_count() <= before + 1
        screen.drawn.wait(5)
    with on_terminal():
        screen.drawn.clear()
        assert screen.drawn.wait(5)


def notebook(monkeypatch):
    """A stand-in for a notebook's kernel: what is displayed, in order."""
    told = []

    class Handle:
        def update(self, data, *, raw):
            assert raw
            told.append(data)

    def display(data, *, raw, display_id):
        assert raw
        assert display_id
        told.append(data)
        return Handle()

    shell = types.SimpleNamespace(kernel=object())
    shows = types.SimpleNamespace(display=display)
    python = types.SimpleNamespace(get_ipython=lambda: shell, display=shows)
    monkeypatch.setitem(sys.modules, "IPython", python)
    return told


@pytest.mark.usefixtures("soon")
def test_a_notebook_shows_a_bar_and_takes_it_away(monkeypatch):
    told = notebook(monkeypatch)
    with in_notebook(), stage("narrow <spots>"):
        for _ in range(500):
            if len(told) > 1:
                break
            threading.Event().wait(0.01)
    assert "<progress " in told[1]["text/html"]
    assert "narrow &lt;spots&gt;" in told[1]["text/html"]
    assert told[-1] == {"text/plain": "", "text/html": ""}


@pytest.mark.usefixtures("soon")
def test_outside_a_notebook_a_library_shows_nothing(monkeypatch):
    screen = looked_at(monkeypatch)
    with in_notebook(), stage("long"):
        assert not screen.drawn.wait(0.05)


@pytest.mark.parametrize("share", [-1, 0, 0.3, 1, 7])
def test_a_bar_is_always_as_wide(share):
    assert len(bar(share)) == 26
    assert bar(share).count("#") == round(24 * min(max(share, 0), 1))


@pytest.mark.parametrize(
    ("done", "expected", "share"), [(0, 0, 0), (1, 0, 0), (1, 4, 0.25), (9, 4, 1)]
)
def test_the_share_of_stages_stays_between_none_and_all(done, expected, share):
    assert Progress(done=done, expected=expected).share == share


def test_who_watches_no_longer_is_told_no_more():
    with watched() as seen:
        expect(3)
    expect(5)
    with stage("later"):
        pass
    assert (seen.done, seen.expected) == (0, 3)


def test_a_plan_tells_as_many_stages_as_it_said_to_expect():
    import shapely

    import outline2path as o2p

    part = o2p.Outline.from_shapely(shapely.box(0, 0, 40, 30))
    job = o2p.Job(stock=o2p.Stock("80 x 60 x 6 mm"))
    job.drill([(10, 10), (30, 10)], o2p.Cutter(3, shape="drill")).profile(part, o2p.Cutter(3))
    with watched() as seen:
        assert job.plan().prove().checks
    assert (seen.done, seen.expected) == (8, 8)
