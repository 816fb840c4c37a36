"""A real browser for the tests that look at pages."""

import os
import shutil

import pytest

CHROMIUM = os.environ.get("CHROMIUM") or shutil.which("chromium") or ""


@pytest.fixture(scope="module")
def chromium():
    if not CHROMIUM:
        pytest.skip("no chromium")
    sync = pytest.importorskip("playwright.sync_api")
    with sync.sync_playwright() as play:
        # --no-sandbox: our own pages only, and continuous integration runs as root.
        one = play.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
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
