"""A client of the Language Server Protocol (pygls's own) that talks to ``lyfinger serve-editor`` over stdio."""

from __future__ import annotations

import asyncio
import os
import sys
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from lsprotocol import types
from pygls.lsp.client import LanguageClient

PROJECT = Path(__file__).parent.parent.parent
PATIENCE = 20.0
"""Seconds to wait for an answer: long, since this is a limit on a hang and no measure of speed."""


class Editor:
    """What an editor does: open texts, change them, ask."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.client = LanguageClient("editor", "1")
        self.shown: dict[str, list[types.Diagnostic]] = {}
        self._news = asyncio.Event()
        self._versions: dict[str, int] = {}

        self.client.feature(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)(lambda params: self._published(params))

    async def start(self, *arguments: str, encodings: list[str] | None = None) -> types.InitializeResult:
        """Start the server and shake hands."""
        environment = {**os.environ, "PYTHONPATH": str(PROJECT)}
        command = ("-m", "lyfinger", "serve-editor", *arguments)
        await self.client.start_io(sys.executable, *command, cwd=self.folder, env=environment)
        general = types.GeneralClientCapabilities(position_encodings=list(encodings or ["utf-16"]))
        return await self.client.initialize_async(
            types.InitializeParams(types.ClientCapabilities(general=general), process_id=os.getpid())
        )

    def _published(self, params: types.PublishDiagnosticsParams) -> None:
        self.shown[params.uri] = list(params.diagnostics)
        self._news.set()

    async def stop(self) -> None:
        """Leave as the protocol asks."""
        await self.client.shutdown_async(None)
        self.client.exit(None)
        await self.client.stop()  # type: ignore[no-untyped-call]

    def uri(self, name: str) -> str:
        return (self.folder / name).as_uri()

    async def open(self, name: str, text: str | None = None) -> list[types.Diagnostic]:
        """Open a file, with its text on disk or another, and wait for its findings."""
        text = (self.folder / name).read_text("utf-8") if text is None else text
        self._versions[name] = 1
        item = types.TextDocumentItem(self.uri(name), "lilypond", 1, text)
        self.client.text_document_did_open(types.DidOpenTextDocumentParams(item))
        return await self.next_findings(name)

    async def change(self, name: str, text: str) -> list[types.Diagnostic]:
        """Give a file another text, and wait for its findings."""
        self.type(name, text)
        return await self.next_findings(name)

    def type(self, name: str, text: str) -> None:
        """Give a file another text and go on."""
        self._versions[name] += 1
        document = types.VersionedTextDocumentIdentifier(self._versions[name], self.uri(name))
        whole = types.TextDocumentContentChangeWholeDocument(text)
        self.client.text_document_did_change(types.DidChangeTextDocumentParams(document, [whole]))

    async def next_findings(self, name: str) -> list[types.Diagnostic]:
        """The findings of a file as they are published next."""
        self.shown.pop(self.uri(name), None)
        while self.uri(name) not in self.shown:
            self._news.clear()
            await asyncio.wait_for(self._news.wait(), PATIENCE)
        return self.shown[self.uri(name)]

    async def hover(self, name: str, line: int, character: int) -> str | None:
        """What is said about a place."""
        document = types.TextDocumentIdentifier(self.uri(name))
        found = await asyncio.wait_for(
            self.client.text_document_hover_async(types.HoverParams(document, types.Position(line, character))),
            PATIENCE,
        )
        return found.contents.value if found and isinstance(found.contents, types.MarkupContent) else None

    async def actions(
        self, name: str, start: tuple[int, int], end: tuple[int, int] | None = None, only: list[str] | None = None
    ) -> dict[str, types.CodeAction]:
        """What is offered at a place, by title."""
        where = types.Range(types.Position(*start), types.Position(*(end or start)))
        params = types.CodeActionParams(
            types.TextDocumentIdentifier(self.uri(name)), where, types.CodeActionContext([], only=only)
        )
        found = await asyncio.wait_for(self.client.text_document_code_action_async(params), PATIENCE)
        return {one.title: one for one in found or [] if isinstance(one, types.CodeAction)}


def applied(text: str, action: types.CodeAction, uri: str) -> str:
    """A text after an action, as an editor applies it: positions in UTF-16, last edit first."""
    assert action.edit
    assert action.edit.changes
    units = text.encode("utf-16-le")
    starts = [0]
    for line in text.splitlines(keepends=True):
        starts.append(starts[-1] + len(line.encode("utf-16-le")))
    for edit in sorted(action.edit.changes[uri], key=lambda edit: edit.range.start, reverse=True):
        begin, end = (starts[at.line] + 2 * at.character for at in (edit.range.start, edit.range.end))
        units = units[:begin] + edit.new_text.encode("utf-16-le") + units[end:]
    return units.decode("utf-16-le")


@pytest.fixture
def in_editor(tmp_path: Path) -> Callable[[Callable[[Editor], Awaitable[None]]], None]:
    """Runs a scene with an editor whose folder is the test's own."""

    def play(scene: Callable[[Editor], Awaitable[None]]) -> None:
        async def whole() -> None:
            editor = Editor(tmp_path)
            await editor.start()
            try:
                await scene(editor)
            finally:
                await editor.stop()

        asyncio.run(whole())

    return play
