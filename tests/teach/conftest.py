"""The program's front door, for the tests of the stage language too."""

from tests.commands.conftest import guide, workshop

__all__ = ["guide", "workshop"]
