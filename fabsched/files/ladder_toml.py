"""What a ladder of test cuts tried, in a small file beside its drawings, for noting the outcome."""

from pathlib import Path

import tomlkit

from fabsched.files.atomic import write_bytes_atomic
from fabsched.files.materials_toml import SETTING
from fabsched.files.shop_toml import LASER
from fabsched.files.toml_read import Field, Fields, Ident, Numbers, read_fields
from fabsched.files.toml_source import parse_toml, read_text
from fabsched.model.errors import Fault, InputError
from fabsched.model.ladder import Ladder

LADDER: Fields = {
    "laser": Field(Ident('"laser"'), required=True),
    "power_w": Field(LASER["power_w"].rule, required=True),
    "material": Field(Ident('"plywood"'), required=True),
    "thickness_mm": SETTING["thickness_mm"],
    "feeds_mm_s": Field(Numbers("[8.0, 9.0, 10.0]", 0.01, 2000), required=True),
    "pierce_s": SETTING["pierce_s"],
    "passes": SETTING["passes"],
    "kerf_mm": SETTING["kerf_mm"],
}
"""The fields of the file."""
HEAD = """\
# A ladder of test cuts. Square no. 1, with one notch, has the slowest feed. Look for the fastest square
# that fell out, measure it and its hole, and note both: fabsched testcut enter FILE --fell N
# --square MM --hole MM.

"""


def ladder_text(ladder: Ladder) -> str:
    """The text of the file."""
    document = tomlkit.document()
    for name in LADDER:
        value = getattr(ladder, name)
        document[name] = list(value) if isinstance(value, tuple) else value
    return HEAD + tomlkit.dumps(document)


def write_ladder(path: Path, ladder: Ladder) -> None:
    """Write the file, in one step.

    Raises:
        InputError: it cannot be written.
    """
    write_bytes_atomic(path, ladder_text(ladder).encode())


def read_ladder(path: Path) -> Ladder:
    """What a ladder tried.

    Raises:
        InputError: the file is missing or at fault.
    """
    return parse_ladder(read_text(path, str(path)), str(path))


def parse_ladder(text: str, where: str) -> Ladder:
    """What the text of such a file says.

    Args:
        text: of the file.
        where: for errors.

    Raises:
        InputError: the text is at fault.
    """
    ladder = Ladder(**read_fields(parse_toml(text, where), LADDER, where))
    if list(ladder.feeds_mm_s) != sorted(ladder.feeds_mm_s):
        example = LADDER["feeds_mm_s"].rule.example
        value = str(list(ladder.feeds_mm_s))
        raise InputError(
            Fault.FIELD_MALFORMED, f"{where}: feeds_mm_s", value=value, example=example
        )
    return ladder
