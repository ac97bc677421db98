"""Copies of this process that each do a share of the work: in one stroke, or in two with a word from the first process
in between."""

from __future__ import annotations

import io
import os
import pickle
import signal
from collections.abc import Callable, Iterable, Mapping, Sequence
from types import TracebackType
from typing import TYPE_CHECKING, Any, Generic, NamedTuple, TypeVar

from ..source.messages import Refused

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.context import ForkProcess

UNTIMELY = "a process of --jobs came to an untimely end; nothing is written"

Share = TypeVar("Share")
Told = TypeVar("Told")


class Unlike(Exception):
    """What several processes have found does not fit together."""


class Strokes(NamedTuple, Generic[Share, Told]):
    """What a copy does: ``first`` takes its share, ``then``, if there is more to do, what the first process has made of
    all that was told.

    What ``first`` returns is handed over as it is; ``then`` returns bytes.
    """

    first: Callable[[Share], Told]
    then: Callable[[Any], bytes] | None = None


class _Member(NamedTuple):
    """A copy, and this process's ends of the two pipes: what it tells, and the word that it is given."""

    process: ForkProcess
    told: Connection
    word: Connection


class Crew(Generic[Share, Told]):
    """A copy of this process for each share, begun at once; all are ended with the block, however it ends."""

    def __init__(self, strokes: Strokes[Share, Told], shares: Iterable[Share]) -> None:
        self._strokes = strokes
        self._shares = list(shares)
        self._members: list[_Member] = []

    def __enter__(self) -> Crew[Share, Told]:
        import multiprocessing

        system = multiprocessing.get_context("fork")
        try:
            for share in self._shares:
                told, telling = system.Pipe(duplex=False)  # one with two ways would be a socket
                hearing, word = system.Pipe(duplex=False)
                own = [told, word, *(pipe for member in self._members for pipe in (member.told, member.word))]
                arguments = (self._strokes, share, hearing, telling, own)
                process = system.Process(target=_work, args=arguments, daemon=True)
                self._members.append(_Member(process, told, word))
                _deaf_while(process.start)
                hearing.close()
                telling.close()
        except BaseException:
            self._end()
            raise
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self._end()

    def told(self) -> list[Told]:
        """What the first stroke of each came to, in the order of the shares.

        Raises what stopped any of them, and Refused if one has come to an untimely end.
        """
        return [_received(member.told) for member in self._members]

    def tell(self, words: Sequence[object]) -> None:
        """Tell each what its second stroke is about. Raises Refused if one has come to an untimely end."""
        for member, word in zip(self._members, words, strict=True):
            try:
                member.word.send(word)
            except OSError as error:
                raise Refused(UNTIMELY) from error

    def done(self) -> list[bytes]:
        """What the second stroke of each came to; raises as :meth:`told`."""
        return [_received(member.told) for member in self._members]

    def _end(self) -> None:
        for process, told, word in self._members:
            told.close()
            word.close()
            if process.pid is not None:
                process.terminate()
                process.join()


def _deaf_while(call: Callable[[], None]) -> None:
    """Copy this process with signals held back, so that none meets a copy before it knows what they mean to it."""
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM, signal.SIGALRM})
    try:
        call()
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _work(
    strokes: Strokes[Share, Told], share: Share, hearing: Connection, telling: Connection, others: Sequence[Connection]
) -> None:
    """What a copy does. It ends without taking apart what it holds, and when the first process is no more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the first process hears of it too, and ends this one
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT, signal.SIGTERM, signal.SIGALRM})
    for other in others:
        other.close()
    try:
        try:
            telling.send(strokes.first(share))
            if strokes.then is not None:
                word = hearing.recv()
                telling.send(strokes.then(word))
        except (EOFError, BrokenPipeError):
            pass
        except Exception as error:
            telling.send(error)
    finally:
        os._exit(0)


def _received(pipe: Connection) -> Any:
    try:
        found = pipe.recv()
    except (EOFError, ConnectionError) as error:
        raise Refused(UNTIMELY) from error
    if isinstance(found, BaseException):
        raise found
    return found


Ticket = tuple[object, ...]
"""A name by which two processes know the same thing."""


class _Sealer(pickle.Pickler):
    def __init__(self, stream: io.BytesIO, tickets: Mapping[int, Ticket]) -> None:
        super().__init__(stream, pickle.HIGHEST_PROTOCOL)
        self._tickets = tickets

    def persistent_id(self, found: object) -> Ticket | None:
        return self._tickets.get(id(found))


class _Opener(pickle.Unpickler):
    def __init__(self, data: bytes, things: Mapping[Ticket, object]) -> None:
        super().__init__(io.BytesIO(data))
        self._things = things

    def persistent_load(self, ticket: Ticket) -> object:
        if ticket not in self._things:
            raise Unlike(f"only one process knows {ticket}")
        return self._things[ticket]


def sealed(value: object, known: Iterable[tuple[Ticket, object]]) -> bytes:
    """A value as bytes for another process, which has what is ``known`` by the same tickets."""
    stream = io.BytesIO()
    _Sealer(stream, {id(thing): ticket for ticket, thing in known}).dump(value)
    return stream.getvalue()


def opened(data: bytes, things: Mapping[Ticket, object]) -> Any:
    """What :func:`sealed` has made bytes of, with the things of this process in place of the known ones.

    Raises Unlike if one of them is not among these.
    """
    return _Opener(data, things).load()
