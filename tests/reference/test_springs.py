"""The weighted Laplacian that spreads depth marks, against SciPy's sparse direct solver (BSD; SuperLU)."""

import json
import os
import pathlib
import subprocess

import numpy as np
import scipy.sparse
import scipy.sparse.linalg

ROOT = pathlib.Path(__file__).resolve().parents[2]
EXAMPLES = pathlib.Path(os.environ.get("SPELK_EXAMPLES", ROOT / "target" / "release" / "examples"))


def systems(*numbers):
    done = subprocess.run([EXAMPLES / "springs", *map(str, numbers)], capture_output=True, text=True, check=True)
    return [json.loads(line) for line in done.stdout.splitlines()]


def solved(system):
    """Where the weighted squares are least: the normal equations, assembled from the terms one by one."""
    count = len(system["start"])
    matrix, right = scipy.sparse.lil_matrix((count, count)), np.zeros(count)
    for i, j, weight, step in system["ties"]:
        for a, b, rise in ((i, j, step), (j, i, -step)):
            matrix[a, a] += weight
            matrix[a, b] -= weight
            right[a] += weight * rise
    for i, weight, at in system["anchors"]:
        matrix[i, i] += weight
        right[i] += weight * at
    alone = [i for i in range(count) if matrix[i, i] == 0]
    for i in alone:  # tied to nothing: it keeps its start
        matrix[i, i], right[i] = 1, system["start"][i]
    return scipy.sparse.linalg.spsolve(matrix.tocsc(), right)


def test_as_a_direct_solver_has_it():
    for system in [*systems(0, 20, 40), *systems(100, 4, 800)]:
        expected = solved(system)
        off = np.abs(np.array(system["x"]) - expected).max() / np.abs(expected).max()
        assert off < 1e-9, (system["seed"], off)
