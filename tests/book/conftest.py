"""The program through its front door, and a page in a real browser, for the book too."""

from tests.commands.conftest import guide, workshop
from tests.show.conftest import chromium, page

__all__ = ["chromium", "guide", "page", "workshop"]
