"""Polygons taken apart into triangles."""

import numpy as np
from numpy.typing import NDArray

from fabsched.model.shapes import Faces


def fanned(corners: NDArray[np.integer], sizes: NDArray[np.integer]) -> Faces:
    """Take polygons apart into fans around their first corner.

    The fan of a polygon with a notch covers some area outside it twice, once facing each way, so
    that volumes and sections stay right.

    Args:
        corners: vertex indices of all polygons, one after the other.
        sizes: corners of each polygon; those with fewer than three give nothing.

    Returns:
        (m, 3), in the order of the polygons.

    >>> fanned(np.array([0, 1, 2, 3, 7, 8, 9]), np.array([4, 3])).tolist()
    [[0, 1, 2], [0, 2, 3], [7, 8, 9]]
    >>> fanned(np.array([], dtype=int), np.array([], dtype=int)).shape
    (0, 3)
    """
    starts = np.cumsum(sizes) - sizes
    triangles = np.maximum(sizes - 2, 0)
    hub = np.repeat(starts, triangles)
    step = np.arange(len(hub)) - np.repeat(np.cumsum(triangles) - triangles, triangles)
    places = np.stack((hub, hub + step + 1, hub + step + 2), axis=1)
    return np.asarray(corners[places], dtype=np.int32)
