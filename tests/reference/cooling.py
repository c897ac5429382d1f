"""Writes the tables against which the computations of cooling and air are held.

Run in a Python environment with the libraries below: `python tests/reference/cooling.py`. It writes
tests/data/cooling_*.json, each with the versions that made it. Numbers are rounded to eight digits, so that
another version which agrees to that many gives the same file.
"""

import json
from importlib.metadata import version
from pathlib import Path

import CoolProp.CoolProp as coolprop
import fluids
import ht
from iapws import IAPWS97

DATA = Path(__file__).resolve().parent.parent / "data"


def short(number):
    return float(f"{number:.8g}")


def write(name, libraries, columns, rows):
    table = {
        "made_by": "tests/reference/cooling.py",
        "libraries": {library: version(library) for library in libraries},
        "columns": columns,
        "rows": [[cell if isinstance(cell, str) else short(cell) for cell in row] for row in rows],
    }
    head = json.dumps({k: v for k, v in table.items() if k != "rows"}, indent=1)[:-2]
    lines = ",\n".join("  " + json.dumps(row) for row in table["rows"])
    (DATA / name).write_text(f'{head},\n "rows": [\n{lines}\n ]\n}}\n')


def saturation():
    return [(t, IAPWS97(T=t, x=0).P * 1e6) for t in [273.16, 280, 300, 320, 340, 353.15, 363.15] + [367 + 3 * i for i in range(16)] + [450, 550, 640]]


def exchangers():
    rows = []
    for ntu in (0.05, 0.2, 0.5, 1.0, 1.7, 2.5, 4.0, 8.0):
        for ratio in (0.05, 0.25, 0.5, 0.75, 1.0):
            def effectiveness(kind):
                return ht.hx.effectiveness_from_NTU(ntu, ratio, subtype=kind)
            rows.append((ntu, ratio, effectiveness("crossflow"), effectiveness("crossflow approximate"), effectiveness("counterflow")))
    return rows


def mean_differences():
    ends = [(90, 65, 20, 40), (95, 88, 35, 60), (110, 100, 30, 45), (130, 95, 25, 85), (85, 60, 10, 35), (105, 70, 40, 41)]
    return [(*e, ht.LMTD(e[0], e[1], e[2], e[3], counterflow=True)) for e in ends]


def coolants():
    rows = []
    for glycol, fluid in (("ethylene glycol", "MEG"), ("propylene glycol", "MPG")):
        state = coolprop.AbstractState("INCOMP", fluid)
        for share in (0.1, 0.25, 0.4, 0.5, 0.6):
            state.set_mass_fractions([share])
            for celsius in (-5, 20, 50, 80, 100):
                if share == 0.1 and celsius < 0:
                    continue
                state.update(coolprop.PT_INPUTS, 3e5, celsius + 273.15)
                rows.append((glycol, share, celsius + 273.15, state.rhomass(), state.cpmass(), state.viscosity(), state.conductivity()))
        for celsius in (5, 40, 70, 100, 110, 120, 125):
            water = IAPWS97(T=celsius + 273.15, P=0.35)
            rows.append((glycol, 0.0, celsius + 273.15, water.rho, water.cp * 1e3, water.mu, water.k))
    return rows


def freezing():
    rows = []
    for glycol, fluid in (("ethylene glycol", "AEG"), ("propylene glycol", "APG")):
        for volume in (0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.55):
            rows.append((glycol, volume, coolprop.PropsSI("T_FREEZE", "P", 1e5, "Q", 0, f"INCOMP::{fluid}[{volume}]")))
    return rows


def air():
    rows = []
    for celsius in (-40, -20, 0, 15, 20, 35, 50, 80, 110, 150, 200, 250, 300, 350, 400):
        for pressure in (80e3, 101325.0, 250e3):
            def property(name):
                return coolprop.PropsSI(name, "T", celsius + 273.15, "P", pressure, "Air")
            rows.append((celsius + 273.15, pressure, property("D"), property("C"), property("V"), property("L"), property("A")))
    return rows


def atmosphere():
    rows = []
    for height in (-500, 0, 100, 250, 500, 750, 1000, 1500, 2000, 2500, 3000, 4000, 5000, 7000, 9000, 10900):
        state = fluids.ATMOSPHERE_1976(height)
        rows.append((height, state.T, state.P, state.rho))
    return rows


write("cooling_saturation.json", ["iapws"], ["temperature, K", "pressure, Pa"], saturation())
write("cooling_exchangers.json", ["ht"], ["transfer units", "capacity ratio", "crossflow", "crossflow approximate", "counterflow"], exchangers())
write("cooling_mean_differences.json", ["ht"], ["hot in, °C", "hot out, °C", "cold in, °C", "cold out, °C", "mean, K"], mean_differences())
write("cooling_coolants.json", ["CoolProp", "iapws"], ["glycol", "mass share", "temperature, K", "density, kg/m3", "specific heat, J/(kg K)", "viscosity, Pa s", "conductivity, W/(m K)"], coolants())
write("cooling_freezing.json", ["CoolProp"], ["glycol", "volume share", "temperature, K"], freezing())
write("air_properties.json", ["CoolProp"], ["temperature, K", "pressure, Pa", "density, kg/m3", "specific heat, J/(kg K)", "viscosity, Pa s", "conductivity, W/(m K)", "speed of sound, m/s"], air())
write("air_atmosphere.json", ["fluids"], ["height, m", "temperature, K", "pressure, Pa", "density, kg/m3"], atmosphere())
