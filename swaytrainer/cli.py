"""The command line. Nothing heavy is imported before it is known what is wanted."""

from __future__ import annotations

import argparse
import errno
import io
import sys
from collections.abc import Sequence
from pathlib import Path

from swaytrainer import __version__
from swaytrainer.errors import SwaytrainerError
from swaytrainer.words import tr

_EPILOG = """\
Without a command, the gym screen opens: it finds the board and is ready for the first vaulter.

Standing on a board, and more so on something unstable, can make you fall: mat, clear floor,
somebody near, bare feet or vaulting shoes; stop on pain or dizziness. Your coach and your club's
rules decide. A training aid, no medical device.
"""


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="swaytrainer",
        description="Balance-board training for vaulters.",
        epilog=_EPILOG,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"swaytrainer {__version__}")
    parser.add_argument("--home", type=Path, metavar="DIR", help="the data folder")
    parser.add_argument("--port", metavar="URL", help="the board's port; searched for if not given")
    parser.add_argument("--vaulter", metavar="NAME", help="who trains, to begin with")
    parser.add_argument("--level", metavar="ID", help="the level to begin with")
    parser.add_argument(
        "--spotter", action="store_true", help="a coach or spotter stands by: offer all levels"
    )
    parser.add_argument(
        "--station",
        metavar="NAME",
        help="this board's, where the plan or a hall has several; else the computer's",
    )
    parser.add_argument(
        "--contest", type=Path, metavar="FILE", help="call in the order of this competition"
    )
    parser.add_argument(
        "--first-steps", action="store_true", help="find the board, teach it, add a vaulter"
    )
    parser.add_argument("--full-screen", action="store_true", help="fill the display")
    _heard(parser)
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands")

    _demo(commands)

    _analyse(commands)

    replay = commands.add_parser("replay", help="see a recording again, with the identical mark")
    replay.add_argument("file", type=Path)
    replay.add_argument("--speed", type=float, default=1.0, metavar="X", help="times real time")
    replay.add_argument("--fast", action="store_true", help="without a screen, at once")
    replay.add_argument("--json", action="store_true", help="with --fast: the outcomes as JSON")

    _vaulter(commands)

    feet = commands.add_parser("feet", help="find a vaulter's heels and balls, in half a minute")
    feet.add_argument("name", help="a vaulter who is in the list")
    feet.add_argument(
        "--screen",
        action=argparse.BooleanOptionalAction,
        default=None,
        help="show the soles; as a rule if there is a display",
    )

    _calibrate_and_check(commands)

    board = commands.add_parser("board", help="find the board and show how it is")
    board.add_argument(
        "--seconds",
        type=float,
        metavar="N",
        help="to listen; else 5, or until Ctrl-C in a terminal and Esc on the screen",
    )
    board.add_argument(
        "--screen", action="store_true", help="large, with a picture of the plate: read it from 3 m"
    )

    simulate = commands.add_parser("simulate", help="a simulated board to try everything else on")
    simulate.add_argument("--pty", action="store_true", help="on a pseudo-terminal, not on TCP")
    simulate.add_argument("--tcp-port", type=int, default=0, metavar="N", help="0: any free one")
    simulate.add_argument("--manner", default="ordinary", metavar="NAME", help="how it stands")
    simulate.add_argument("--seed", type=int, default=1, metavar="N")
    simulate.add_argument("--calibrate", action="store_true", help="first put 20 kg on the marks")
    simulate.add_argument("--check", action="store_true", help="then do what 'check' asks for")
    simulate.add_argument("--feet", action="store_true", help="first do what 'feet' asks for")
    simulate.add_argument("--two-plates", action="store_true", help="one for each foot")
    simulate.add_argument("--fault", metavar="NAME", help="from then on: dead-cell, loose-screw, …")

    _list(commands)
    commands.add_parser("office", help="the coach's desk: a window for all of this")
    menu = commands.add_parser("menu", help="an icon in the desktop's menu (Linux)")
    menu.add_argument("--remove", action="store_true", help="take it away again")
    _records(commands)
    _squad(commands)
    _scope(commands)
    return parser


def _demo(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    demo = commands.add_parser(
        "demo", help="a simulated vaulter on a simulated board, start to end"
    )
    demo.add_argument("--seconds", type=float, default=20.0, metavar="N", help="of the trial")
    demo.add_argument("--out", type=Path, default=Path("swaytrainer-demo"), metavar="DIR")
    demo.add_argument("--seed", type=int, default=1, metavar="N", help="the same, the same mark")
    demo.add_argument("--tcp", action="store_true", help="over TCP instead of a pseudo-terminal")
    demo.add_argument(
        "--calibrated", action="store_true", help="straight to the trial, on a board that is known"
    )
    demo.add_argument("--off-screen", action="store_true", help="no window even if there is one")


def _vaulter(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    vaulter = commands.add_parser("vaulter", help="add or change a vaulter, or list all")
    vaulter.add_argument("name", nargs="?", help="a pseudonym suffices")
    vaulter.add_argument("--foot-length", type=float, metavar="MM", help="else 240")
    vaulter.add_argument("--stance-width", type=float, metavar="MM", help="else 200")
    vaulter.add_argument("--height", type=float, metavar="MM")
    vaulter.add_argument("--born", type=int, metavar="YEAR", help="for classes by age")
    vaulter.add_argument("--group", metavar="NAME", help='class or group; "" takes it away')
    vaulter.add_argument(
        "--caution",
        metavar="TEXT",
        help='what to think of before this vaulter steps on; shown on the gym\'s screen to all; ""'
        " takes it away",
    )


def _scope(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    scope = commands.add_parser(
        "scope", help="the coach's window: the running recording, or one or two old ones"
    )
    scope.add_argument(
        "files", nargs="*", type=Path, metavar="RECORDING", help="else the one that grows"
    )
    scope.add_argument(
        "--plate-mass", type=float, metavar="KG", help="what lies on the cells without the body"
    )


def _heard(parser: argparse.ArgumentParser) -> None:
    heard = parser.add_argument_group("what is heard")
    heard.add_argument("--mute", action="store_true", help="no sound")
    heard.add_argument("--volume", type=float, default=1.0, metavar="X", help="0 to 1, else 1")
    heard.add_argument(
        "--sound-device",
        metavar="NAME",
        help="or a part of its name, else the usual one; an unknown name lists them",
    )
    heard.add_argument("--language", metavar="CODE", help="en or de; else the system's")


def _records(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    _progress(commands)
    _report(commands)
    _index(commands)
    _backup(commands)
    _person(commands)
    _export(commands)


def _squad(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    squad = commands.add_parser("squad", help="tonight's plan: who is next, who is due")
    squad.add_argument(
        "do",
        nargs="?",
        choices=("begin", "missed", "away", "back"),
        help="begin: write a plan to change; else what a vaulter is",
    )
    squad.add_argument("name", nargs="?", help="which vaulter")
    contest = commands.add_parser("contest", help="a competition: who is next, the standings")
    contest.add_argument("file", type=Path, help="what the coach wrote: level, classes, teams")
    contest.add_argument(
        "do",
        nargs="?",
        choices=("begin", "rule", "stand-off"),
        help="begin: write a file to change; rule: withdrawn NAME, or repeat RECORDING TRIAL, with"
        " --reason; stand-off: of the names that follow",
    )
    contest.add_argument(
        "what", nargs="*", default=[], metavar="WHAT", help="of rule and stand-off: see there"
    )
    contest.add_argument("--reason", metavar="TEXT", help="of a ruling")
    contest.add_argument(
        "--trials", action="store_true", help="also every trial, to name in a ruling"
    )
    contest.add_argument("--csv", type=Path, metavar="OUT", help="also the standings as a table")
    contest.add_argument("--html", type=Path, metavar="OUT", help="also as a page, one file")
    contest.add_argument("--pdf", type=Path, metavar="OUT", help="also as a page to print")
    scoreboard = commands.add_parser(
        "scoreboard", help="a competition's standings on the hall's big screen"
    )
    scoreboard.add_argument("file", type=Path, help="the competition's file")
    # As the gym's: whoever opens it for the hall writes it behind the file.
    scoreboard.add_argument("--full-screen", action="store_true", default=argparse.SUPPRESS)
    ladder = commands.add_parser(
        "ladder", help="what comes next for a vaulter, and the coach's word"
    )
    ladder.add_argument("name", nargs="?", help="a vaulter; else all")
    ladder.add_argument(
        "--set", metavar="ID", help="the coach's word: this level from now on, with --note"
    )
    ladder.add_argument("--note", metavar="TEXT", help="why, in one line")


def _list(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    listing = commands.add_parser("list", help="the recordings there are")
    listing.add_argument("--levels", action="store_true", help="the levels instead, by their ids")


def _progress(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    progress = commands.add_parser("progress", help="a real change, or just another day?")
    progress.add_argument("name", nargs="?", help="a vaulter; else all")
    progress.add_argument(
        "--squad", action="store_true", help="a line for each: who moves, who is stuck, who is due"
    )
    progress.add_argument(
        "--measure", action="append", metavar="KEY", help="give it again for each further measure"
    )
    progress.add_argument(
        "--block-days", type=int, default=3, metavar="N", help="the newest N days against the first"
    )
    progress.add_argument("--since", metavar="DATE", help="begin anew there, as 2026-09-01")
    progress.add_argument("--json", action="store_true", help="JSON instead of text")
    progress.add_argument("--csv", type=Path, metavar="FILE", help="a row for each measure")


def _report(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    report = commands.add_parser("report", help="one page about a vaulter, or the squad's")
    report.add_argument("name", nargs="?", help="a vaulter")
    report.add_argument("--squad", action="store_true", help="the squad's table instead")
    report.add_argument(
        "-o", dest="output", type=Path, metavar="FILE", required=True, help="an .html or .pdf file"
    )
    report.add_argument("--sentence", metavar="TEXT", help="the coach's own, on the page")


def _index(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    index = commands.add_parser(
        "index", help="the database of all recordings, made from them or brought up to date"
    )
    index.add_argument("--rebuild", action="store_true", help="all of it anew")
    index.add_argument(
        "--check", action="store_true", help="compute every trial again: is it as it was shown?"
    )
    _hall(index)
    index.add_argument("--station", metavar="NAME", help="this one's; else the computer's")
    index.add_argument(
        "--squad",
        action="store_true",
        help="list all vaulters; with --vaulter (before) one's trials",
    )


def _hall(command: argparse.ArgumentParser) -> None:
    command.add_argument(
        "--hall",
        metavar="URL",
        help="also the index of all stations, postgresql://user@server/database; a password belongs"
        " in PostgreSQL's own password file",
    )


def _backup(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    backup = commands.add_parser("backup", help="the whole data folder in one file")
    backup.add_argument("file", type=Path, help="a new one; it holds personal data")
    restore = commands.add_parser("restore", help="a backup back into an empty data folder")
    restore.add_argument("file", type=Path)
    restore.add_argument(
        "--erased",
        type=Path,
        metavar="FILE",
        help="a newer erased.json: keeps its persons out, as the data folder's own does",
    )


def _export(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    export = commands.add_parser("export", help="a recorded trial for another program")
    export.add_argument("file", type=Path, help="a recording")
    export.add_argument(
        "--as", dest="format", required=True, choices=("csv", "parquet", "c3d"), help="the format"
    )
    export.add_argument(
        "-o", "--output", type=Path, required=True, metavar="FILE", help="a new one"
    )
    export.add_argument("--trial", type=int, metavar="N", help="which, if there are several")
    stream = commands.add_parser(
        "stream", help="a board's force and COP live on the local network (Lab Streaming Layer)"
    )
    stream.add_argument("--seconds", type=float, metavar="N", help="else until Ctrl-C")


def _person(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    person = commands.add_parser(
        "person",
        help="hand out or erase all that is kept of one person",
        description="What the General Data Protection Regulation, (EU) 2016/679, gives everybody:"
        " access (article 15) and a copy for other programs (article 20) with 'export', erasure"
        " (article 17) with 'erase'. When a club must do it, its own rules and advisers say.",
    )
    what = person.add_subparsers(dest="what", metavar="export|erase", required=True)
    export = what.add_parser("export", help="articles 15 and 20: one zip with all of it")
    export.add_argument("name")
    export.add_argument(
        "-o", "--output", type=Path, required=True, metavar="FILE", help="a new zip"
    )
    erase = what.add_parser(
        "erase", help="article 17: all of it, for good; older backups don't bring it back"
    )
    erase.add_argument("name")
    _hall(erase)
    erase.add_argument("--yes", action="store_true", help="without typing the name once more")


def _analyse(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    analyse = commands.add_parser(
        "analyse", help="the measures of recordings, CSV tables and C3D files"
    )
    analyse.add_argument(
        "files",
        nargs="+",
        metavar="FILE",
        help="recordings, CSV (corner loads, or COP; gzipped too), C3D; folders; quoted patterns",
    )
    analyse.add_argument(
        "--as",
        dest="family",
        default="standing",
        metavar="NAME",
        help="the family of measures, else standing; an unknown name lists them",
    )
    analyse.add_argument("--no-filter", action="store_true", help="use the loads as they are")
    analyse.add_argument("--json", action="store_true", help="JSON instead of a table")
    analyse.add_argument("--csv", type=Path, metavar="OUT", help="also a table, one row a trial")
    analyse.add_argument(
        "--plot", type=Path, metavar="PNG", help="also a picture; of several trials one each"
    )
    analyse.add_argument(
        "--empty",
        type=Path,
        metavar="FILE",
        help="the same plate empty or under a dead weight: tells the noise floor",
    )
    loads = analyse.add_argument_group("CSV of corner loads")
    loads.add_argument("--half-width", type=float, metavar="MM", help="cells at x = ±MM")
    loads.add_argument("--half-depth", type=float, metavar="MM", help="cells at y = ±MM")
    analyse.add_argument(
        "--plate-mass",
        type=float,
        metavar="KG",
        help="what lies on the cells without the body: with an accelerometer it is taken out",
    )
    feet = analyse.add_argument_group("where the feet stood (a recording knows it)")
    feet.add_argument("--foot-length", type=float, metavar="MM", help="heel to toe")
    feet.add_argument("--stance-width", type=float, metavar="MM", help="middle to middle")
    feet.add_argument("--heel-line", type=float, metavar="MM", help="y of the backs of the heels")
    feet.add_argument(
        "--band",
        type=float,
        nargs=2,
        default=(35.0, 50.0),
        metavar=("LOW", "HIGH"),
        help="of the toe share, %%; else 35 50",
    )
    c3d = analyse.add_argument_group("C3D")
    c3d.add_argument("--plate", metavar="N", help="which force plate, from 1; or 'all' as one")
    c3d.add_argument(
        "--forward-edge",
        choices=("12", "23", "34", "41"),
        default="12",
        help="the plate's edge that the toes point to, by its corners; else 12",
    )


def _calibrate_and_check(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    calibrate = commands.add_parser("calibrate", help="teach a board its newtons with known masses")
    calibrate.add_argument(
        "--mass",
        type=float,
        required=True,
        action="append",
        metavar="KG",
        help="weighed; give it again for each further mass",
    )
    calibrate.add_argument(
        "--mass-within", type=float, default=0.05, metavar="KG", help="± of each mass: the scale's"
    )
    calibrate.add_argument(
        "--placed-within", type=float, default=1.5, metavar="MM", help="± of a mass on its mark"
    )
    calibrate.add_argument("--half-width", type=float, default=220.0, metavar="MM")
    calibrate.add_argument("--half-depth", type=float, default=170.0, metavar="MM")
    calibrate.add_argument(
        "--cell-kg", type=float, default=200.0, metavar="KG", help="capacity of a load cell"
    )
    calibrate.add_argument("--picture", type=Path, metavar="PNG", help="of the residuals")

    check = commands.add_parser("check", help="accept or refuse a board, in a minute")
    check.add_argument("--mass", type=float, required=True, metavar="KG", help="a known mass")
    check.add_argument(
        "--fix", action="store_true", help="keep a corrected calibration without asking"
    )
    calibrate.add_argument(
        "--plates-apart", type=float, metavar="MM", help="two plates: from middle to middle"
    )
    for command in (calibrate, check):
        command.add_argument(
            "--plate", choices=("left", "right"), help="which one, of a board with two plates"
        )
        command.add_argument(
            "--screen",
            action=argparse.BooleanOptionalAction,
            default=None,
            help="show the plate; as a rule if there is a display",
        )
        command.add_argument("--latitude", type=float, metavar="DEG", help="where the board stands")
        command.add_argument("--height-m", type=float, default=0.0, metavar="M", help="so high")
        command.add_argument("--gravity", type=float, metavar="M_S2", help="if it is known")


def parsed(arguments: Sequence[str] | None = None) -> argparse.Namespace:
    """What was asked for on the command line; leaves where that is nothing we know."""
    return _parser().parse_args(arguments)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program in a terminal; its exit status."""
    options = parsed(arguments)
    for stream in (sys.stdout, sys.stderr):
        # A redirected stream may not know a minus sign or an umlaut: better a "?" than no table.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")
    try:
        status = run(options)
        sys.stdout.flush()
        return status
    except SwaytrainerError as error:
        said = f"{tr(error.what)} {tr(error.remedy)}".strip()
        print(f"swaytrainer: {said}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        # Whoever read our output (a pager) has seen enough.
        sys.stderr.close()
        return 0
    except OSError as error:
        if error.errno != errno.ENOSPC:
            raise
        print("swaytrainer: There is no space left for the output. Free some.", file=sys.stderr)
        sys.stdout = None  # what waits in it can't be written at the end either
        return 1


def run(options: argparse.Namespace) -> int:
    """Do what was asked for; its exit status.

    Raises:
        SwaytrainerError: what is wrong, and what to do.
    """
    from swaytrainer.app.language import choose_language

    choose_language(options.language)
    if options.command == "analyse":
        from swaytrainer.app import analyse

        return analyse.run(options)
    if options.command == "demo":
        from swaytrainer.app.demo import demo

        return demo(options)
    if options.command == "replay":
        from swaytrainer.app.replay import replay

        return replay(options)
    if options.command == "simulate":
        from swaytrainer.app.simulate import simulate

        return simulate(options)
    if options.command == "menu":
        from swaytrainer.app.menu import menu

        return menu(options)
    if options.command is None:
        from swaytrainer.app.gym_command import gym

        return gym(options)
    from swaytrainer.app import clerk

    return clerk.run(options)


if __name__ == "__main__":
    sys.exit(main())
