"""Writes the tables against which sections, beams, columns, bolt groups and shared wires are held.

Run in a Python environment with the libraries below: `python tests/reference/structure.py`. Every table is made by a route
that shares no formula with the program: sections by finite elements, beams and columns by a finite-element beam or a boundary
value problem, bolt groups by springs of equal stiffness, shared wires by the conductance matrix.
It writes tests/data/structure_*.json with the versions that made them.
"""

import json
from importlib.metadata import version
from pathlib import Path

import numpy as np
from scipy.integrate import solve_bvp, solve_ivp
from scipy.linalg import eigh
from sectionproperties.analysis import Section
from sectionproperties.pre.library import circular_hollow_section, rectangular_hollow_section

DATA = Path(__file__).resolve().parent.parent / "data"


def short(number):
    return float(f"{number:.8g}")


def rounded(cell):
    return [rounded(c) for c in cell] if isinstance(cell, (list, tuple, np.ndarray)) else short(cell)


def write(name, libraries, columns, rows):
    table = {
        "made_by": "tests/reference/structure.py",
        "libraries": {library: version(library) for library in libraries},
        "columns": columns,
    }
    lines = ",\n".join("  " + json.dumps(rounded(row)) for row in rows)
    (DATA / name).write_text(json.dumps(table, indent=1)[:-2] + f',\n "rows": [\n{lines}\n ]\n}}\n')


def analysed(geometry, mesh):
    geometry.create_mesh(mesh_sizes=[mesh])
    section = Section(geometry)
    section.calculate_geometric_properties()
    section.calculate_warping_properties()
    section.calculate_plastic_properties()
    return section


def tubes():
    rows = []
    for d, t in [(12, 1), (16, 1.5), (20, 2), (25, 2.5), (25.4, 1.63), (30, 2), (31.75, 2.11), (35, 1.2), (38, 2.5), (38.1, 2.41), (40, 2), (44.45, 2.41), (45, 2.5), (48.3, 2.6), (50, 2), (60.3, 2.9), (76.2, 1.65)]:
        section = analysed(circular_hollow_section(d=d, t=t, n=256), t * t)
        ixx, _, _ = section.get_ic()
        rows.append((d, t, section.get_area(), ixx, section.get_z()[0], section.get_s()[0], section.get_j(), section.get_rc()[0]))
    return rows


def boxes():
    rows = []
    for h, b, t in [(20, 20, 1.5), (25, 25, 2), (30, 20, 2), (30, 30, 2), (40, 20, 2), (40, 40, 3), (50, 25, 2), (50, 30, 3), (50, 50, 3), (60, 40, 3), (60, 60, 4), (80, 40, 3), (80, 60, 4), (100, 50, 4), (100, 100, 5), (120, 60, 4)]:
        section = analysed(rectangular_hollow_section(d=h, b=b, t=t, r_out=0, n_r=1), t * t / 2)
        ixx, iyy, _ = section.get_ic()
        zxx, _, zyy, _ = section.get_z()
        rows.append((h, b, t, section.get_area(), ixx, zxx, iyy, zyy, section.get_j()))
    return rows


def beam_matrices(length, elements, stiffness):
    """Stiffness and geometric stiffness (unit compression) of a plane beam of finite elements."""
    h = length / elements
    size = 2 * (elements + 1)
    k, g = np.zeros((size, size)), np.zeros((size, size))
    ke = stiffness / h**3 * np.array([[12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h], [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h * h, -6 * h, 4 * h * h]])
    ge = 1 / (30 * h) * np.array([[36, 3 * h, -36, 3 * h], [3 * h, 4 * h * h, -3 * h, -h * h], [-36, -3 * h, 36, -3 * h], [3 * h, -h * h, -3 * h, 4 * h * h]])
    for i in range(elements):
        dof = slice(2 * i, 2 * i + 4)
        k[dof, dof] += ke
        g[dof, dof] += ge
    return k, g, h


def beams():
    """Supports: 0 held at one end, 1 on two supports, 2 held at both ends. Moments from the fixed-end forces of the elements."""
    rows = []
    elements = 40
    for support, ends in ((0, ["held", "free"]), (1, ["rest", "rest"]), (2, ["held", "held"])):
        for length in (0.3, 1.25):
            for share in (0.25, 0.4, 0.5, 0.75) if support else (1.0,):
                stiffness, force = 206e9 * 6.1e-8, 2500.0
                k, _, h = beam_matrices(length, elements, stiffness)
                fixed = []
                for end, first in zip(ends, (0, 2 * elements)):
                    fixed += [] if end == "free" else [first] if end == "rest" else [first, first + 1]
                free = [i for i in range(len(k)) if i not in fixed]
                node = round(share * elements)
                load = np.zeros(len(k))
                load[2 * node] = force
                u = np.zeros(len(k))
                u[free] = np.linalg.solve(k[np.ix_(free, free)], load[free])
                moments = []
                for i in range(elements):
                    ue = u[2 * i : 2 * i + 4]
                    for row in ([-6, -4 * h, 6, -2 * h], [6, 2 * h, -6, 4 * h]):
                        moments.append(abs(stiffness / h**2 * np.dot(row, ue)))
                rows.append((support, length, share * length, force, 206e9, 6.1e-8, max(moments), u[2 * node]))
    return rows


def columns():
    """Buckling load of the beam of finite elements; ends: effective length factor to compare with."""
    rows = []
    elements = 60
    for outside, wall in ((16e-3, 1.5e-3), (20e-3, 2e-3), (25.4e-3, 1.63e-3)):
        second = np.pi / 64 * (outside**4 - (outside - 2 * wall) ** 4)
        for length in (0.35, 0.8):
            for factor, ends in ((1.0, [[0], [0]]), (2.0, [[0, 1], []]), (0.5, [[0, 1], [0, 1]])):
                k, g, _ = beam_matrices(length, elements, 206e9 * second)
                fixed = ends[0] + [2 * elements + e for e in ends[1]]
                free = [i for i in range(len(k)) if i not in fixed]
                load = 1 / eigh(g[np.ix_(free, free)], k[np.ix_(free, free)], eigvals_only=True)[-1]
                rows.append((outside, wall, length, factor, 206e9, load))
    return rows


def eccentric():
    """Moment and stress of a pinned tube under an eccentric compression, as a boundary value problem."""
    rows = []
    for outside, wall, length in ((16e-3, 1.5e-3, 0.4), (20e-3, 2e-3, 0.45), (25.4e-3, 1.63e-3, 0.9)):
        bore = outside - 2 * wall
        second, area = np.pi / 64 * (outside**4 - bore**4), np.pi / 4 * (outside**2 - bore**2)
        stiffness = 206e9 * second
        for share in (0.1, 0.4, 0.7):
            for e in (1e-3, 4e-3):
                force = share * np.pi**2 * stiffness / length**2
                x = np.linspace(0, length, 41)
                answer = solve_bvp(lambda x, y: np.vstack([y[1], -force * (y[0] + e) / stiffness]), lambda a, b: np.array([a[0], b[0]]), x, np.zeros((2, 41)), tol=1e-9, max_nodes=20000)
                moment = force * (answer.sol(length / 2)[0] + e)
                rows.append((force, e, length, 206e9, outside, wall, moment, force / area + moment * outside / 2 / second))
    return rows


def bolt_groups():
    """Shear of bolts as springs of equal stiffness under a stiff plate: three displacements from equilibrium."""
    rows = []
    source = np.random.default_rng(7)
    for count in (1, 2, 3, 4, 4, 5, 6, 6, 8, 3, 4, 5, 7, 2, 6, 9):
        places = source.uniform(-120, 120, (count, 2)).round(1)
        force, at = source.uniform(-8000, 8000, 2).round(), source.uniform(-300, 300, 2).round(1)
        if count == 1:
            at = places[0]
        # Movement of a bolt: u - w y, v + w x.
        gather = np.zeros((2 * count, 3))
        for i, (x, y) in enumerate(places):
            gather[2 * i] = [1, 0, -y]
            gather[2 * i + 1] = [0, 1, x]
        load = np.array([*force, at[0] * force[1] - at[1] * force[0]])
        moves = np.linalg.lstsq(gather.T @ gather, load, rcond=None)[0]
        shears = (gather @ moves).reshape(-1, 2)
        rows.append((places, force, at, np.hypot(*shears.T)))
    return rows


def wires():
    """Shared wires by the conductance matrix: node voltages from the currents drawn; feeder -1 is the source."""
    rows = []
    source = np.random.default_rng(11)
    for count in (1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 3, 5, 9):
        feeders = [int(source.integers(-1, i)) if i else -1 for i in range(count)]
        resistances = source.uniform(1e-3, 60e-3, count).round(5)
        loads = source.uniform(0, 20, count).round(2)
        g = np.zeros((count, count))
        for i, (f, r) in enumerate(zip(feeders, resistances)):
            g[i, i] += 1 / r
            if f >= 0:
                g[f, f] += 1 / r
                g[i, f] -= 1 / r
                g[f, i] -= 1 / r
        rows.append((feeders, resistances, loads, np.linalg.solve(g, loads)))
    return rows


def heating():
    """Copper wire heated with no loss of heat, marched in time: resistance and heat capacity of IEC 60949's constants."""
    rows = []
    rho20, beta, capacity = 1.7241e-8, 234.5, 3.45e6
    for area in (0.5, 1.5, 2.5, 6.0, 16.0):
        for current, end in ((60 * area, 160.0), (120 * area, 200.0), (200 * area, 250.0)):
            start = 40.0

            def rate(_, t):
                return [rho20 * (beta + t[0]) / (beta + 20) * (current / (area * 1e-6)) ** 2 / capacity]

            def reached(_, t):
                return t[0] - end

            reached.terminal = True
            march = solve_ivp(rate, (0, 1e4), [start], events=reached, rtol=1e-10, atol=1e-10)
            rows.append((current, area, start, end, march.t_events[0][0]))
    return rows


write("structure_tubes.json", ["sectionproperties"], ["outside, mm", "wall, mm", "area, mm2", "second moment, mm4", "elastic modulus, mm3", "plastic modulus, mm3", "torsion constant, mm4", "radius of gyration, mm"], tubes())
write("structure_boxes.json", ["sectionproperties"], ["height, mm", "width, mm", "wall, mm", "area, mm2", "second moment, mm4", "modulus, mm3", "sideways second moment, mm4", "sideways modulus, mm3", "torsion constant, mm4"], boxes())
write("structure_beams.json", ["numpy"], ["support", "length, m", "load at, m", "force, N", "modulus, Pa", "second moment, m4", "moment, N m", "deflection, m"], beams())
write("structure_columns.json", ["numpy", "scipy"], ["outside, m", "wall, m", "length, m", "length factor", "modulus, Pa", "buckling load, N"], columns())
write("structure_eccentric.json", ["numpy", "scipy"], ["force, N", "eccentricity, m", "length, m", "modulus, Pa", "outside, m", "wall, m", "moment, N m", "stress, Pa"], eccentric())
write("structure_bolt_groups.json", ["numpy"], ["places, mm", "force, N", "acts at, mm", "shear of each, N"], bolt_groups())
write("electrical_wires.json", ["numpy"], ["fed by", "resistance, ohm", "load, A", "drop from source, V"], wires())
write("electrical_heating.json", ["numpy", "scipy"], ["current, A", "area, mm2", "start, °C", "end, °C", "time, s"], heating())
