"""What every reference check shares: the built program, and a demo job made by it once."""

import os
import pathlib
import subprocess

import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]


@pytest.fixture(scope="session")
def spelk():
    """Runs the program; fails the test unless it ends with `code`."""
    program = os.environ.get("SPELK", str(ROOT / "target" / "release" / "spelk"))

    def run(*args, code=0):
        done = subprocess.run([program, *map(str, args)], capture_output=True, text=True)
        assert done.returncode == code, done.stderr
        return done

    return run


@pytest.fixture(scope="session")
def demo(spelk, tmp_path_factory):
    """A folder with `demo.spelk`."""
    folder = tmp_path_factory.mktemp("demo")
    spelk("demo", folder)
    return folder
