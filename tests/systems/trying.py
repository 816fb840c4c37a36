"""A plugin of pytest: puts a stand-in on before anything of the program is read, and says which tests cannot be run."""

import os

import hypothesis  # noqa: F401 - looks at the platform first, as the others do
import pytest

from tests.systems import WANTED, put_on

NAME = os.environ[WANTED]
put_on(NAME, streams=False)

OPEN = "an open file is neither deleted, renamed nor replaced there"
MODE = "files have no mode or owner of this kind there"
CANNOT = {  # a part of a test's name → why it cannot be run
    "windows": {
        "at_the_next_record[deleted]": OPEN,
        "at_the_next_record[renamed]": OPEN,
        "at_the_next_record[replaced]": OPEN,
        "no_litter[write]": f"its fault leaves the new page open, and {OPEN}",
        "keeps_its_mode": MODE,
        "keeps_its_owner": MODE,
        "what_it_leads_to_is_written[True]": MODE,
    },
    "macos": {},
}


def pytest_collection_modifyitems(items):
    for item in items:
        for part, why in CANNOT[NAME].items():
            if part in item.nodeid:
                item.add_marker(pytest.mark.skip(reason=f"cannot: {why}"))
