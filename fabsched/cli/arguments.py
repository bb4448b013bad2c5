"""What can be written on the command line."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NoReturn

from fabsched import __version__
from fabsched.cli.tongue import Helper, tr
from fabsched.cli.values import channel, count, layer, lengths, number, numbers, seed


class UsageError(Exception):
    """The command line cannot be understood; the text says why, in one line."""


class Parser(argparse.ArgumentParser):
    """A parser that raises instead of printing its usage and leaving, and helps in the language of now."""

    def __init__(self, **told: Any) -> None:
        """Make a parser; see `argparse.ArgumentParser`."""
        super().__init__(**{"formatter_class": Helper, **told})

    def error(self, message: str) -> NoReturn:
        """Refuse the command line."""
        raise UsageError(f"{self.prog}: {message}; see {self.prog} --help")

    def _check_value(self, action: argparse.Action, value: object) -> None:
        if action.choices is not None and value not in action.choices:
            known = ", ".join(map(str, action.choices))
            raise argparse.ArgumentError(action, f"'{value}' is not known; use one of {known}")


def parse(argv: Sequence[str]) -> argparse.Namespace:
    """The command line as fields; `verb` is None if there is none.

    Raises:
        UsageError: it cannot be understood.
        SystemExit: help or the version was asked for, and has been printed.
    """
    parser = _parser()
    arguments, rest = parser.parse_known_args(argv)
    if rest and (not hasattr(arguments, "files") or any(text.startswith("-") for text in rest)):
        parser.error(f"unrecognized arguments: {' '.join(rest)}")
    if rest:  # files written behind an option
        arguments.files.extend(Path(text) for text in rest)
    return arguments


def _parser() -> Parser:
    parser = Parser(
        prog="fabsched",
        description="Plans a maker's weekend: prints, cuts and handwork on one timeline, with the "
        "odds of being done in time. Without a verb, the window opens.",
        epilog="Exit codes: 0 done; 2 the input is at fault; 3 no plan meets the deadline; "
        "1 a fault of fabsched itself. Each verb tells more with --help.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"fabsched {__version__}")
    parser.add_argument(
        "--open", type=Path, metavar="PROJECT", help="project folder the window opens with"
    )
    verbs = parser.add_subparsers(dest="verb", metavar="VERB", parser_class=Parser)
    _add_estimate(verbs)
    _add_new(verbs)
    _add_plan(verbs)
    _add_odds(verbs)
    _add_export(verbs)
    _add_compare(verbs)
    _add_coupon(verbs)
    _add_need(verbs)
    _add_missing(verbs)
    _add_log(verbs)
    _add_replan(verbs)
    _add_testcut(verbs)
    return parser


def _add_estimate(verbs: "argparse._SubParsersAction[Parser]") -> None:
    verb = _verb(verbs, "estimate", "Time, material and size of part files.")
    verb.add_argument("files", nargs="+", type=Path, metavar="FILE", help="mesh or drawing")
    verb.add_argument(
        "--machine", metavar="ID", help="machine of the shop; else the first that can"
    )
    verb.add_argument("--material", metavar="ID", help="material; else the first in stock")
    verb.add_argument(
        "--thickness", type=number, metavar="MM", help="thickness of the sheet, for drawings"
    )
    verb.add_argument(
        "--layer",
        action="append",
        type=layer,
        default=[],
        metavar="NAME=OPERATION",
        help="what is done along the lines of a layer: cut, score, engrave or ignore; may be "
        "given several times",
    )
    verb.add_argument("--unit", help="unit the files were drawn in, where they do not say")
    verb.add_argument(
        "--poses", action="store_true", help="also list the ways a print can rest on the bed"
    )
    verb.add_argument("--shop", type=Path, metavar="FILE", help="shop file; else as for projects")


def _add_new(verbs: "argparse._SubParsersAction[Parser]") -> None:
    verb = _verb(verbs, "new", "Make a project folder from part files.")
    verb.add_argument("folder", type=Path, metavar="FOLDER", help="must not exist, or be empty")
    verb.add_argument("files", nargs="*", type=Path, metavar="FILE", help="part files, copied")
    verb.add_argument(
        "--deadline", required=True, metavar="T", help="ISO 8601, like 2026-10-25T20:00"
    )
    verb.add_argument("--name", default="", help="name shown; else the folder's")
    verb.add_argument("--zone", help="time zone, like Europe/Berlin; else this computer's")


def _add_plan(verbs: "argparse._SubParsersAction[Parser]") -> None:
    verb = _verb(verbs, "plan", "Plan a project: what to start when, and how sure that is.")
    _add_planning(verb)
    verb.add_argument(
        "--picture", type=Path, metavar="FILE", help="draw the timeline into a .png or .svg file"
    )


def _add_odds(verbs: "argparse._SubParsersAction[Parser]") -> None:
    verb = _verb(
        verbs,
        "odds",
        "How sure the plan is: what setbacks cost, when to decide anew, time needed against left.",
    )
    _add_planning(verb)


def _add_export(verbs: "argparse._SubParsersAction[Parser]") -> None:
    verb = _verb(
        verbs,
        "export",
        "Plan a project and write what carries the plan out: run sheet, calendar, nested sheets "
        "(DXF, SVG), beds (3MF, STL) and pictures.",
    )
    _add_planning(verb)
    verb.add_argument(
        "--to",
        type=Path,
        required=True,
        metavar="DIR",
        help="folder for the files; made if need be",
    )


def _add_testcut(verbs: "argparse._SubParsersAction[Parser]") -> None:
    text = "Find out how a sheet is cut: put out a ladder of squares, then enter which fell out."
    verb = verbs.add_parser("testcut", help=text, description=text, allow_abbrev=False)
    deeds = verb.add_subparsers(dest="deed", metavar="out|enter", required=True)
    _add_testcut_out(_verb(deeds, "out", "Write squares at graded feeds as DXF and SVG."))
    _add_testcut_enter(_verb(deeds, "enter", "Note the outcome in the shop file."))


def _add_testcut_out(verb: Parser) -> None:
    verb.add_argument("--material", required=True, metavar="ID", help="material of the sheet")
    verb.add_argument(
        "--thickness", required=True, type=number, metavar="MM", help="thickness of the sheet"
    )
    verb.add_argument("--to", required=True, type=Path, metavar="DIR", help="made if need be")
    verb.add_argument("--machine", metavar="ID", help="laser of the shop; else the first")
    verb.add_argument("--feed", type=number, metavar="MM_S", help="middle feed; else what is known")
    verb.add_argument("--passes", type=count, metavar="N", help="how often each line is run over")
    verb.add_argument("--shop", type=Path, metavar="FILE", help="shop file; else as for projects")


def _add_testcut_enter(verb: Parser) -> None:
    verb.add_argument("file", type=Path, metavar="FILE", help="testcut.toml, put out with it")
    verb.add_argument(
        "--fell",
        required=True,
        type=count,
        metavar="N",
        help="notches of the fastest square that fell out; 0 if none did",
    )
    verb.add_argument(
        "--square", type=number, metavar="MM", help="side of that square, as measured"
    )
    verb.add_argument(
        "--hole",
        type=number,
        metavar="MM",
        help="side of the hole it left; kerf = (hole - square) / 2",
    )
    verb.add_argument(
        "--fits",
        type=count,
        metavar="N",
        help="instead: notches of the narrowest hole of the lower row the square goes into",
    )
    verb.add_argument("--on", metavar="DATE", help="day of the cut, like 2026-10-25; else today")
    verb.add_argument("--shop", type=Path, metavar="FILE", help="shop file; else as for projects")


WHAT = (
    "start",
    "finish",
    "clear",
    "fail",
    "found",
    "cancel",
    "accept",
    "delay",
    "arrive",
    "lose",
    "drop",
    "deadline",
    "choose",
    "correct",
    "withdraw",
    "undo",
    "redo",
    "learnt",
    "unlearn",
    "relearn",
)
"""What can be told, and what can be asked for."""

ALONE = ("undo", "redo", "deadline", "learnt")
"""What is told of nothing in particular."""


def _add_log(verbs: "argparse._SubParsersAction[Parser]") -> None:
    verb = _verb(
        verbs, "log", "Tell what happened, take it back, list what was told or learnt from it."
    )
    verb.add_argument("project", type=Path, metavar="PROJECT", help="project folder")
    verb.add_argument(
        "what",
        nargs="?",
        choices=WHAT,
        metavar="WHAT",
        help=tr("one of {known}").format(known=", ".join(WHAT)),
    )
    verb.add_argument(
        "block",
        nargs="?",
        default="",
        metavar="BLOCK",
        help="block, part or work; for delay and arrive a component as well; for lose a machine, person or place; for choose a choice of "
        "replan; for correct and withdraw the number of an entry; for unlearn and relearn a machine, material or "
        "kind of work, faults or deliveries, whose past then no longer counts, or counts again, in all projects",
    )
    verb.add_argument(
        "--at",
        metavar="T",
        help="when it happened; else the present moment. What runs alone starts when its machine begins to run; what "
        "somebody stays beside, when hands begin to set it up",
    )
    verb.add_argument("--until", metavar="T", help="for delay, lose and deadline: until when")
    verb.add_argument("--share", type=number, metavar="S", help="how far a failed run got, 0 to 1")
    verb.add_argument("--on", default="", metavar="MACHINE", help="machine, if not as planned")
    verb.add_argument("--by", default="", metavar="PERSON", help="who did it, if not as planned")
    verb.add_argument(
        "--with",
        dest="helpers",
        action="append",
        default=[],
        metavar="PERSON",
        help="who did it with them, if not as planned; for several people once each",
    )
    verb.add_argument("--why", default="", metavar="TEXT", help="what you make of it")
    verb.add_argument(
        "--sure",
        action="store_true",
        help="what is unusual, as a moment far from everything else, is meant as it is",
    )


def _add_replan(verbs: "argparse._SubParsersAction[Parser]") -> None:
    verb = _verb(
        verbs,
        "replan",
        "Keep what happened and plan the rest; after a failure, put the choices side by side.",
    )
    _add_planning(verb)


def _add_compare(verbs: "argparse._SubParsersAction[Parser]") -> None:
    verb = _verb(
        verbs,
        "compare",
        "Print a part whole, or cut plates out of it and print the rest: all ways side by side.",
    )
    _add_planning(verb)
    verb.add_argument("part", metavar="PART", help="id of a printed part")
    verb.add_argument(
        "--write", type=Path, metavar="DIR", help="write plates, pieces, a picture and the joints"
    )
    verb.add_argument(
        "--plates", type=numbers, metavar="N,N", help="plates to cut in the files; else the best"
    )
    verb.add_argument(
        "--set",
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help="a measure of the joints or of the press, such as screw=M4, tab_mm=15 or force_n=20",
    )
    choice = verb.add_mutually_exclusive_group()
    choice.add_argument(
        "--take",
        action="store_true",
        help="make it with these plates: put parts and work into the project",
    )
    choice.add_argument(
        "--leave",
        action="store_true",
        help="put both ways into the project, for the planner to choose",
    )
    choice.add_argument(
        "--whole",
        action="store_true",
        help="print it whole: take all other ways out of the project",
    )


def _add_coupon(verbs: "argparse._SubParsersAction[Parser]") -> None:
    verb = _verb(
        verbs,
        "coupon",
        "Cut a test print around a critical dimension out of a part, as a ladder of copies where a "
        "clearance is wanted.",
    )
    verb.add_argument("project", type=Path, metavar="PROJECT", help="project folder")
    verb.add_argument("part", metavar="PART", help="id of a printed part")
    verb.add_argument("fit", metavar="FIT", help="id of a [[part.fit]] of it")
    verb.add_argument("--write", type=Path, metavar="FILE", help="write it as .stl or .3mf")
    way = verb.add_mutually_exclusive_group()
    way.add_argument("--add", action="store_true", help="put it into the project, before the part")
    way.add_argument("--remove", action="store_true", help="take it out again, with its check")
    way.add_argument(
        "--fits",
        type=int,
        metavar="N",
        help="copy N from the left fits: draw the part like it; the check counts as passed",
    )


def _add_need(verbs: "argparse._SubParsersAction[Parser]") -> None:
    verb = _verb(
        verbs,
        "need",
        "Always make a part, work or gate, or leave that to the planner; let work be done early.",
    )
    verb.add_argument("project", type=Path, metavar="PROJECT", help="project folder")
    verb.add_argument("item", metavar="ITEM", help="id of a part, work or gate")
    way = verb.add_mutually_exclusive_group(required=True)
    way.add_argument("--always", action="store_true", help="make it whatever it costs")
    way.add_argument("--free", action="store_true", help="make it only if that is worth its time")
    way.add_argument(
        "--early",
        action="store_true",
        default=None,
        help="a work may be done in spare minutes before the weekend begins",
    )
    way.add_argument(
        "--not-early",
        action="store_false",
        dest="early",
        help="a work waits for the weekend to begin",
    )


def _add_missing(verbs: "argparse._SubParsersAction[Parser]") -> None:
    verb = _verb(
        verbs,
        "missing",
        "What is not in hand before the weekend begins, by when to buy it, and what is easily mixed "
        "up.",
    )
    _add_planning(verb)
    verb.add_argument(
        "--cables", type=lengths, metavar="D,D", help="outer diameters of wires in mm"
    )
    verb.add_argument(
        "--channel",
        type=channel,
        metavar="WxH",
        help="width and height of the channel for them in mm; its diameter if it is round",
    )


def _add_planning(verb: Parser) -> None:
    verb.add_argument("project", type=Path, metavar="PROJECT", help="project folder")
    verb.add_argument("--now", metavar="T", help="plan from this moment; else from the present")
    verb.add_argument(
        "--seed", type=seed, default=0, metavar="N", help="starting number of the random draws"
    )


def _verb(verbs: "argparse._SubParsersAction[Parser]", name: str, text: str) -> Parser:
    verb = verbs.add_parser(name, help=text, description=text, allow_abbrev=False)
    verb.add_argument("--json", action="store_true", help="print one JSON document")
    return verb
