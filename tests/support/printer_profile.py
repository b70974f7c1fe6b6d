"""A dye printer made up, and its ICC profile: so that what a profile promises can be compared with what dyes do.

The printer lays three dyes by its red, green and blue; each absorbs mainly one third of the light and some of the
others, and a paper of its own white shows through. Its profile is one of device class `prtr` with 16-bit tables
(ICC.1:2001-04, 6.5.8): A2B from the model, B2A by inverting it, the colorimetric ones exactly where the dyes reach and
the perceptual one with the tones between the paper and the printer's black.
"""

from __future__ import annotations

import struct
from functools import cache

import numpy as np
import numpy.typing as npt
from scipy.spatial import cKDTree

from kiosk.core.print_colour.colours import D50_OF_LINEAR_RGB

Floats = npt.NDArray[np.float64]

ABSORPTION = np.array([[1.74, 0.20, 0.10], [0.28, 1.60, 0.22], [0.08, 0.30, 1.78]])
"""Density in red, green and blue light (across) of full cyan, magenta and yellow dye (down); all three
together are black."""
PAPER = np.array([0.88, 0.87, 0.84])
"""The paper's red, green and blue light."""
_GAMMA = np.array([1.5, 1.3, 1.1])
"""How each dye comes with the code: not alike, so that the printer has a cast between white and black."""
_SURFACE = 0.004
_A2B_GRID, _B2A_GRID, _STEPS = 17, 25, 10
_SRGB = np.array(D50_OF_LINEAR_RGB)
_D50 = np.array([0.9642, 1.0, 0.8249])


def light_of(device: Floats) -> Floats:
    """Return the linear sRGB light against the paper's of device codes from 0 to 1, of shape (..., 3)."""
    dyes = np.clip(1 - np.asarray(device, np.float64), 0, None) ** _GAMMA
    return _SURFACE + (1 - _SURFACE) * 10.0 ** -(dyes @ ABSORPTION)


def lab_of(device: Floats) -> Floats:
    """Return L*a*b* under D50 against the paper of device codes from 0 to 1."""
    share = (light_of(device) @ _SRGB.T) / _SRGB.sum(axis=1)
    f = np.where(share > (6 / 29) ** 3, np.cbrt(share), share * (29 / 6) ** 2 / 3 + 4 / 29)
    return np.stack([116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])], axis=-1)


def device_of(lab: Floats) -> Floats:
    """Return the device codes whose L*a*b* is nearest to each of (n, 3): Gauss-Newton from the nearest of a grid."""
    start = _grid(_A2B_GRID)
    device = start[cKDTree(lab_of(start)).query(lab)[1]]
    for _ in range(_STEPS):
        off = lab - lab_of(device)
        moved = [(lab_of(device + step) - lab_of(device - step)) / 0.002 for step in 0.001 * np.eye(3)]
        jacobian = np.stack(moved, axis=-1)
        normal = np.einsum("nij,nik->njk", jacobian, jacobian) + np.eye(3)
        steps = np.linalg.solve(normal, np.einsum("nij,ni->nj", jacobian, off)[..., None])[..., 0]
        tried = np.clip(device + steps, 0, 1)
        nearer = np.linalg.norm(lab - lab_of(tried), axis=1) < np.linalg.norm(off, axis=1)
        device = np.where(nearer[:, None], tried, device)
    return device


@cache
def printer_profile() -> bytes:
    """Return the profile."""
    black_l = float(lab_of(np.zeros(3))[0])
    lab = _lab_grid(_B2A_GRID)
    scaled = lab * np.array([1 - black_l / 100, 1.0, 1.0]) + np.array([black_l, 0.0, 0.0])
    forward = _table(_encoded(lab_of(_grid(_A2B_GRID))), _A2B_GRID)
    exact, fitted = (_table(device_of(aim) * 65535, _B2A_GRID) for aim in (lab, scaled))
    gamut = _table(np.zeros((_A2B_GRID**3, 1)), _A2B_GRID)
    white = (PAPER @ _SRGB.T) * _D50 / _SRGB.sum(axis=1)
    return _file(
        {
            b"desc": b"desc" + bytes(4) + struct.pack(">I", 16) + b"A dye printer\0\0\0" + bytes(78),
            b"cprt": b"text" + bytes(4) + b"No rights reserved\0",
            b"wtpt": b"XYZ " + bytes(4) + b"".join(struct.pack(">i", round(65536 * value)) for value in white),
            b"A2B0": forward,
            b"A2B1": forward,
            b"A2B2": forward,
            b"B2A0": fitted,
            b"B2A1": exact,
            b"B2A2": fitted,
            b"gamt": gamut,
        }
    )


def _grid(points: int) -> Floats:
    axis = np.linspace(0, 1, points)
    return np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)


def _lab_grid(points: int) -> Floats:
    """Return the L*a*b* of the points of a table in the encoding of 16-bit tables (ICC.1:2001-04, 6.5.8)."""
    codes = _grid(points) * 65535
    lab = codes / np.array([652.8, 256.0, 256.0]) - np.array([0.0, 128.0, 128.0])
    return np.minimum(lab, np.array([100.0, np.inf, np.inf]))


def _encoded(lab: Floats) -> Floats:
    return (lab + np.array([0.0, 128.0, 128.0])) * np.array([652.8, 256.0, 256.0])


def _table(codes: Floats, points: int) -> bytes:
    """Return a lut16Type of three inputs with straight curves."""
    outputs = codes.shape[1]
    matrix = b"".join(struct.pack(">i", round(65536 * value)) for value in np.eye(3).ravel())
    straight = struct.pack(">2H", 0, 65535)
    values = np.clip(np.round(codes), 0, 65535).astype(">u2").tobytes()
    head = b"mft2" + bytes(4) + bytes([3, outputs, points, 0]) + matrix + struct.pack(">2H", 2, 2)
    return head + straight * 3 + values + straight * outputs


def _file(tags: dict[bytes, bytes]) -> bytes:
    at, table, body, places = 128 + 4 + 12 * len(tags), b"", b"", {}
    for name, data in tags.items():
        if data not in places:
            padded = data + bytes(-len(data) % 4)
            places[data] = at + len(body)
            body += padded
        table += name + struct.pack(">2I", places[data], len(data))
    d50 = b"".join(struct.pack(">i", round(65536 * value)) for value in _D50)
    head = struct.pack(
        ">I4sI4s4s4s6H4s", at + len(body), bytes(4), 0x02400000, b"prtr", b"RGB ", b"Lab ", 2026, 1, 1, 0, 0, 0, b"acsp"
    )
    head += bytes(24) + bytes(4) + d50
    return head + bytes(128 - len(head)) + struct.pack(">I", len(tags)) + table + body
