"""The standard streams: bytes out, untouched; lines of text on standard error."""

from __future__ import annotations

import contextlib
import os
import sys

from ..source.refused import Refused


class OutputClosed(Exception):
    """Whoever read standard output has gone away."""


def read_stdin() -> bytes:
    """All bytes of standard input. Raises Refused if there is none."""
    if sys.stdin is None:
        raise Refused("there is no standard input to read")
    return sys.stdin.buffer.read()


def write_stdout(data: bytes) -> None:
    """Write bytes to standard output as they are. Raises OutputClosed, or Refused if they can't be written."""
    if sys.stdout is None:
        raise Refused("there is no standard output to write to")
    try:
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
    except BrokenPipeError as error:
        _silence_stdout()
        raise OutputClosed from error
    except OSError as error:
        _silence_stdout()
        raise Refused(f"can't write standard output: {error.strerror or error}") from error


def write_text(text: str) -> None:
    """Write text to standard output, file names in it as the bytes that they are. Raises as :func:`write_stdout`."""
    write_stdout(text.encode("utf-8", "surrogateescape"))


def say(line: object) -> None:
    """One line on standard error; if that is gone, there is nobody to tell."""
    if sys.stderr is not None:
        with contextlib.suppress(OSError, ValueError):
            print(line, file=sys.stderr, flush=True)


def _silence_stdout() -> None:
    """Drop what is still buffered, so that the interpreter does not try to write it on its way out."""
    with contextlib.suppress(OSError, ValueError):
        handle = os.open(os.devnull, os.O_WRONLY)
        os.dup2(handle, sys.stdout.fileno())
        os.close(handle)
