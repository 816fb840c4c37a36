"""The program's front door, for the tests of the stage language too, and a browser for pages."""

from tests.commands.conftest import guide, workshop
from tests.show.conftest import chromium, page

__all__ = ["chromium", "guide", "page", "workshop"]
