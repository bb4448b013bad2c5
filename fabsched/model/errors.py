"""The one error family.

    FabschedError
    ├── InputError        the input is at fault: says where, what and what to do
    ├── Cancelled         the user asked a long computation to stop
    ├── WorkerLost        a worker process died: killed, or out of memory
    └── PlanRejected      the independent checker refused a plan: a bug of ours

Errors carry a code and facts, never sentences: `resources/wording` holds one template per code and
`session.wording` fills it in, so that command line and desktop say the same.
"""

from collections.abc import Mapping
from enum import StrEnum


class Fault(StrEnum):
    """Why an input cannot be used. One line of `resources/wording/en.toml` belongs to each."""

    FILE_MISSING = "file-missing"
    FILE_UNREADABLE = "file-unreadable"
    NOT_A_FILE = "not-a-file"
    FILE_EMPTY = "file-empty"
    FILE_TRUNCATED = "file-truncated"
    FILE_NO_END = "file-no-end"
    FILE_TOO_LARGE = "file-too-large"
    FILE_KIND_UNKNOWN = "file-kind-unknown"
    PICTURE_KIND_UNKNOWN = "picture-kind-unknown"
    FILE_KIND_UNWRITTEN = "file-kind-unwritten"
    FILE_NOT_OF_KIND = "file-not-of-kind"
    FILE_FEATURE_UNKNOWN = "file-feature-unknown"
    FILE_UNWRITABLE = "file-unwritable"
    FILE_READER_FAILED = "file-reader-failed"
    FILE_READER_TIMEOUT = "file-reader-timeout"
    READER_MISSING = "reader-missing"
    COUNT_MISMATCH = "count-mismatch"
    NO_TRIANGLES = "no-triangles"
    BAD_INDEX = "bad-index"
    LINE_MALFORMED = "line-malformed"
    NUMBER_NOT_FINITE = "number-not-finite"
    NUMBER_MALFORMED = "number-malformed"
    SIZE_ABSURD = "size-absurd"
    MESH_TOO_BROKEN = "mesh-too-broken"
    NO_VOLUME = "no-volume"
    NOTHING_PLACED = "nothing-placed"
    UNIT_MEANT = "unit-meant"
    UNIT_UNKNOWN = "unit-unknown"
    WORD_MISSING = "word-missing"
    WORDS_CLASH = "words-clash"
    WORD_NEGATIVE = "word-negative"
    MOTION_UNKNOWN = "motion-unknown"
    ARC_UNEQUAL = "arc-unequal"
    ARC_UNREACHED = "arc-unreached"
    NO_MOVES = "no-moves"
    NOTHING_LAID = "nothing-laid"
    NO_OUTLINES = "no-outlines"
    NESTING_TOO_DEEP = "nesting-too-deep"
    NESTED_IN_ITSELF = "nested-in-itself"
    XML_ENTITIES = "xml-entities"
    TOML_MALFORMED = "toml-malformed"
    FIELD_MISSING = "field-missing"
    FIELD_UNKNOWN = "field-unknown"
    FIELD_MALFORMED = "field-malformed"
    FIELD_OUT_OF_RANGE = "field-out-of-range"
    PATH_OUTSIDE = "path-outside"
    ZONE_UNKNOWN = "zone-unknown"
    NAME_UNKNOWN = "name-unknown"
    NAME_TWICE = "name-twice"
    NEEDS_CIRCLE = "needs-circle"
    EASES_CIRCLE = "eases-circle"
    ITEM_IN_TWO_WAYS = "item-in-two-ways"
    HOURS_MALFORMED = "hours-malformed"
    HOURS_UNKNOWABLE = "hours-unknowable"
    CALENDAR_MALFORMED = "calendar-malformed"
    CALENDAR_UNREAD = "calendar-unread"
    CALENDAR_TOO_LONG = "calendar-too-long"
    HOURS_NEVER_MEET = "hours-never-meet"
    RUN_TOO_LONG = "run-too-long"
    DEADLINE_PAST = "deadline-past"
    PART_TOO_LARGE = "part-too-large"
    PART_FITS_TURNED = "part-fits-turned"
    NO_MACHINE = "no-machine"
    ROUTE_UNFIT = "route-unfit"
    NOBODY_CAN = "nobody-can"
    TOO_FEW_CAN = "too-few-can"
    MATERIAL_UNKNOWN = "material-unknown"
    CUT_UNKNOWN = "cut-unknown"
    DISPUTED_UNSET = "disputed-unset"
    FEED_NEEDED = "feed-needed"
    NONE_FELL_OUT = "none-fell-out"
    MEASURED_ODD = "measured-odd"
    LASER_ATTENDED = "laser-attended"
    MATERIAL_FORBIDDEN = "material-forbidden"
    FOLDER_NOT_EMPTY = "folder-not-empty"
    NOT_A_PROJECT = "not-a-project"
    NOTHING_TO_PLAN = "nothing-to-plan"
    NO_SCREEN = "no-screen"
    LIBRARY_MISSING = "library-missing"
    PLATES_NEED_CLOSED = "plates-need-closed"
    PLATES_NEED_SOLID = "plates-need-solid"
    PLATE_ASKEW = "plate-askew"
    PLATE_LOST = "plate-lost"
    NO_SUCH_PLATE = "no-such-plate"
    NO_PLATES = "no-plates"
    FIT_MISSED = "fit-missed"
    LOG_NEWER = "log-newer"
    LOG_BUSY = "log-busy"
    MOMENT_TO_COME = "moment-to-come"
    BEFORE_START = "before-start"
    DONE_ALREADY = "done-already"
    GOES_ALREADY = "goes-already"
    MACHINE_BUSY = "machine-busy"
    FAILED_ALREADY = "failed-already"
    MOMENT_FAR = "moment-far"
    UNTIL_BEFORE = "until-before"
    OUT_OF_ORDER = "out-of-order"
    NAME_SEVERAL = "name-several"
    NO_SUCH_ENTRY = "no-such-entry"
    NOTHING_TO_UNDO = "nothing-to-undo"
    NOTHING_TO_REDO = "nothing-to-redo"
    NO_SUCH_CHOICE = "no-such-choice"
    NOTHING_TO_CHOOSE = "nothing-to-choose"
    EXPERIENCE_NEWER = "experience-newer"
    EXPERIENCE_BUSY = "experience-busy"


Fact = str | int | float
"""A value put into a template."""


class FabschedError(Exception):
    """Root of every error this program raises on purpose."""


class InputError(FabschedError):
    """The input is at fault.

    Not a frozen dataclass like other records, since Python itself writes to raised exceptions.

    Attributes:
        code: what is wrong.
        where: the file or field, as the user knows it (`parts/lid.stl`, `project.toml: deadline`).
        facts: values for the template of `code`.
    """

    def __init__(self, code: Fault, where: str, /, **facts: Fact) -> None:
        super().__init__(code, where, facts)
        self.code = code
        self.where = where
        self.facts: Mapping[str, Fact] = facts

    def __str__(self) -> str:
        """Code, place and facts, for logs; people are shown `session.noticed.say`."""
        return f"{self.where}: {self.code} {dict(self.facts)}"

    def __reduce__(self) -> tuple[object, ...]:
        """Make the error picklable, so that it crosses from a worker process."""
        return _input_error, (self.code, self.where, dict(self.facts))


def _input_error(code: Fault, where: str, facts: dict[str, Fact]) -> InputError:
    return InputError(code, where, **facts)


class Cancelled(FabschedError):  # noqa: N818 - it is the user's wish, not an error
    """The user asked a long computation to stop."""


class WorkerLost(FabschedError):  # noqa: N818 - reads as what happened
    """A worker process died before it was done: it was killed, or memory ran out."""


class PlanRejected(FabschedError):  # noqa: N818 - reads as what happened to the plan
    """The independent checker refused a plan; the text lists every rule it breaks."""
