"""The package of a 3MF file: a ZIP archive of parts, read with a bound on what they unpack to.

After the Open Packaging Conventions (ECMA-376 part 2): part names are compared without regard to
case, and `_rels/.rels` says which part is the model.
"""

import io
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from posixpath import normpath
from urllib.parse import unquote
from xml.parsers import expat

from fabsched.model.errors import Fault, InputError

KIND = "3MF"
RELATIONS = "_rels/.rels"
MODEL_RELATION = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"
RELATIONSHIP = "http://schemas.openxmlformats.org/package/2006/relationships Relationship"

CHUNK = 1 << 16
MB = 1_000_000
MOST_UNPACKED = 400 * MB
"""Bytes all parts together may unpack to: four to six million triangles."""
MOST_TIMES = 200
"""Nor more than so many times the size of the archive. Meshes shrink to a fifth or a tenth; only
endless repetition shrinks more than a hundredfold (deflate stops at 1032)."""
ALWAYS = 16 * MB
"""Bytes allowed however small the archive."""

LONGEST_TOKEN = MB
"""Bytes of a single tag or comment, which the parser may read anew with every chunk."""
ENCRYPTED = 1
"""Bit of an entry's flags (PKWARE, .ZIP File Format Specification, section 4.4.4)."""
BROKEN = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    LookupError,
    NotImplementedError,
    OSError,
    RuntimeError,
    ValueError,
)
"""What the zip library raises on damaged archives, and the parser on unknown encodings."""


class Package:
    """An opened archive.

    The bytes still allowed are counted by reading, since sizes written in an archive may lie.
    """

    def __init__(self, data: bytes, where: str) -> None:
        self.where = where
        self._left = max(ALWAYS, min(MOST_UNPACKED, MOST_TIMES * len(data)))
        self._limit = self._left
        try:
            self._archive = zipfile.ZipFile(io.BytesIO(data))
        except BROKEN as error:
            if data.startswith(b"PK\3\4"):
                raise InputError(Fault.FILE_NO_END, where, mark="zip directory") from error
            raise InputError(Fault.FILE_NOT_OF_KIND, where, kind=KIND) from error
        self._names = {part_key(name): name for name in self._archive.namelist()}

    def parse(self, name: str, parser: expat.XMLParserType) -> None:
        """Send a part through an XML parser.

        Raises:
            InputError: there is no such part, it is damaged or no XML, it has a document type, or
                the archive unpacks to too much.
        """
        parser.StartDoctypeDeclHandler = self._refuse_doctype
        fed = 0
        with self._mapped():
            for chunk in self._chunks(name):
                parser.Parse(chunk, False)
                fed += len(chunk)
                if fed - parser.CurrentByteIndex > LONGEST_TOKEN:
                    raise expat.ExpatError(f"a tag of more than {LONGEST_TOKEN // MB} MB")
            parser.Parse(b"", True)

    @contextmanager
    def _mapped(self) -> Iterator[None]:
        """Turn errors of the libraries into ours."""
        try:
            yield
        except (expat.ExpatError, *BROKEN) as error:
            why = str(error) or type(error).__name__
            raise InputError(Fault.FILE_READER_FAILED, self.where, kind=KIND, why=why) from error

    def _chunks(self, name: str) -> Iterator[bytes]:
        """The bytes of a part, piece by piece."""
        real = self._names.get(part_key(name))
        if real is None:
            raise InputError(
                Fault.BAD_INDEX, self.where, what="part", index=name, count=len(self._names)
            )
        info = self._archive.getinfo(real)
        if info.flag_bits & ENCRYPTED:
            raise NotImplementedError("encrypted")
        if info.compress_type not in {zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED}:
            raise NotImplementedError(f"compression method {info.compress_type}")
        with self._archive.open(info) as part:
            while chunk := part.read(CHUNK):
                self._left -= len(chunk)
                if self._left < 0:
                    have, limit = (self._limit - self._left) / MB, self._limit / MB
                    raise InputError(
                        Fault.FILE_TOO_LARGE, self.where, have=round(have, 1), limit=round(limit)
                    )
                yield chunk

    def _refuse_doctype(self, *_: object) -> None:
        """Where there is no document type there are no entities, and none can grow."""
        raise InputError(Fault.XML_ENTITIES, self.where, kind=KIND)

    def model_name(self) -> str:
        """Name of the part that holds the model.

        Raises:
            InputError: the package has none.
        """
        targets: list[str] = []

        def start(name: str, attributes: dict[str, str]) -> None:
            if name == RELATIONSHIP and attributes.get("Type") == MODEL_RELATION:
                targets.append(attributes.get("Target", ""))

        if RELATIONS not in self._names:
            raise InputError(Fault.FILE_NOT_OF_KIND, self.where, kind=KIND)
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartElementHandler = start
        self.parse(RELATIONS, parser)
        if not targets:
            raise InputError(Fault.FILE_NOT_OF_KIND, self.where, kind=KIND)
        return targets[0]


def part_key(name: str) -> str:
    """The name of a part as it is compared with others.

    >>> part_key("/3D/my%20Model.model"), part_key("3D/My Model.model")
    ('3d/my model.model', '3d/my model.model')
    """
    return normpath(unquote(name).lower()).lstrip("/")
