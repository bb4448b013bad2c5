"""Every mesh file in the data folder, each wrong in one way and named after it, or sound.

The sound ones hold a block of 10 x 20 x 30 mm. What readers in common use make of the bad ones, from
empty scenes to silently wrong volumes, is why each of them is here.
"""

import tomllib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fabsched.files.mesh_raw import finished
from fabsched.files.obj import parse_obj
from fabsched.files.parts import read_part
from fabsched.files.ply import parse_ply
from fabsched.files.stl import parse_stl
from fabsched.files.threemf import parse_3mf
from fabsched.model.errors import Fault, InputError
from fabsched.model.findings import Remark
from fabsched.model.shapes import Mesh

PARSERS = {".stl": parse_stl, ".obj": parse_obj, ".ply": parse_ply, ".3mf": parse_3mf}
FOLDER = Path(__file__).parent.parent / "data" / "meshes"
BLOCK_MM3 = 10 * 20 * 30
NOISE = 1e-5
"""Share by which a volume may be off: jitter of 1e-4 mm on 10 mm, or float32."""

REFUSED = {
    "astronomic_in_astronomic.3mf": Fault.NUMBER_NOT_FINITE,
    "astronomic_transform.3mf": Fault.SIZE_ABSURD,
    "bad_number.3mf": Fault.NUMBER_MALFORMED,
    "bad_xml.3mf": Fault.FILE_READER_FAILED,
    "contains_itself.3mf": Fault.NESTED_IN_ITSELF,
    "cut_in_half.3mf": Fault.FILE_NO_END,
    "damaged_stream.3mf": Fault.FILE_READER_FAILED,
    "document_type.3mf": Fault.XML_ENTITIES,
    "encrypted.3mf": Fault.FILE_READER_FAILED,
    "entity_bomb.3mf": Fault.XML_ENTITIES,
    "fan_out.3mf": Fault.NESTING_TOO_DEEP,
    "fan_out_of_nothing.3mf": Fault.NESTING_TOO_DEEP,
    "flattening_transform.3mf": Fault.NO_VOLUME,
    "id_twice.3mf": Fault.NAME_TWICE,
    "index_no_number.3mf": Fault.NUMBER_MALFORMED,
    "index_too_large.3mf": Fault.BAD_INDEX,
    "missing_object.3mf": Fault.BAD_INDEX,
    "missing_other_part.3mf": Fault.BAD_INDEX,
    "model_of_another_kind.3mf": Fault.FILE_NOT_OF_KIND,
    "nan.3mf": Fault.NUMBER_NOT_FINITE,
    "nan_in_transform.3mf": Fault.NUMBER_NOT_FINITE,
    "no_archive.3mf": Fault.FILE_NOT_OF_KIND,
    "no_model.3mf": Fault.BAD_INDEX,
    "no_relations.3mf": Fault.FILE_NOT_OF_KIND,
    "no_triangles.3mf": Fault.NO_TRIANGLES,
    "no_z.3mf": Fault.FILE_READER_FAILED,
    "nothing_placed.3mf": Fault.NOTHING_PLACED,
    "only_support.3mf": Fault.NO_TRIANGLES,
    "outside_entity.3mf": Fault.XML_ENTITIES,
    "parts_in_unlike_units.3mf": Fault.FILE_READER_FAILED,
    "transform_of_eleven_numbers.3mf": Fault.NUMBER_MALFORMED,
    "underscored_number.3mf": Fault.NUMBER_MALFORMED,
    "unknown_encoding.3mf": Fault.FILE_READER_FAILED,
    "unknown_required_extension.3mf": Fault.FILE_FEATURE_UNKNOWN,
    "unknown_unit.3mf": Fault.UNIT_UNKNOWN,
    "bad_number.obj": Fault.NUMBER_MALFORMED,
    "comma_decimals.obj": Fault.NUMBER_MALFORMED,
    "counted_past_the_start.obj": Fault.BAD_INDEX,
    "index_beyond_64_bits.obj": Fault.NUMBER_MALFORMED,
    "index_too_large.obj": Fault.BAD_INDEX,
    "index_zero.obj": Fault.BAD_INDEX,
    "nan.obj": Fault.NUMBER_NOT_FINITE,
    "no_faces.obj": Fault.NO_TRIANGLES,
    "no_vertices_before_face.obj": Fault.BAD_INDEX,
    "two_coordinate_vertex.obj": Fault.LINE_MALFORMED,
    "two_corner_face.obj": Fault.LINE_MALFORMED,
    "zero_bytes.obj": Fault.FILE_NOT_OF_KIND,
    "bad_number.ply": Fault.NUMBER_MALFORMED,
    "column_twice.ply": Fault.LINE_MALFORMED,
    "count_in_thousands_of_millions.ply": Fault.FILE_TRUNCATED,
    "count_too_small.ply": Fault.COUNT_MISMATCH,
    "cut_in_half.ply": Fault.FILE_TRUNCATED,
    "cut_in_last_row.ply": Fault.FILE_TRUNCATED,
    "cut_in_vertices.ply": Fault.FILE_TRUNCATED,
    "empty.ply": Fault.FILE_EMPTY,
    "index_beyond_32_bits.ply": Fault.BAD_INDEX,
    "index_negative.ply": Fault.BAD_INDEX,
    "index_too_large.ply": Fault.BAD_INDEX,
    "mixed_polygons_cut.ply": Fault.FILE_TRUNCATED,
    "nan.ply": Fault.NUMBER_NOT_FINITE,
    "negative_list_length.ply": Fault.COUNT_MISMATCH,
    "no_end_of_header.ply": Fault.FILE_NO_END,
    "no_face_table.ply": Fault.NO_TRIANGLES,
    "no_faces.ply": Fault.NO_TRIANGLES,
    "no_format.ply": Fault.FILE_NOT_OF_KIND,
    "no_ply_at_all.ply": Fault.FILE_NOT_OF_KIND,
    "text_count_too_small.ply": Fault.COUNT_MISMATCH,
    "text_cut.ply": Fault.COUNT_MISMATCH,
    "text_cut_in_row.ply": Fault.COUNT_MISMATCH,
    "text_index_too_large.ply": Fault.BAD_INDEX,
    "unknown_type.ply": Fault.LINE_MALFORMED,
    "absurdly_large.stl": Fault.SIZE_ABSURD,
    "absurdly_small.stl": Fault.SIZE_ABSURD,
    "count_too_big.stl": Fault.FILE_TRUNCATED,
    "count_too_small.stl": Fault.COUNT_MISMATCH,
    "count_zero.stl": Fault.COUNT_MISMATCH,
    "cut_in_half.stl": Fault.FILE_TRUNCATED,
    "cut_in_header.stl": Fault.FILE_TRUNCATED,
    "empty.stl": Fault.FILE_EMPTY,
    "flattened.stl": Fault.MESH_TOO_BROKEN,
    "header_only.stl": Fault.NO_TRIANGLES,
    "infinite.stl": Fault.NUMBER_NOT_FINITE,
    "lone_sheet.stl": Fault.MESH_TOO_BROKEN,
    "nan.stl": Fault.NUMBER_NOT_FINITE,
    "no_stl_at_all.stl": Fault.FILE_NOT_OF_KIND,
    "signalling_nan.stl": Fault.NUMBER_NOT_FINITE,
    "text_bad_number.stl": Fault.NUMBER_MALFORMED,
    "text_comma_decimals.stl": Fault.NUMBER_MALFORMED,
    "text_cut_in_half.stl": Fault.FILE_NO_END,
    "text_facet_of_two_corners.stl": Fault.LINE_MALFORMED,
    "text_nan.stl": Fault.NUMBER_NOT_FINITE,
    "text_no_endsolid.stl": Fault.FILE_NO_END,
    "text_second_solid_cut.stl": Fault.FILE_NO_END,
    "text_underscored_number.stl": Fault.NUMBER_MALFORMED,
    "web_page.stl": Fault.FILE_NOT_OF_KIND,
}

READ: dict[str, tuple[float, set[Remark]]] = {
    "forward_reference.3mf": (BLOCK_MM3, set()),
    "in_inches.3mf": (6 * 25.4**3, set()),
    "mirrored.3mf": (BLOCK_MM3, set()),
    "nested.3mf": (4 * BLOCK_MM3, {Remark.OBJECTS_JOINED}),
    "no_unit.3mf": (BLOCK_MM3, set()),
    "objects_in_another_part.3mf": (BLOCK_MM3, set()),
    "part_of_another_name.3mf": (BLOCK_MM3, set()),
    "several_objects.3mf": (BLOCK_MM3 + 10**3, {Remark.OBJECTS_JOINED}),
    "sound.3mf": (BLOCK_MM3, set()),
    "support_object.3mf": (BLOCK_MM3, {Remark.SUPPORT_OBJECT_LEFT_OUT}),
    "turned_and_scaled.3mf": (8 * BLOCK_MM3, set()),
    "continued_line.obj": (BLOCK_MM3, set()),
    "counted_from_the_end.obj": (BLOCK_MM3, set()),
    "every_face_its_own_corners.obj": (BLOCK_MM3, set()),
    "normal_numbers.obj": (BLOCK_MM3, set()),
    "notched_polygon.obj": ((20 * 20 - 10 * 10) * 5, set()),
    "sound.obj": (BLOCK_MM3, set()),
    "texture_and_normal_numbers.obj": (BLOCK_MM3, set()),
    "vertex_colours.obj": (BLOCK_MM3, set()),
    "big_endian.ply": (BLOCK_MM3, set()),
    "little_endian.ply": (BLOCK_MM3, set()),
    "little_endian_windows_header.ply": (BLOCK_MM3, set()),
    "mixed_polygons_big_endian.ply": (BLOCK_MM3, set()),
    "mixed_polygons_little_endian.ply": (BLOCK_MM3, set()),
    "mixed_polygons_text.ply": (BLOCK_MM3, set()),
    "other_columns_little_endian.ply": (BLOCK_MM3, set()),
    "other_columns_text.ply": (BLOCK_MM3, set()),
    "text.ply": (BLOCK_MM3, set()),
    "text_trailing_words.ply": (BLOCK_MM3, {Remark.TRAILING_DATA}),
    "text_windows_lines.ply": (BLOCK_MM3, set()),
    "trailing_bytes.ply": (BLOCK_MM3, {Remark.TRAILING_DATA}),
    "begins_with_solid.stl": (BLOCK_MM3, set()),
    "both_sides.stl": (BLOCK_MM3, {Remark.DUPLICATES_DROPPED}),
    "corners_apart.stl": (BLOCK_MM3, {Remark.WELDED}),
    "every_facet_twice.stl": (BLOCK_MM3, {Remark.DUPLICATES_DROPPED}),
    "far_from_origin.stl": (BLOCK_MM3, {Remark.FAR_FROM_ORIGIN}),
    "hollow.stl": (BLOCK_MM3 - 2 * 4 * 6, set()),
    "in_inches.stl": (BLOCK_MM3 / 25.4**3, {Remark.UNIT_SUSPECT}),
    "in_metres.stl": (BLOCK_MM3 / 1000**3, {Remark.UNIT_SUSPECT}),
    "in_micrometres.stl": (BLOCK_MM3 * 1000**3, {Remark.UNIT_SUSPECT}),
    "inside_out.stl": (BLOCK_MM3, {Remark.TURNED_INSIDE_OUT}),
    "loose_sliver.stl": (BLOCK_MM3, {Remark.FACETS_DROPPED}),
    "one_body_inside_out.stl": (2 * BLOCK_MM3, {Remark.WINDING_MENDED}),
    "one_facet_missing.stl": (BLOCK_MM3, {Remark.MESH_OPEN}),  # the gap touches the origin
    "one_facet_turned.stl": (BLOCK_MM3, {Remark.WINDING_MENDED}),
    "padded_with_zeros.stl": (BLOCK_MM3, {Remark.TRAILING_DATA}),
    "pinched_facet.stl": (BLOCK_MM3, {Remark.FACETS_DROPPED}),
    "sliver_that_closes.stl": (BLOCK_MM3, set()),
    "sound.stl": (BLOCK_MM3, set()),
    "text.stl": (BLOCK_MM3, set()),
    "text_misspelled_word.stl": (BLOCK_MM3, set()),
    "text_odd_name.stl": (BLOCK_MM3, set()),
    "text_trailing_words.stl": (BLOCK_MM3, {Remark.TRAILING_DATA}),
    "text_two_solids.stl": (2 * BLOCK_MM3, set()),
    "text_upper_case.stl": (BLOCK_MM3, set()),
    "text_windows_lines.stl": (BLOCK_MM3, set()),
    "trailing_bytes.stl": (BLOCK_MM3, {Remark.TRAILING_DATA}),
}


def test_every_file_is_listed() -> None:
    """Nothing lies in the folder that no test looks at."""
    assert {path.name for path in FOLDER.iterdir()} == {*REFUSED, *READ}


@pytest.mark.parametrize("name", sorted(REFUSED))
def test_bad_files_are_refused(name: str) -> None:
    """Each defect that leaves the shape in doubt is refused, with the code for it and the file."""
    with pytest.raises(InputError) as caught:
        read_part(FOLDER / name)
    assert caught.value.code is REFUSED[name]
    assert caught.value.where == str(FOLDER / name)


@pytest.mark.parametrize("name", sorted(READ))
def test_other_files_give_the_right_volume(name: str) -> None:
    """What can be read without doubt has the volume of the block, and exactly these remarks."""
    volume_mm3, remarks = READ[name]
    mesh, findings = read_part(FOLDER / name)
    assert isinstance(mesh, Mesh)
    assert mesh.volume_mm3 == pytest.approx(volume_mm3, rel=NOISE)
    assert {finding.code for finding in findings} == remarks
    assert {finding.where for finding in findings} <= {str(FOLDER / name)}


@pytest.mark.parametrize("name", sorted({*REFUSED, *READ}))
def test_every_message_can_be_filled_in(name: str, checkout: Path) -> None:
    """The facts of every error and remark are those its template asks for."""
    table = tomllib.loads((checkout / "resources" / "wording" / "en.toml").read_text("utf-8"))
    try:
        _, findings = read_part(FOLDER / name)
    except InputError as error:
        assert table["fault"][error.code].format(**error.facts)  # noqa: PT017 - not all are refused
    else:
        assert all(table["remark"][found.code].format(**found.facts) for found in findings)


@settings(max_examples=300)
@given(
    st.sampled_from(sorted({*REFUSED, *READ})),
    st.floats(0, 1),
    st.integers(0, 50),
    st.binary(max_size=50) | st.text("0123456789-.e naif<>/\n", max_size=20).map(str.encode),
)
def test_damage_anywhere_gives_a_mesh_or_an_input_error(
    name: str, share: float, cut: int, put: bytes
) -> None:
    """Whatever is cut out of a file and put in, it is read or refused, never anything else."""
    data = (FOLDER / name).read_bytes()
    at = int(share * len(data))
    data = data[:at] + put + data[at + cut :]
    try:
        mesh, _ = finished(PARSERS[Path(name).suffix](data, "x"), None, "x")
        assert np.isfinite(mesh.volume_mm3)
    except InputError as error:
        assert error.where == "x"  # noqa: PT017 - whether it is raised depends on the damage
