"""What several of the promises need."""

import subprocess

import pytest


@pytest.fixture
def tiny_disk(tmp_path):
    place = tmp_path / "tiny"
    place.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)], capture_output=True, check=False
    )
    if made.returncode:
        pytest.skip("only root may mount a disk")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)
