"""Estimates kept on disk between runs of the program, one small JSON file per key.

Losing or damaging the folder costs time, never correctness: what cannot be read is made again.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from platformdirs import user_cache_path

from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.experience_json import moves_of_entry
from fabsched.model.errors import InputError
from fabsched.model.estimates import Estimate, Route, Stretch, Warp, WarpLevel
from fabsched.model.findings import Finding, Remark
from fabsched.model.operations import Operation
from fabsched.model.spread import Spread

MOST_FILES = 2000
"""Entries kept; the oldest go first (some 20 MB; our own choice)."""


def default_folder() -> Path:
    """Where the platform wants caches to be."""
    return user_cache_path("fabsched", appauthor=False) / "estimates"


@dataclass(frozen=True, slots=True)
class EstimateCache:
    """Estimates by key.

    Attributes:
        folder: where they are kept; made when first needed.
    """

    folder: Path

    def get(self, key: str) -> dict[str, Estimate] | None:
        """The estimates by machine id, or None if there are none that can be read."""
        try:
            found = json.loads(self._path(key).read_text("utf-8"))
            return {machine: _estimate(entry) for machine, entry in found.items()}
        except (OSError, ValueError, TypeError, KeyError, AttributeError):
            return None

    def put(self, key: str, estimates: Mapping[str, Estimate]) -> None:
        """Keep estimates; a full or read-only disk is no reason to stop."""
        entries = {machine: asdict(estimate) for machine, estimate in estimates.items()}
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            data = json.dumps(entries).encode()
            write_bytes_atomic(self._path(key), data, durable=False)
            self._prune()
        except (OSError, InputError):
            return

    def _path(self, key: str) -> Path:
        return self.folder / f"{key}.json"

    def _prune(self) -> None:
        entries = list(self.folder.glob("*.json"))
        if len(entries) > MOST_FILES:
            entries.sort(key=lambda path: path.stat().st_mtime)
            for path in entries[: len(entries) - MOST_FILES]:
                path.unlink(missing_ok=True)


def _estimate(entry: Mapping[str, Any]) -> Estimate:
    warp, moves = entry["warp"], entry["moves"]
    changed = {
        "route": Route(entry["route"]),
        "seconds": Spread(**entry["seconds"]),
        "footprint_mm": tuple(entry["footprint_mm"]),
        "silhouette_mm": tuple(tuple(point) for point in entry["silhouette_mm"]),
        "openings_mm": tuple(
            tuple(tuple(point) for point in ring) for ring in entry["openings_mm"]
        ),
        "stretches": tuple(_stretch(found) for found in entry["stretches"]),
        "warp": Warp(**{**warp, "level": WarpLevel(warp["level"])}) if warp else None,
        "moves": moves_of_entry(moves) if moves else None,
        "findings": tuple(_finding(found) for found in entry["findings"]),
    }
    return Estimate(**{**entry, **changed})


def _stretch(entry: Mapping[str, Any]) -> Stretch:
    changed = {
        "operation": Operation(entry["operation"]),
        "enter_mm": tuple(entry["enter_mm"]),
        "leave_mm": tuple(entry["leave_mm"]),
        "seconds": Spread(**entry["seconds"]),
    }
    return Stretch(**{**entry, **changed})


def _finding(entry: Mapping[str, Any]) -> Finding:
    return Finding(code=Remark(entry["code"]), where=entry["where"], facts=entry["facts"])
