"""Pieces of work of every kind, for the tests of the pool."""

import os
import time


def well(kind: str) -> str:
    """Do as the name says: end well, hang, die, or ask for too much."""
    if kind == "hangs":
        time.sleep(600)
    if kind == "dies":
        os._exit(9)
    if kind == "swells":
        try:
            bytearray(8 << 30)
        except MemoryError:
            return "no room"
    return "done"
