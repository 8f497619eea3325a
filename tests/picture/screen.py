"""A browser without a window, to look at the sheet with; tests that need it are skipped where it
is not installed."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from pathlib import Path

import numpy as np
import pytest
from matplotlib.image import imread

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser")
needs_browser = pytest.mark.skipif(BROWSER is None, reason="no chromium here")
_WAIT_MS = 3000


def _browse(folder: str, page: str, *options: str) -> bytes:
    (Path(folder) / "page.html").write_text(page, encoding="utf-8")
    command = [BROWSER, "--headless", "--no-sandbox", "--hide-scrollbars"]
    command += ["--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
    command += [f"--user-data-dir={folder}/profile", f"--virtual-time-budget={_WAIT_MS}"]
    command += [*options, f"file://{folder}/page.html"]
    done = subprocess.run(command, capture_output=True, timeout=120, check=True)
    return done.stdout


def after(page: str, script: str) -> str:
    """The page with a script of ours run when it has loaded.

    Frames come as timers: without a window, and in the browser's own time, there are no others.
    """
    ticks = "<script>window.requestAnimationFrame = (f) => setTimeout(f, 1, 0);</script>"
    ours = f"<script>window.addEventListener('load', async () => {{{script}}});</script>"
    return page.replace("<head>", f"<head>{ticks}").replace("</body>", f"{ours}</body>")


def shot(page: str, *, wide=1100, high=900, dark=False) -> np.ndarray:
    """What the screen shows, red green blue 0 to 1."""
    with tempfile.TemporaryDirectory() as folder:
        options = [f"--window-size={wide},{high}", f"--screenshot={folder}/shot.png"]
        options += ["--blink-settings=preferredColorScheme=0"] if dark else []
        _browse(folder, page, *options)
        return imread(f"{folder}/shot.png")[..., :3]


def told(page: str, script: str) -> str:
    """What a script of ours returns, as text."""
    body = f"const say = async () => {{{script}}}; document.title = String(await say());"
    with tempfile.TemporaryDirectory() as folder:
        text = _browse(folder, after(page, body), "--window-size=1100,900", "--dump-dom").decode()
    return re.search("<title>(.*?)</title>", text, re.DOTALL)[1]


def printed(page: str) -> bytes:
    """The page as a PDF on the paper its styles ask for, letter where they ask for none."""
    with tempfile.TemporaryDirectory() as folder:
        _browse(folder, page, "--no-pdf-header-footer", f"--print-to-pdf={folder}/sheet.pdf")
        return (Path(folder) / "sheet.pdf").read_bytes()
