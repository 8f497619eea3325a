"""Output appears whole or not at all."""

import os
import stat

import pytest

from outline2path.errors import OutputError
from outline2path.files import check_writable, write_whole


def test_what_was_written_reads_back(tmp_path):
    assert write_whole(tmp_path / "a.nc", "G0 Z5\n").read_text() == "G0 Z5\n"


def test_bytes_are_written_as_they_are(tmp_path):
    assert write_whole(tmp_path / "a.png", b"\x89PNG\r\n").read_bytes() == b"\x89PNG\r\n"


def test_no_temporary_file_stays(tmp_path):
    write_whole(tmp_path / "a.nc", "x")
    assert [p.name for p in tmp_path.iterdir()] == ["a.nc"]


def test_a_failed_write_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch):
    (tmp_path / "a.nc").write_text("old")

    def full(*_args):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OutputError, match="No space left"):
        write_whole(tmp_path / "a.nc", "new")
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("a.nc", "old")]


def test_an_old_files_permissions_stay(tmp_path):
    (tmp_path / "a.nc").write_text("old")
    (tmp_path / "a.nc").chmod(0o640)
    write_whole(tmp_path / "a.nc", "new")
    assert stat.S_IMODE((tmp_path / "a.nc").stat().st_mode) == 0o640


@pytest.mark.parametrize("name", ["missing/a.nc", "."])
def test_a_name_that_cannot_be_written_is_refused_beforehand(tmp_path, name):
    with pytest.raises(OutputError, match="folder"):
        check_writable(tmp_path / name)
