"""Tables and, where there is no room for them, paragraphs."""

import pytest
from rich.console import Console

from fabsched.cli import tables
from fabsched.cli.tables import GrowingTable, print_table

COLUMNS = (">from", "who", "what", ">size mm")
ROWS = [
    ("18:30", "Maker", "Solder the sensor boards and wire them to the controller", "20 x 20"),
    ("20:00", "Maker", "Rest", ""),
]


def printed(width: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> str:
    """What stands on a screen of that width."""
    monkeypatch.setattr(tables, "console", lambda: Console(width=width, markup=False))
    print_table(COLUMNS, ROWS)
    return capsys.readouterr().out


def test_a_wide_screen_gets_a_table(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Headings stand once, each row in one line."""
    lines = printed(100, monkeypatch, capsys).splitlines()
    assert sum("size mm" in line for line in lines) == 1
    assert any(all(text in line for text in ROWS[0]) for line in lines)


@pytest.mark.parametrize("width", [20, 30, 40])
def test_a_narrow_screen_gets_paragraphs(
    width: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is lost, no line is too long, words stay whole and inner figures are named."""
    out = printed(width, monkeypatch, capsys)
    assert max(map(len, out.splitlines())) <= width
    words = " ".join(out.split())
    assert words == (
        "18:30 Maker Solder the sensor boards and wire them to the controller size mm 20 x 20 "
        "20:00 Maker Rest"
    )


def grown(width: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> str:
    """The same, printed row by row."""
    monkeypatch.setattr(tables, "console", lambda: Console(width=width, markup=False))
    table = GrowingTable(COLUMNS, ROWS)
    for row in ROWS:
        table.add(row)
        seen = capsys.readouterr()
        assert row[2].split()[0] in seen.out
        print(seen.out)  # noqa: T201 - put back, to be looked at as a whole
    table.end()
    return capsys.readouterr().out


def test_rows_stand_under_their_headings_as_they_come(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each is there before the next; figures end under the end of their heading, texts begin under it."""
    lines = [line for line in grown(100, monkeypatch, capsys).splitlines() if line.strip()]
    head, _, first, second = lines
    assert first.index("Maker") == second.index("Maker") == head.index("who")
    assert head.index("size mm") + len("size mm") == len(first)


def test_rows_that_come_one_by_one_are_paragraphs_on_a_narrow_screen(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """No line is longer than the screen is wide."""
    out = grown(20, monkeypatch, capsys)
    assert max(map(len, out.splitlines())) <= 20
    assert "size mm 20 x 20" in " ".join(out.split())


def test_long_headings_are_stacked_before_the_table_falls_apart(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Words stand one below the other, the last of each in the line above the rows."""
    columns, rows = ("way", ">nine in ten below"), [("whole", "1:30"), ("plates", "0:20")]
    monkeypatch.setattr(tables, "console", lambda: Console(width=18, markup=False))
    table = GrowingTable(columns, rows)
    for row in rows:
        table.add(row)
    lines = [line.strip() for line in capsys.readouterr().out.splitlines() if line.strip()]
    assert lines[:4] == ["nine", "in", "ten", "way     below"]
    assert lines[5:] == ["whole    1:30", "plates   0:20"]
    print_table(columns, rows)
    grown = capsys.readouterr().out
    assert [line.split() for line in grown.splitlines() if "0:20" in line] == [["plates", "0:20"]]
    assert max(map(len, grown.splitlines())) <= 18


def test_on_a_narrow_screen_a_name_stands_above_its_figures(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Texts are broken between words where that saves the table; figures stay under their heading."""
    columns = ("way", ">in time", ">cost", "warp")
    rows = [
        ("plates 1, 2", "more than 99 in 100", "12.5 g", "low"),
        ("whole", "78 in 100", "", "high"),
    ]
    monkeypatch.setattr(tables, "console", lambda: Console(width=24, markup=False))
    table = GrowingTable(columns, rows)
    for row in rows:
        table.add(row)
    lines = [line for line in capsys.readouterr().out.splitlines() if line.strip()]
    assert lines[:2] == [" way", "     in time   cost warp"]
    assert lines[3:] == [
        " plates 1, 2",
        "   more than 12.5 g low",
        "   99 in 100",
        " whole",
        "   78 in 100        high",
    ]
