"""The entry point: what the user typed, and whatever goes wrong, in one line and an exit status."""

from __future__ import annotations

import atexit
import contextlib
import gc
import os
import signal
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NoReturn

from .. import __version__
from ..source.refused import Refused, one_line
from .exit import Exit
from .streams import OutputClosed, say, write_stdout

SELDOM = 1_000_000
"""New objects after which the interpreter looks for reference cycles. A score is a great many objects and hardly a
cycle among them, so that looking as often as Python does by itself costs time and finds nothing."""


def run() -> int:
    """The whole process: :func:`main`, with the garbage collector kept out of the way.

    As it ends the interpreter would search all objects for cycles once more, only to free what the system takes back
    at once: with a long score that was a sixth of the time.
    """
    gc.set_threshold(SELDOM, *gc.get_threshold()[1:])
    try:
        return main()
    finally:
        gc.freeze()


def process() -> NoReturn:
    """What the installed program does: :func:`run`, and then no more than leaving.

    An interpreter on its way out takes apart, object by object, all that it holds; the system takes it back at once.
    Where what is written can't be flushed, the interpreter ends as it always does, and says so.
    """
    status = run()
    try:
        for stream in (sys.stdout, sys.stderr):
            if stream is not None:
                stream.flush()
    except (OSError, ValueError):
        sys.exit(status)
    atexit._run_exitfuncs()
    os._exit(status)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command line (without the program's name; default: the process's own) and return the exit status."""
    try:
        with _told_to_end():
            return _run(sys.argv[1:] if arguments is None else list(arguments))
    except SystemExit as error:  # argparse has said what there is to say
        return error.code if isinstance(error.code, int) else Exit.REFUSED
    except Refused as error:
        say(error)
    except OutputClosed:
        say("lyfinger: standard output was closed before all was written")
    except KeyboardInterrupt:
        say("lyfinger: interrupted")
    except RecursionError:
        say("lyfinger: the music is nested too deeply to be followed")
    except MemoryError:
        say("lyfinger: out of memory")
    except OSError as error:
        say(one_line(f"lyfinger: {error.filename or 'the system'}: {error.strerror or error}"))
    except Exception as error:  # a fault of ours, and still no reason to pour a traceback over a build
        say(one_line(f"lyfinger: internal error, please report it: {_fault(error)}"))
    return Exit.REFUSED


_A_MOMENT = 0.001
"""Seconds."""


class _Told(KeyboardInterrupt):
    """The very class of an interruption from the keyboard has the interpreter end by that signal, caught or not, where
    it is raised inside ``eval``, which defines named tuples."""


@contextlib.contextmanager
def _told_to_end() -> Iterator[None]:
    """A signal to end is an interruption, as from the keyboard, so that what is half done is put away.

    Where Python lets no exception out (what a weak reference calls, as the import of a module does), it would be
    printed and forgotten: there it is raised again a moment later.
    """
    print_unraisable = sys.unraisablehook

    def interrupt(*_: object) -> None:
        raise _Told

    def again(unraisable: sys.UnraisableHookArgs) -> None:
        if not issubclass(unraisable.exc_type, KeyboardInterrupt):
            print_unraisable(unraisable)
        else:
            _ring_in(_A_MOMENT)

    numbers = [getattr(signal, name) for name in ("SIGTERM", "SIGALRM") if hasattr(signal, name)]
    try:
        before = [(number, signal.signal(number, interrupt)) for number in numbers]
    except ValueError:  # only the main thread may say what becomes of a signal
        yield
        return
    sys.unraisablehook = again
    try:
        yield
    finally:
        sys.unraisablehook = print_unraisable
        _ring_in(0)
        for number, handler in before:
            signal.signal(number, handler)


def _ring_in(seconds: float) -> None:
    """Have the alarm ring; 0 stops one that was set. Windows has none."""
    if hasattr(signal, "setitimer"):
        signal.setitimer(signal.ITIMER_REAL, seconds)


def _run(arguments: list[str]) -> int:
    """Run the chosen command; only its own modules are loaded, and for the version, which scripts ask for, none."""
    if arguments == ["--version"]:
        write_stdout(f"lyfinger {__version__}\n".encode())
        return Exit.DONE
    from .options import build_parser

    options = build_parser(arguments[0] if arguments else None).parse_args(arguments)
    if options.command == "mark":
        from .mark import mark

        return mark(options)
    if options.command == "notes":
        from .notes import notes

        return notes(options)
    if options.command == "explain":
        from .explain import explain

        return explain(options)
    if options.command == "proof":
        from .proof import proof

        return proof(options)
    if options.command == "serve-editor":
        from .serve_editor import serve_editor

        return serve_editor(options)
    if options.command == "clear":
        from .clear import clear

        return clear(options)
    if options.command == "diff":
        from .diff import diff

        return diff(options)
    if options.command == "pedals":
        from .pedals import pedals

        return pedals(options)
    if options.command == "rules":
        from .rules import rules

        return rules(options)
    if options.command == "completion":
        from .completion import completion

        return completion(options)
    from .check import check

    return check(options)


def _fault(error: Exception) -> str:
    """What went wrong and where, in one line."""
    frame = error.__traceback__
    while frame is not None and frame.tb_next is not None:
        frame = frame.tb_next
    where = f" at {Path(frame.tb_frame.f_code.co_filename).name}:{frame.tb_lineno}" if frame is not None else ""
    return f"{type(error).__name__}: {error}{where}"
