"""``lyfinger serve-editor``: the Language Server Protocol, spoken by pygls, over what the desk knows.

One worker thread does all analysis, in the order asked; the event loop only waits. So the desk needs no lock.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TypeVar

from lsprotocol import types
from pygls.lsp.server import LanguageServer
from pygls.uris import from_fs_path, to_fs_path

from .. import __version__
from ..source.messages import Message, Severity
from ..source.text import Place, SourceFile
from .actions import Action, TextChange, actions
from .analysis import Analysis, Unreadable, Wishes
from .desk import Desk
from .hover import hover
from .positions import Positions, Unit

QUIET = 0.15
"""Seconds without a keystroke before the findings are worked out anew."""

_SEVERITY = {
    Severity.ERROR: types.DiagnosticSeverity.Error,
    Severity.WARNING: types.DiagnosticSeverity.Warning,
    Severity.NOTE: types.DiagnosticSeverity.Information,
}
_NAME = "lyfinger"
_WORD_END = frozenset(" \t\r\n<>{}|%")
Result = TypeVar("Result")
Diagnostics = dict[str, list[types.Diagnostic]]


class EditorServer(LanguageServer):
    """The server of one editor, with its desk."""

    def __init__(self, wishes: Wishes) -> None:
        super().__init__(_NAME, __version__, text_document_sync_kind=types.TextDocumentSyncKind.Full)
        self.desk = Desk(wishes)
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="analysis")
        self._waiting: dict[str, asyncio.Task[None]] = {}
        self._shown: dict[str, Diagnostics] = {}
        self._uris: dict[Path, str] = {}

    @property
    def unit(self) -> Unit:
        """What the positions of this editor count."""
        encoding = self.workspace.position_encoding
        return Unit(getattr(encoding, "value", encoding) or "utf-16")

    async def work(self, job: Callable[[], Result]) -> Result:
        """Do something on the worker thread."""
        return await asyncio.get_running_loop().run_in_executor(self._worker, job)

    def changed(self, uri: str, text: str, *, quiet: float) -> None:
        """Take a text over, and show its findings once no other change has come for ``quiet`` seconds."""
        path = path_of(uri)
        if path is None:
            return
        self._uris[path] = uri
        if (task := self._waiting.pop(uri, None)) is not None:
            task.cancel()
        self._waiting[uri] = asyncio.ensure_future(self._show_later(uri, path, text, quiet))

    async def _show_later(self, uri: str, path: Path, text: str, quiet: float) -> None:
        await self.work(lambda: self.desk.put(path, text))
        await asyncio.sleep(quiet)
        found = await self.work(lambda: self._diagnostics(path))
        self._publish(uri, found)

    async def closed(self, uri: str) -> None:
        """Forget a text, and what was shown because of it."""
        if (task := self._waiting.pop(uri, None)) is not None:
            task.cancel()
        if (path := path_of(uri)) is not None:
            await self.work(lambda: self.desk.drop(path))
            self._publish(uri, {})
            self._shown.pop(uri, None)
            self._uris.pop(path, None)

    async def renew(self) -> None:
        """Files on disk have changed: work everything out anew."""
        await self.work(self.desk.renew)
        for uri, document in self.workspace.text_documents.items():
            self.changed(uri, document.source, quiet=0)

    def _publish(self, uri: str, found: Diagnostics) -> None:
        """Show the findings that an open file led to. Those of other open files stay, and each is shown once."""
        touched = {uri, *self._shown.get(uri, ()), *found}
        self._shown[uri] = found
        for target in sorted(touched):
            once: dict[str, types.Diagnostic] = {}
            for shown in self._shown.values():
                for one in shown.get(target, ()):
                    once.setdefault(f"{one.range}{one.code}{one.message}", one)
            self.text_document_publish_diagnostics(types.PublishDiagnosticsParams(target, list(once.values())))

    def _diagnostics(self, path: Path) -> Diagnostics:
        known = self.desk.of(path)
        shown: Diagnostics = {}
        if isinstance(known, Unreadable):
            place = known.why.place
            where = self._range(place, None) if place else types.Range(types.Position(0, 0), types.Position(0, 0))
            uri = self.uri_of(place.file) if place else self._uris[path]
            shown[uri] = [_diagnostic(where, Severity.ERROR, known.why.text, None)]
            return shown
        for message in known.findings:
            shown.setdefault(self.uri_of(message.place.file), []).append(self._shown_as(message))
        return shown

    def uri_of(self, file: SourceFile) -> str:
        """The document of a file, by the name that the editor has for it if it is open."""
        path = os.path.realpath(file.path or file.name)
        return self._uris.get(Path(path)) or str(from_fs_path(path))

    def _shown_as(self, message: Message) -> types.Diagnostic:
        bar = f" (bar {message.bar})" if message.bar is not None else ""
        return _diagnostic(
            self._range(message.place, message.end), message.severity, f"{message.text}{bar}", message.rule
        )

    def _range(self, place: Place, end: Place | None) -> types.Range:
        """The word at a place; with an end in the same file, all from the one to the other."""
        text = place.file.text
        stop = min(place.offset + 1, len(text))
        if end is not None and end.file is place.file:
            stop = min(end.offset + 1, len(text))
        while stop < len(text) and text[stop] not in _WORD_END:
            stop += 1
        return self.range_of(place.file, place.offset, stop)

    def range_of(self, file: SourceFile, start: int, stop: int) -> types.Range:
        """Two offsets of a file, as the editor counts."""
        positions = Positions(file.text, self.unit)
        return types.Range(types.Position(*positions.of(start)), types.Position(*positions.of(stop)))


def _diagnostic(where: types.Range, severity: Severity, text: str, rule: str | None) -> types.Diagnostic:
    return types.Diagnostic(where, text, severity=_SEVERITY[severity], source=_NAME, code=rule)


def path_of(uri: str) -> Path | None:
    """The real path of a document; None for one that is no file."""
    name = to_fs_path(uri) if uri.startswith("file:") else None
    return Path(os.path.realpath(name)) if name else None


def build(wishes: Wishes) -> EditorServer:
    """A server with all that it answers to."""
    server = EditorServer(wishes)
    _follow_texts(server)
    _answer(server)
    return server


def _follow_texts(server: EditorServer) -> None:
    @server.feature(types.TEXT_DOCUMENT_DID_OPEN)
    def opened(params: types.DidOpenTextDocumentParams) -> None:
        server.changed(params.text_document.uri, params.text_document.text, quiet=0)

    @server.feature(types.TEXT_DOCUMENT_DID_CHANGE)
    def changed(params: types.DidChangeTextDocumentParams) -> None:
        uri = params.text_document.uri
        server.changed(uri, server.workspace.get_text_document(uri).source, quiet=QUIET)

    @server.feature(types.TEXT_DOCUMENT_DID_SAVE)
    async def saved(params: types.DidSaveTextDocumentParams) -> None:
        await server.renew()

    @server.feature(types.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    async def watched(params: types.DidChangeWatchedFilesParams) -> None:
        await server.renew()

    @server.feature(types.TEXT_DOCUMENT_DID_CLOSE)
    async def closed(params: types.DidCloseTextDocumentParams) -> None:
        await server.closed(params.text_document.uri)


def _answer(server: EditorServer) -> None:
    @server.feature(types.TEXT_DOCUMENT_HOVER)
    async def why(params: types.HoverParams) -> types.Hover | None:
        found = await _ask(server, params.text_document.uri, lambda known, file: _hover(server, known, file, params))
        return found or None

    kinds = [types.CodeActionKind.RefactorRewrite, types.CodeActionKind.Source]

    @server.feature(types.TEXT_DOCUMENT_CODE_ACTION, types.CodeActionOptions(code_action_kinds=kinds))
    async def choices(params: types.CodeActionParams) -> list[types.CodeAction]:
        only = params.context.only
        found = await _ask(server, params.text_document.uri, lambda known, file: _choices(server, known, file, params))
        return [one for one in found or [] if one.kind and (only is None or _is_kind(one.kind, only))]


async def _ask(server: EditorServer, uri: str, answer: Callable[[Analysis, SourceFile], Result]) -> Result | None:
    """What the analysis of a document's score says; None where there is none just now."""
    path, text = path_of(uri), server.workspace.get_text_document(uri).source
    if path is None:
        return None

    def asked() -> Result | None:
        server.desk.put(path, text)
        known = server.desk.of(path)
        file = None if isinstance(known, Unreadable) else _file(known, path)
        return answer(known, file) if file is not None and isinstance(known, Analysis) else None

    return await server.work(asked)


def _file(known: Analysis, path: Path) -> SourceFile | None:
    root = known.root.reading.root
    return known.file(path) or (root if root.path is None and root.name == str(path) else None)


def _hover(server: EditorServer, known: Analysis, file: SourceFile, params: types.HoverParams) -> types.Hover | None:
    at = Positions(file.text, server.unit).offset(params.position.line, params.position.character)
    text = hover(known, Place(file, at))
    return types.Hover(types.MarkupContent(types.MarkupKind.PlainText, text)) if text else None


def _choices(
    server: EditorServer, known: Analysis, file: SourceFile, params: types.CodeActionParams
) -> list[types.CodeAction]:
    positions = Positions(file.text, server.unit)
    start, end = (positions.offset(at.line, at.character) for at in (params.range.start, params.range.end))
    return [_code_action(server, one) for one in actions(known, file, start, end)]


def _code_action(server: EditorServer, action: Action) -> types.CodeAction:
    kind = types.CodeActionKind.Source if action.whole else types.CodeActionKind.RefactorRewrite
    return types.CodeAction(action.title, kind=kind, edit=types.WorkspaceEdit(changes=_edits(server, action.changes)))


def _edits(server: EditorServer, changes: Iterable[TextChange]) -> dict[str, list[types.TextEdit]]:
    edits: dict[str, list[types.TextEdit]] = {}
    for change in changes:
        where = server.range_of(change.file, change.start, change.end)
        edits.setdefault(server.uri_of(change.file), []).append(types.TextEdit(where, change.text))
    return edits


def _is_kind(kind: str, only: Iterable[str]) -> bool:
    return any(kind == wanted or kind.startswith(f"{wanted}.") for wanted in only)


def serve(wishes: Wishes) -> None:
    """Serve an editor on standard input and output until it goes away."""
    with contextlib.suppress(KeyboardInterrupt):
        build(wishes).start_io()
