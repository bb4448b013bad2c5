"""The last plan shown for each project, until something happens and the log takes it in hand.

A plan alone is no reason to write into somebody's project folder. Losing this one costs nothing: the
rest of the weekend is then planned afresh.
"""

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.log_json import plan_json, plan_of
from fabsched.model.errors import InputError
from fabsched.model.log import InHand


@dataclass(frozen=True, slots=True)
class PlanCache:
    """Plans by project folder.

    Attributes:
        folder: where they are kept; made when first needed.
    """

    folder: Path

    def get(self, project: Path) -> InHand | None:
        """The last plan of a project, or None if there is none that can be read."""
        try:
            return plan_of(json.loads(self._path(project).read_text("utf-8")))
        except (OSError, ValueError, TypeError, KeyError, AttributeError):
            return None

    def put(self, project: Path, in_hand: InHand) -> None:
        """Keep a plan; a full or read-only disk is no reason to stop."""
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            data = json.dumps(plan_json(in_hand)).encode()
            write_bytes_atomic(self._path(project), data, durable=False)
        except (OSError, InputError):
            return

    def _path(self, project: Path) -> Path:
        name = hashlib.sha256(str(project.resolve()).encode()).hexdigest()[:32]
        return self.folder / f"{name}.json"
