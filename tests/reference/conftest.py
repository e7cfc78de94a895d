"""What the reference checks share: the built command, and one demo that it planned."""

import json
import os
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SPELK = os.environ.get("SPELK", str(ROOT / "target/release/spelk"))
EXAMPLES = Path(os.environ.get("SPELK_EXAMPLES", ROOT / "target/release/examples"))


def run(*words, expect=0):
    """Runs the command; what it printed."""
    done = subprocess.run([SPELK, *map(str, words)], capture_output=True, text=True)
    assert done.returncode == expect, f"spelk {words}: exit {done.returncode}\n{done.stdout}{done.stderr}"
    return done.stdout


@pytest.fixture(scope="session")
def spelk(tmp_path_factory):
    os.environ["SPELK_STATE"] = str(tmp_path_factory.mktemp("state"))
    os.environ["SPELK_SHOP"] = str(tmp_path_factory.mktemp("shop") / "shop.spelk")
    return run


@pytest.fixture(scope="session")
def demo(spelk, tmp_path_factory):
    """The folder that `spelk demo` wrote."""
    folder = tmp_path_factory.mktemp("demo") / "spelk-demo"
    spelk("demo", folder)
    return folder


@pytest.fixture(scope="session")
def plan(spelk, demo):
    """The demo as `tell --json` tells it."""
    return json.loads(spelk("tell", demo / "heron.spelk", "--json"))
