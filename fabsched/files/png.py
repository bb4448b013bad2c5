"""Pictures as PNG (ISO/IEC 15948, Portable Network Graphics, second edition)."""

import struct
import zlib

import numpy as np
from numpy.typing import NDArray

SIGNATURE = b"\x89PNG\r\n\x1a\n"
TRUE_COLOUR = 2
"""Colour type of pixels that are red, green and blue."""


def png_bytes(rgb: NDArray[np.uint8]) -> bytes:
    """A picture as a file; the same pixels give the same bytes.

    Args:
        rgb: (height, width, 3) red, green and blue, from the top row down.
    """
    height, width, _ = rgb.shape
    head = struct.pack(">IIBBBBB", width, height, 8, TRUE_COLOUR, 0, 0, 0)
    # each row begins with its filter: none
    rows = np.concatenate([np.zeros((height, 1), np.uint8), rgb.reshape(height, -1)], axis=1)
    data = zlib.compress(rows.tobytes(), 6)
    chunks = ((b"IHDR", head), (b"IDAT", data), (b"IEND", b""))
    return SIGNATURE + b"".join(_chunk(name, body) for name, body in chunks)


def _chunk(name: bytes, body: bytes) -> bytes:
    """A part of the file: length, name, content and check sum."""
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
