"""How colours look to people with the three common colour-vision deficiencies, and in grey.

Simulation: the matrices of Machado, Oliveira and Fernandes ("A Physiologically-based Model for
Simulation of Color Vision Deficiency", IEEE TVCG 15(6), 2009) at full severity, on linear RGB;
figures from memory. sRGB to linear and to CIE L*a*b* by IEC 61966-2-1 and CIE 15 (white D65),
from memory. Difference: Euclid's in L*a*b* (CIE 1976); 2.3 is the least a person notices.
"""

from __future__ import annotations

import numpy as np
from matplotlib.colors import to_rgb

MACHADO = {
    "usual": np.eye(3),
    "protan": np.array(
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ]
    ),
    "deutan": np.array(
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ]
    ),
    "tritan": np.array(
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ]
    ),
}
LUMINANCE = np.array([0.2126, 0.7152, 0.0722])
MACHADO["grey"] = np.tile(LUMINANCE, (3, 1))

_TO_XYZ = np.array(
    [
        [0.4124564, 0.3575761, 0.1804375],
        [0.2126729, 0.7151522, 0.0721750],
        [0.0193339, 0.1191920, 0.9503041],
    ]
)
_WHITE = _TO_XYZ.sum(axis=1)


def linear(colour) -> np.ndarray:
    """Linear RGB, 0 to 1, of a colour as matplotlib writes it or of an array of sRGB."""
    c = np.asarray(to_rgb(colour) if isinstance(colour, str) else colour, dtype=float)
    return np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4)


def encoded(rgb: np.ndarray) -> np.ndarray:
    """sRGB, 0 to 1, of linear RGB."""
    c = np.clip(rgb, 0, 1)
    return np.where(c <= 0.0031308, c * 12.92, 1.055 * c ** (1 / 2.4) - 0.055)


def seen(colour, vision: str) -> np.ndarray:
    """Linear RGB of a colour as that vision sees it."""
    return np.clip(linear(colour) @ MACHADO[vision].T, 0, 1)


def lab(rgb: np.ndarray) -> np.ndarray:
    """CIE L*a*b* of linear RGB."""
    t = rgb @ _TO_XYZ.T / _WHITE
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = np.moveaxis(f, -1, 0)
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def difference(one, other, vision: str) -> float:
    """Difference of two colours as that vision sees them (CIE 1976)."""
    return float(np.linalg.norm(lab(seen(one, vision)) - lab(seen(other, vision))))


def contrast(one, other) -> float:
    """Contrast ratio by WCAG 2.2, 1 to 21 (from memory)."""
    a, b = sorted(float(linear(c) @ LUMINANCE) + 0.05 for c in (one, other))
    return b / a
