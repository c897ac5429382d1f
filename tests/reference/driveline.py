"""Makes tests/data/driveline_scipy.json: check values for the driveline by routes that share nothing with the program.

Cardan joints: the cross is turned in space, vector by vector, with no formula of Hooke's joint. Whirling: a beam of finite
elements. Torsion: the polar moment by quadrature. Traction: equilibrium as a linear system.

Made with Python 3.11.7, numpy 2.4.6, scipy 1.17.1:  python tests/reference/driveline.py > tests/data/driveline_scipy.json
"""

import json
import sys

import numpy as np
import scipy
from scipy import integrate, linalg, optimize


def unit(v):
    return v / np.linalg.norm(v)


def forward(slope, sweep):
    """Unit vector along a shaft, towards the front; slope and sweep in degrees as seen from the side and from above."""
    return unit(np.array([1.0, np.tan(np.radians(sweep)), np.tan(np.radians(slope))]))


def turn(v, axis, angle):
    return v * np.cos(angle) + np.cross(axis, v) * np.sin(angle) + axis * (axis @ v) * (1 - np.cos(angle))


def across(axis, start):
    """The direction nearest to `start` which stands at right angles to the axis."""
    return unit(start - axis * (axis @ start))


def output_angle(shafts, offsets, angle):
    """Turn of the last shaft about its own axis when the first has turned by `angle`.

    Every pin axis is found from the one before: the driven yoke's pins stand at right angles to the driving yoke's pins and to
    the driven shaft; the next driving yoke is turned from it by the shaft's offset, from the left towards up.
    """
    left = np.array([0.0, 1.0, 0.0])
    pin = turn(across(shafts[0], left), shafts[0], angle)
    for k, axis in enumerate(shafts[1:]):
        driven = unit(np.cross(axis, pin))
        if k < len(offsets):
            pin = turn(driven, axis, np.radians(offsets[k]))
    zero = across(shafts[-1], left)
    return np.arctan2(np.cross(zero, driven) @ shafts[-1], zero @ driven)


def ratio(shafts, offsets, angle):
    h = 1e-5
    change = output_angle(shafts, offsets, angle + h) - output_angle(shafts, offsets, angle - h)
    return ((change + np.pi) % (2 * np.pi) - np.pi) / (2 * h)


def extremes(shafts, offsets):
    angles = np.linspace(0, np.pi, 721)
    values = np.array([ratio(shafts, offsets, a) for a in angles])

    def refined(sign):
        start = angles[np.argmax(sign * values)]
        found = optimize.minimize_scalar(
            lambda a: -sign * ratio(shafts, offsets, a), bounds=(start - 0.01, start + 0.01), method="bounded",
            options={"xatol": 1e-9},
        )
        return -sign * found.fun

    return refined(1.0), refined(-1.0)


def positions():
    cases = []
    for bend in (2.0, 9.0, 25.0, 42.0):
        # The driven shaft slopes; the plane of the shafts stands upright, so pins that point left are normal to it.
        shafts = [forward(0, 0), forward(bend, 0)]
        upright = np.array([0.0, 0.0, 1.0])
        for angle in (5.0, 40.0, 75.0, 130.0, 170.0):
            pin = turn(upright, shafts[0], np.radians(angle))
            driven = unit(np.cross(shafts[1], pin))
            zero = unit(np.cross(shafts[1], upright))
            out = np.arctan2(np.cross(zero, driven) @ shafts[1], zero @ driven)
            cases.append({"bend": bend, "input": angle, "output": float(np.degrees(out) % 360)})
    return cases


def lines():
    cases = []
    for slopes, sweeps, offsets in (
        ([2.0, -3.0, 1.5], [0.0, 0.0, 0.0], [0.0]),
        ([3.0, -2.0, 4.0], [1.0, 4.0, -1.0], [0.0]),
        ([0.0, 4.0, 0.0], [0.0, 3.0, 5.0], [30.0]),
        ([3.0, -1.0, -4.0, -2.0], [0.0, 2.0, -1.0, 1.0], [0.0, 90.0]),
        ([1.0, 5.0, 2.0, -2.0, 0.5], [2.0, 0.0, -3.0, 1.0, 0.0], [15.0, -40.0, 70.0]),
    ):
        shafts = [forward(slope, sweep) for slope, sweep in zip(slopes, sweeps)]
        high, low = extremes(shafts, offsets)
        bends = [float(np.degrees(np.arccos(a @ b))) for a, b in zip(shafts, shafts[1:])]
        cases.append(
            {"slopes": slopes, "sweeps": sweeps, "offsets": offsets, "bends": bends, "highest": high, "lowest": low}
        )
    return cases


def whirl(outside, inside, length, modulus, density, mass, place, elements=80):
    """First critical speed in rpm of a pinned tube with a point mass, by Hermite beam elements."""
    outside, inside, length, place = (x / 1000 for x in (outside, inside, length, place))
    area = np.pi / 4 * (outside**2 - inside**2)
    stiff = modulus * 1e9 * np.pi / 64 * (outside**4 - inside**4)
    # A node stands where the mass stands.
    first = max(1, round(elements * place / length))
    nodes = np.concatenate([np.linspace(0, place, first + 1), np.linspace(place, length, elements - first + 1)[1:]])
    size = 2 * len(nodes)
    k, m = np.zeros((size, size)), np.zeros((size, size))
    for e, h in enumerate(np.diff(nodes)):
        ke = stiff / h**3 * np.array(
            [[12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h],
             [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h * h, -6 * h, 4 * h * h]])
        me = density * area * h / 420 * np.array(
            [[156, 22 * h, 54, -13 * h], [22 * h, 4 * h * h, 13 * h, -3 * h * h],
             [54, 13 * h, 156, -22 * h], [-13 * h, -3 * h * h, -22 * h, 4 * h * h]])
        rows = slice(2 * e, 2 * e + 4)
        k[rows, rows] += ke
        m[rows, rows] += me
    m[2 * first, 2 * first] += mass
    free = [i for i in range(size) if i not in (0, size - 2)]
    lowest = linalg.eigh(k[np.ix_(free, free)], m[np.ix_(free, free)], eigvals_only=True, subset_by_index=[0, 0])[0]
    return float(np.sqrt(lowest) * 30 / np.pi)


def whirls():
    cases = []
    for outside, inside, length, modulus, density, mass, place in (
        (63.5, 59.3, 742.0, 206.0, 7850.0, 0.0, 371.0),
        (76.2, 71.98, 1350.0, 206.0, 7850.0, 2.4, 675.0),
        (101.6, 95.2, 1600.0, 69.0, 2700.0, 3.0, 800.0),
        (90.0, 84.0, 1500.0, 110.0, 1600.0, 1.2, 750.0),
        (30.0, 0.0, 700.0, 206.0, 7850.0, 1.5, 175.0),
        (76.2, 71.98, 1350.0, 206.0, 7850.0, 4.0, 300.0),
    ):
        cases.append({
            "outside": outside, "inside": inside, "length": length, "modulus": modulus, "density": density, "mass": mass,
            "place": place, "speed": whirl(outside, inside, length, modulus, density, mass, place),
        })
    return cases


def torsions():
    cases = []
    for outside, inside in ((63.5, 59.3), (76.2, 72.9), (24.0, 0.0), (101.6, 95.2)):
        moment = integrate.quad(lambda r: 2 * np.pi * r**3, inside / 2, outside / 2)[0]
        cases.append({"outside": outside, "inside": inside, "polar_moment": moment})
    return cases


def tractions():
    """Unknowns: acceleration, front load, rear load, each for a mass of one."""
    cases = []
    g = 9.80665
    for base, ahead, height, mu in ((2.46, 1.05, 0.485, 0.95), (2.3, 1.4, 0.52, 1.1), (2.6, 1.6, 0.40, 1.4)):
        case = {"wheelbase": base, "ahead": ahead, "height": height, "friction": mu, "gravity": g}
        for name, drive in (("front", (mu, 0)), ("rear", (0, mu))):
            system = np.array([[1, -drive[0], -drive[1]], [0, 1, 1], [height, base, 0]])
            case[name] = float(linalg.solve(system, np.array([0, g, g * ahead]))[0])
        cases.append(case)
    return cases


json.dump(
    {
        "made_with": f"Python {sys.version.split()[0]}, numpy {np.__version__}, scipy {scipy.__version__}",
        "positions": positions(), "lines": lines(), "whirls": whirls(), "torsions": torsions(), "tractions": tractions(),
    },
    sys.stdout, indent=1,
)
print()
