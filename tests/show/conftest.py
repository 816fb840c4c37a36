"""A real browser for the tests that look at pages."""

import os
import shutil
import subprocess
from pathlib import Path

import pytest

CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium") or ""
FONTS = ["DejaVu", "Liberation", "Noto"] if os.environ.get("FRAYWORK_FULL") else ["DejaVu"]


def only(fonts: str, folder: Path) -> dict[str, str]:
    """An environment in which no fonts are known but these: what a page takes up may not hang on the others."""
    listed = subprocess.run(
        ["fc-list", "--format", "%{file}\n"], capture_output=True, encoding="utf-8", check=True
    ).stdout
    folders = sorted({str(Path(file).parent) for file in listed.split("\n") if Path(file).name.startswith(fonts)})
    if not folders:
        pytest.skip(f"no {fonts} fonts")
    file = folder / "fonts.conf"
    file.write_text(
        "<fontconfig>" + "".join(f"<dir>{one}</dir>" for one in folders) + f"<cachedir>{folder}</cachedir><selectfont>"
        f"<rejectfont><glob>*</glob></rejectfont><acceptfont><glob>*/{fonts}*</glob></acceptfont></selectfont></fontconfig>",
        encoding="utf-8",
    )
    return {**os.environ, "FONTCONFIG_FILE": str(file)}


@pytest.fixture(scope="module", params=FONTS)
def chromium(request, tmp_path_factory):
    if not CHROMIUM:
        pytest.skip("no chromium")
    sync = pytest.importorskip("playwright.sync_api")
    known = only(request.param, tmp_path_factory.mktemp("fonts"))
    with sync.sync_playwright() as play:
        # --no-sandbox: our own pages only, and continuous integration runs as root.
        one = play.chromium.launch(
            executable_path=CHROMIUM, env=known, args=["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
        )
        yield one
        one.close()


@pytest.fixture
def page(chromium):
    """A page without a network; whatever it says or asks for lands in `page.bad`."""
    context = chromium.new_context(offline=True)
    one = context.new_page()
    one.bad = []
    one.on("console", lambda m: one.bad.append(m.text) if m.type in ("error", "warning") else None)
    one.on("pageerror", lambda error: one.bad.append(str(error)))
    one.on("dialog", lambda d: (one.bad.append(f"dialog {d.message}"), d.dismiss()))
    one.on(
        "request",
        lambda r: one.bad.append(r.url) if not r.url.startswith("data:") and r.resource_type != "document" else None,
    )
    yield one
    context.close()
