"""Open sets of everyday drawings, fetched by package name when the bench runs, never kept here.

Comes in: a cache folder outside the repository. Goes out: the drawings of each set as files.
Signs of real companies are left out, as far as the sets themselves mark them.
"""

from __future__ import annotations

import hashlib
import json
import subprocess
import tarfile
from collections.abc import Callable, Iterator
from itertools import zip_longest
from pathlib import Path
from typing import NamedTuple


class Drawing(NamedTuple):
    """One drawing of a set."""

    set_name: str
    name: str
    path: Path


class Pack(NamedTuple):
    """An opened package: its file names, and a way to read one."""

    names: list[str]
    read: Callable[[str], bytes]

    def json(self, name: str):
        return json.loads(self.read(name))


def _plain(pack: Pack, folder: str, leave_out: set[str]) -> Iterator[tuple[str, bytes]]:
    for name in pack.names:
        stem = Path(name).stem
        if name.startswith(folder) and name.endswith(".svg") and stem not in leave_out:
            yield stem, pack.read(name)


def _emoji(colour: str) -> Callable[[Pack], Iterator[tuple[str, bytes]]]:
    def pick(pack: Pack) -> Iterator[tuple[str, bytes]]:
        listed = pack.json("package/data/openmoji.json")
        brands = {entry["hexcode"] for entry in listed if entry["subgroups"] == "brand"}
        return _plain(pack, f"package/{colour}/svg/", brands)

    return pick


def _designs(pack: Pack) -> Iterator[tuple[str, bytes]]:
    """Without what is tagged as a brand, begins with a tagged brand's word, or is to go."""
    listed = pack.json("package/meta.json")
    brands = {e["name"].split("-")[0] for e in listed if "Brand / Logo" in e["tags"]}
    left = {e["name"] for e in listed if e["deprecated"] or e["name"].split("-")[0] in brands}
    return _plain(pack, "package/svg/", left)


def _map_signs(pack: Pack) -> Iterator[tuple[str, bytes]]:
    return _plain(pack, "package/icons/", set())


def _games(pack: Pack) -> Iterator[tuple[str, bytes]]:
    """Silhouettes stored as bodies without their page."""
    held = pack.json("package/icons.json")
    width, height = held.get("width", 16), held.get("height", 16)
    for name, icon in held["icons"].items():
        w, h = icon.get("width", width), icon.get("height", height)
        page = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {w} {h}">'
        yield name, f"{page}{icon['body']}</svg>".encode()


LONGEST_FETCH_S = 120

SETS = {
    "emoji in black": ("openmoji", _emoji("black")),
    "emoji in colour": ("openmoji", _emoji("color")),
    "signs for maps": ("@rapideditor/temaki", _map_signs),
    "signs for screens": ("@mdi/svg", _designs),
    "silhouettes": ("@iconify-json/game-icons", _games),
}


def fetched(cache: Path) -> list[Drawing]:
    """The drawings of all sets, sorted; packages missing from the cache are fetched."""
    drawings = []
    for set_name, (package, pick) in SETS.items():
        folder = cache / set_name.replace(" ", "-")
        if not (folder / "complete").exists():
            _unpack(_package(package, cache), pick, folder)
        drawings += [Drawing(set_name, p.stem, p) for p in sorted(folder.glob("*.svg"))]
    return drawings


def _package(name: str, cache: Path) -> Path:
    """The package's archive, fetched with npm where it is not there yet."""
    stem = name.replace("@", "").replace("/", "-")
    if not list(cache.glob(f"{stem}-[0-9]*.tgz")):
        cache.mkdir(parents=True, exist_ok=True)
        fetch = ["npm", "pack", name, "--silent", "--fetch-retries=1"]
        subprocess.run(fetch, cwd=cache, check=True, timeout=LONGEST_FETCH_S)
    return sorted(cache.glob(f"{stem}-[0-9]*.tgz"))[-1]


def _unpack(archive: Path, pick: Callable, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    with tarfile.open(archive) as tar:
        members = {m.name: m for m in tar.getmembers() if m.isfile()}
        pack = Pack(sorted(members), lambda name: tar.extractfile(members[name]).read())
        for stem, data in pick(pack):
            (folder / f"{Path(stem).name}.svg").write_bytes(data)
    (folder / "complete").touch()


def sample(drawings: list[Drawing], count: int) -> list[Drawing]:
    """A fixed choice, every set in turn: the names whose hashes come first.

    A name stays chosen when a later edition of its set brings others, but for few.
    """
    by_set: dict[str, list[Drawing]] = {}
    for drawing in sorted(drawings, key=_lot):
        by_set.setdefault(drawing.set_name, []).append(drawing)
    rows = zip_longest(*(by_set[name] for name in sorted(by_set)))
    return [drawing for row in rows for drawing in row if drawing is not None][:count]


def _lot(drawing: Drawing) -> bytes:
    return hashlib.sha256(f"{drawing.set_name}/{drawing.name}".encode()).digest()


def listed(drawings: list[Drawing], names: Path) -> list[Drawing]:
    """Those whose `set/name` stands in a file, in its order; those no longer there left out."""
    held = {f"{d.set_name}/{d.name}": d for d in drawings}
    wanted = names.read_text(encoding="utf-8").splitlines()
    return [held[name] for name in wanted if name in held]
