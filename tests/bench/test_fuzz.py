"""The fuzzing bench sees what is wrong, and lets refusals be."""

import time

import pytest

from tests.bench import fuzz


@pytest.mark.parametrize("name", fuzz.TARGETS)
def test_sound_inputs_have_nothing_wrong_with_them(name):
    found = [fuzz.tried(fuzz.TARGETS[name], seed) for seed in fuzz.seeds(name)]
    assert found == [None] * len(found)
    assert len(found) >= 3


@pytest.mark.parametrize("name", fuzz.TARGETS)
@pytest.mark.parametrize("data", [b"", b"\0", bytes(range(256)), b"<" * 99, b"G1" * 99])
def test_nonsense_is_refused(name, data):
    assert fuzz.tried(fuzz.TARGETS[name], data) is None


@pytest.mark.parametrize("name", fuzz.TARGETS)
def test_every_reader_has_words_of_its_language(name):
    lines = fuzz.WORDS.read_text(encoding="utf-8").splitlines()
    assert sum(line.startswith(f"{name} ") for line in lines) >= 40


def breaks(_data):
    raise KeyError("a bug")


def warns(_data):
    import numpy as np

    np.array([1.0]) / np.array([0.0])


def dawdles(_data):
    until = time.process_time() + 0.1
    while time.process_time() < until:
        pass


@pytest.mark.parametrize(
    ("target", "word"), [(breaks, "KeyError"), (warns, "RuntimeWarning"), (dawdles, "slow")]
)
def test_bugs_warnings_and_dawdling_are_found(monkeypatch, target, word):
    monkeypatch.setattr(fuzz, "SLOW_S", 0.05)
    assert fuzz.tried(target, b"").startswith(word)
