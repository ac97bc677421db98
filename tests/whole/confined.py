"""A call in a process of its own, with so much time and memory and no more."""

from __future__ import annotations

import os
import pickle
import resource
import signal
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

#: Bytes beyond what the process has when it begins.
MEMORY = 1 << 30
#: Seconds of processor time; whatever takes more is taken for endless.
PROCESSOR = 20
#: Seconds by the clock; whatever takes more waits for something.
PATIENCE = 120


@dataclass(frozen=True)
class Ended:
    """What a call gave, or, where it gave nothing, how its process came to its end. ``seconds`` are by the clock."""

    value: Any
    fault: str
    seconds: float


def confined(call: Callable[[], Any]) -> Ended:
    """Run ``call`` in a copy of this process, within limits. Its value must be picklable."""
    started = time.monotonic()
    here, there = os.pipe()
    child = os.fork()
    if child == 0:
        _work(call, there)
    os.close(there)
    with os.fdopen(here, "rb") as answer:
        data = answer.read()
    _, status = os.waitpid(child, 0)
    seconds = time.monotonic() - started
    if os.WIFSIGNALED(status):
        return Ended(None, _cause(os.WTERMSIG(status)), seconds)
    value, fault = pickle.loads(data) if data else (None, f"it exited with {os.WEXITSTATUS(status)}")
    return Ended(value, fault, seconds)


def _work(call: Callable[[], Any], there: int) -> None:
    fault, value = "", None
    try:
        _limit()
        value = call()
    except BaseException:
        fault = traceback.format_exc()
    try:
        with os.fdopen(there, "wb") as answer:
            answer.write(pickle.dumps((value, fault)))
    finally:
        os._exit(0)


def _limit() -> None:
    with open("/proc/self/statm", encoding="ascii") as statm:
        has = int(statm.read().split()[0]) * resource.getpagesize()
    resource.setrlimit(resource.RLIMIT_AS, (has + MEMORY, has + MEMORY))
    used = int(time.process_time())
    resource.setrlimit(resource.RLIMIT_CPU, (used + PROCESSOR, used + PROCESSOR + 2))
    signal.alarm(PATIENCE)


def _cause(number: int) -> str:
    if number == signal.SIGXCPU:
        return f"it took more than {PROCESSOR} s"
    if number == signal.SIGALRM:
        return f"it waited for more than {PATIENCE} s"
    return f"ended by {signal.Signals(number).name}"
