"""A page that is served, or a word that what serves it is not installed."""

import pytest

from guide.beside.sending import NEEDS
from tests.commands.conftest import guide, workshop
from tests.show.conftest import chromium

__all__ = ["chromium", "guide", "workshop"]


def wants_the_extra():
    for name in NEEDS:
        pytest.importorskip(name)


@pytest.fixture(scope="module")
def served(tmp_path_factory):
    wants_the_extra()
    from tests.beside.served import Served

    one = Served(tmp_path_factory.mktemp("served"))
    yield one
    one.close()


@pytest.fixture
def page(served):
    from tests.beside.served import Page

    one = Page(served)
    yield one
    one.close()


@pytest.fixture
def alone(tmp_path):
    """A page of a session of this test's own."""
    wants_the_extra()
    from tests.beside.served import Served

    begun = []

    def serve(**more):
        begun.append(Served(tmp_path, **more))
        return begun[-1]

    yield serve
    for one in begun:
        one.close()
