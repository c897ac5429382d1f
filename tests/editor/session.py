"""A client library of its own at work on a faulty build, over standard input and output of the program.

Run by tests/editor_clients.rs:  python3 tests/editor/session.py PROGRAM ROOT FILE RULE OFFER
Needs pygls (2.1.1 with lsprotocol 2025.0.0 was used). Writes what it saw as JSON.
"""

import asyncio
import json
import pathlib
import sys

from lsprotocol import types
from pygls.lsp.client import LanguageClient

program, root, file, rule, offer = sys.argv[1:]
uri = pathlib.Path(file).as_uri()


async def main():
    client = LanguageClient("session", "1")
    said = {}
    heard = asyncio.Event()

    @client.feature(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
    def publish(params):
        said[params.uri] = params
        heard.set()

    async def until(holds):
        while not holds():
            heard.clear()
            await asyncio.wait_for(heard.wait(), 60)

    def finding():
        known = said.get(uri)
        return next((d for d in known.diagnostics if d.code == rule), None) if known else None

    seen = {}
    await client.start_io(program, "lsp", "--on", "2026-06-01")
    begun = await client.initialize_async(
        types.InitializeParams(
            capabilities=types.ClientCapabilities(
                general=types.GeneralClientCapabilities(position_encodings=[types.PositionEncodingKind.Utf8]),
                text_document=types.TextDocumentClientCapabilities(
                    publish_diagnostics=types.PublishDiagnosticsClientCapabilities(related_information=True)
                ),
            ),
            root_uri=pathlib.Path(root).as_uri(),
        )
    )
    seen["encoding"] = begun.capabilities.position_encoding
    client.initialized(types.InitializedParams())
    text = pathlib.Path(file).read_text(encoding="utf-8")
    client.text_document_did_open(
        types.DidOpenTextDocumentParams(types.TextDocumentItem(uri=uri, language_id="yaml", version=1, text=text))
    )
    await until(lambda: finding() is not None)
    found = finding()
    seen["message"] = found.message
    seen["related"] = len(found.related_information or [])

    document = types.TextDocumentIdentifier(uri=uri)
    told = await client.text_document_hover_async(types.HoverParams(document, found.range.start))
    seen["hover"] = told.contents.value
    proposed = await client.text_document_completion_async(types.CompletionParams(document, found.range.end))
    seen["proposed"] = [item.label for item in proposed.items]

    offers = await client.text_document_code_action_async(
        types.CodeActionParams(document, found.range, types.CodeActionContext(diagnostics=[found]))
    )
    action = next(action for action in offers if action.title == offer)
    seen["mends"] = [d.code for d in action.diagnostics or []]
    [edit] = action.edit.changes[uri]
    client.text_document_did_change(
        types.DidChangeTextDocumentParams(
            types.VersionedTextDocumentIdentifier(uri=uri, version=2),
            [types.TextDocumentContentChangePartial(range=edit.range, text=edit.new_text)],
        )
    )
    await until(lambda: said[uri].version == 2)
    seen["gone"] = finding() is None
    await client.shutdown_async(None)
    client.exit(None)
    await asyncio.wait_for(client._server.wait(), 60)
    seen["status"] = client._server.returncode
    print(json.dumps(seen))


asyncio.run(main())
