#!/usr/bin/env python3
"""The smallest change of 50 drinks, solved by SciPy's SLSQP: what `tests/core/mend.rs` compares the program with.

    python3 -m venv /tmp/v && /tmp/v/bin/pip install scipy==1.17.1 numpy==2.4.6
    /tmp/v/bin/python tests/reference/mend_slsqp.py tests/reference

reads mend_problems.json (written by the test with WASHLINE_WRITE_PROBLEMS=1: what each pour is made of, and the
limits, as plain numbers) and writes mend_optima.csv. The model is written anew here from its sources, so that the
two share nothing but the numbers of the problem:

* water and ethanol: OIML R 22 (1975), general formula at 20 °C, series A;
* sugar: apparent volume from the ICUMSA density of sucrose solutions at 20 °C
  (Bubník, Kadlec, Urban and Bruhns, Sugar Technologists Manual, 1995, p. 164);
* melt: Arnold, Liquid Intelligence, 2014, p. 123: the quadratics for shaken and stirred drinks, or a given share.

J = sum of ((x - written) / max(written, 5 ml))², each figure within its band (as printed), all that is poured within
the serve, the drink below the washline, each pour within its bounds. Versions are in the first line of the CSV.
"""

import csv
import json
import platform
import sys

import numpy as np
import scipy
from scipy.optimize import minimize

A = [
    998.20123, -192.9769495, 389.1238958, -1668.103923, 13522.15441, -88292.78388,
    306287.4042, -613838.1234, 747017.2998, -547846.1354, 223446.0334, -39032.85426,
]
ETHANOL = 0.78924
# Coefficients C of the SPS-4 form; w is the mass fraction of sugar, x = (t - 20) / 100 = 0 leaves the first row.
SUCROSE = [385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890]
# The same source's density of water at 20 °C, kg/m³.
T = 20.0
WATER_20C = (
    999.83952 + 16.952577 * T - 7.9905127e-3 * T**2 - 46.241757e-6 * T**3 + 105.84601e-9 * T**4 - 281.03006e-12 * T**5
) / (1 + 16.887236e-3 * T)


def horner(coefficients, x):
    total = 0.0
    for c in reversed(coefficients):
        total = total * x + c
    return total


def sugar_volume(w):
    """Apparent volume of a gram of sugar at mass fraction w above 0, ml."""
    w = min(w, 0.85)
    density = WATER_20C + w * horner(SUCROSE, w)
    return (1000.0 / density - (1.0 - w) * 1000.0 / WATER_20C) / w


def volume(water, ethanol, sugar, other_g, other_ml):
    solvent = water + ethanol
    total = 1000.0 * solvent / horner(A, ethanol / solvent) + other_ml
    if sugar > 0.0:
        total += sugar * sugar_volume(sugar / (solvent + sugar + other_g))
    return total


def figures(problem, x):
    """Strength, sweetness, tartness and volume of the drink with these pours."""
    mix = np.array(problem["fixed"], dtype=float)
    for pour, ml in zip(problem["pours"], x):
        mix = mix + ml * np.array(pour["per_ml"], dtype=float)
    water, ethanol, sugar, other_g, other_ml, acid = mix
    before = volume(water, ethanol, sugar, other_g, other_ml)
    a = ethanol / ETHANOL / before
    melt = problem["melt"]
    share = melt["constant"] + melt["linear"] * a + melt["quadratic"] * a * a
    melted = share * before * horner(A, 0.0) / 1000.0
    glass = volume(water + melted, ethanol, sugar, other_g, other_ml)
    return np.array([100 * ethanol / ETHANOL / glass, 100 * sugar / glass, 100 * acid / glass, glass])


def solve(problem):
    written = np.array([p["written_ml"] for p in problem["pours"]])
    scale = np.maximum(written, 5.0)
    limits = []
    for target in problem["targets"]:
        i, width = target["figure"], 0.5 * (target["high"] - target["low"])
        if target["low"] > 0.0:
            limits.append(lambda u, i=i, t=target, w=width: (figures(problem, written + u * scale)[i] - t["low"]) / w)
        limits.append(lambda u, i=i, t=target, w=width: (t["high"] - figures(problem, written + u * scale)[i]) / w)
    low, high = problem["serve_change_ml"]
    limits.append(lambda u: (np.dot(u, scale) - low) / 10.0)
    limits.append(lambda u: (high - np.dot(u, scale)) / 10.0)
    if problem["holds_ml"] is not None:
        limits.append(lambda u: (problem["holds_ml"] - figures(problem, written + u * scale)[3]) / 10.0)
    bounds = [((p["least_ml"] - w) / s, (p["most_ml"] - w) / s) for p, w, s in zip(problem["pours"], written, scale)]
    best = None
    # From the drink as it is, and from a few places around it: the problem is nearly convex, and this shows it.
    starts = [np.zeros(len(written))] + [0.3 * np.sin(np.arange(len(written)) * k + k) for k in range(1, 6)]
    for start in starts:
        start = np.clip(start, [b[0] for b in bounds], [b[1] for b in bounds])
        found = minimize(
            lambda u: float(np.dot(u, u)),
            start,
            jac=lambda u: 2.0 * u,
            method="SLSQP",
            bounds=bounds,
            constraints=[{"type": "ineq", "fun": limit} for limit in limits],
            options={"ftol": 1e-15, "maxiter": 500},
        )
        kept = min(limit(found.x) for limit in limits) > -1e-8
        if kept and (best is None or found.fun < best.fun):
            best = found
    return best, written + best.x * scale


def main(folder):
    with open(f"{folder}/mend_problems.json", encoding="utf-8") as file:
        problems = json.load(file)
    with open(f"{folder}/mend_optima.csv", "w", encoding="utf-8", newline="") as file:
        file.write(f"# scipy {scipy.__version__}, numpy {np.__version__}, Python {platform.python_version()}, method SLSQP\n")
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow(["problem", "objective", "ml"])
        for number, problem in enumerate(problems):
            best, ml = solve(problem)
            rows.writerow([number, repr(float(best.fun)), ";".join(f"{v:.9f}" for v in ml)])


main(sys.argv[1] if len(sys.argv) > 1 else ".")
