"""Drives the language server with a client that nobody of this project wrote (pytest-lsp), as two
editors: one that waits for diagnostics and one that asks for them. The client also holds every answer
against what the editor said it can."""

import asyncio
import os
import pathlib
import shutil

import pytest
import pytest_lsp
from lsprotocol import types
from pytest_lsp import ClientServerConfig, LanguageClient, client_capabilities

PROGRAM = os.environ["CORDWRIGHT"]
EXAMPLE = pathlib.Path(__file__).parents[2] / "example-repo"
CORDS = "chart-room/desk-cords.yaml"


@pytest_lsp.fixture(
    params=["neovim", "visual-studio-code"],
    config=ClientServerConfig(server_command=[PROGRAM, "language-server"]),
)
async def client(lsp_client: LanguageClient, request, tmp_path):
    root = tmp_path / "site"
    shutil.copytree(EXAMPLE, root)
    lsp_client.root = root

    @lsp_client.feature(types.CLIENT_REGISTER_CAPABILITY)
    def watch(params: types.RegistrationParams):
        """Promises to watch files, and does not."""

    params = types.InitializeParams(
        capabilities=client_capabilities(request.param),
        workspace_folders=[types.WorkspaceFolder(uri=root.as_uri(), name="site")],
    )
    answer = await lsp_client.initialize_session(params)
    lsp_client.pulls = params.capabilities.text_document.diagnostic is not None
    assert answer.capabilities.diagnostic_provider.inter_file_dependencies
    yield
    await lsp_client.shutdown_session()


def uri(client, file):
    return (client.root / file).as_uri()


def opened(client, file):
    text = (client.root / file).read_text()
    item = types.TextDocumentItem(uri(client, file), types.LanguageKind.Yaml, 1, text)
    client.text_document_did_open(types.DidOpenTextDocumentParams(item))
    return text


def replaced(client, file, version, text):
    document = types.VersionedTextDocumentIdentifier(version, uri(client, file))
    change = types.TextDocumentContentChangeWholeDocument(text)
    client.text_document_did_change(types.DidChangeTextDocumentParams(document, [change]))


async def findings(client, file, wanted):
    """The diagnostics of a file, once they are as wanted."""
    for _ in range(300):
        if client.pulls:
            document = types.TextDocumentIdentifier(uri(client, file))
            params = types.DocumentDiagnosticParams(document)
            found = (await client.text_document_diagnostic_async(params)).items
        else:
            found = client.diagnostics.get(uri(client, file))
        if found is not None and wanted([one.code for one in found]):
            return found
        await asyncio.sleep(0.1)
    raise AssertionError(f"{file}: {[one.code for one in found or []]}")


def place(client, file, text, word, more=0):
    lines = text[: text.index(word)].split("\n")
    position = types.Position(len(lines) - 1, len(lines[-1]) + more)
    return types.TextDocumentIdentifier(uri(client, file)), position


@pytest.mark.asyncio
async def test_findings_follow_the_text(client):
    text = opened(client, CORDS)
    before = await findings(client, CORDS, lambda codes: True)
    broken = text.replace("wall-c13-2m-black-3A", "wall-c13-2m-blakc-3A", 1)
    assert broken != text
    replaced(client, CORDS, 2, broken)
    found = await findings(client, CORDS, lambda codes: "unknown-name" in codes)
    one = next(one for one in found if one.code == "unknown-name")
    assert one.severity == types.DiagnosticSeverity.Error
    assert one.source == "cordwright"
    assert one.code_description.href.startswith("file://")
    replaced(client, CORDS, 3, text)
    codes = [one.code for one in before]
    await findings(client, CORDS, lambda now: now == codes)


@pytest.mark.asyncio
async def test_a_half_typed_file_lights_up_one_place(client):
    text = opened(client, CORDS)
    before = await findings(client, CORDS, lambda codes: True)
    replaced(client, CORDS, 2, text + "  W-1599: {type: wall\n")
    found = await findings(client, CORDS, lambda codes: "unreadable-file" in codes)
    assert len(found) == len(before) + 1


@pytest.mark.asyncio
async def test_the_thing_under_the_cursor(client):
    text = opened(client, CORDS)
    await findings(client, CORDS, lambda codes: True)
    document, position = place(client, CORDS, text, "W-1502", 1)
    hover = await client.text_document_hover_async(types.HoverParams(document, position))
    assert "cord W-1502" in hover.contents.value
    assert "Advice only" in hover.contents.value

    document, position = place(client, CORDS, text, "wall-c13-2m-black-3A", 2)
    params = types.DefinitionParams(document, position)
    found = await client.text_document_definition_async(params)
    assert [one.uri for one in found] == [uri(client, "catalogue/cord-types.yaml")]

    context = types.ReferenceContext(include_declaration=True)
    params = types.ReferenceParams(context, document, position)
    found = await client.text_document_references_async(params)
    assert {one.uri for one in found} >= {uri(client, CORDS)}


@pytest.mark.asyncio
async def test_completion_and_fixes(client):
    text = opened(client, CORDS)
    await findings(client, CORDS, lambda codes: True)
    broken = text.replace("wall-c13-2m-black-3A", "wall-c13-2m-blakc-3A", 1)
    replaced(client, CORDS, 2, broken)
    document, position = place(client, CORDS, broken, "wall-c13-2m-blakc-3A", 8)
    params = types.CompletionParams(document, position)
    answer = await client.text_document_completion_async(params)
    assert "wall-c13-2m-black-3A" in [item.label for item in answer.items]

    found = await findings(client, CORDS, lambda codes: "unknown-name" in codes)
    one = next(one for one in found if one.code == "unknown-name")
    context = types.CodeActionContext([one])
    params = types.CodeActionParams(document, one.range, context)
    actions = await client.text_document_code_action_async(params)
    assert any(action.is_preferred and action.edit for action in actions)


@pytest.mark.asyncio
async def test_renaming(client):
    text = opened(client, CORDS)
    await findings(client, CORDS, lambda codes: True)
    document, position = place(client, CORDS, text, "W-1502", 1)
    params = types.PrepareRenameParams(document, position)
    assert (await client.text_document_prepare_rename_async(params)).placeholder == "W-1502"
    params = types.RenameParams(document, position, "W-1577")
    edit = await client.text_document_rename_async(params)
    assert edit.document_changes or edit.changes


@pytest.mark.asyncio
async def test_the_whole_workspace(client):
    if not client.pulls:
        pytest.skip("this editor does not ask")
    params = types.WorkspaceDiagnosticParams([])
    answer = await client.workspace_diagnostic_async(params)
    codes = [one.code for item in answer.items for one in item.items]
    assert "plug-fuse" in codes
