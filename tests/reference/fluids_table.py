"""Writes tests/data/pipe_flow.yaml: friction and pressure loss of round lines, from the library fluids (MIT licence).

Made with Python 3.11 and fluids 1.3.1:  python fluids_table.py > ../data/pipe_flow.yaml
"""

import itertools
import math

import fluids
from fluids.friction import LAMINAR_TRANSITION_PIPE, friction_factor

# litres per hour, bore in mm, length in m, roughness in mm, sum of loss coefficients, kg/m3, mPa s
FLOWS = [4.0, 30.0, 90.0, 180.0, 400.0, 1500.0]
LINES = [(6.0, 4.2, 0.0015, 4.0), (8.0, 1.1, 0.05, 1.5), (9.5, 0.4, 0.0015, 0.5), (19.0, 2.6, 0.25, 6.3)]
LIQUIDS = [("petrol", 745.0, 0.5), ("ethanol", 785.0, 1.15), ("diesel", 835.0, 3.2), ("coolant at 90 °C", 1020.0, 0.8)]


def main():
    print("# Check values for steady flow through round lines, written by tests/reference/fluids_table.py.")
    print("cases:")
    for number, (flow, line, liquid) in enumerate(itertools.product(FLOWS, LINES, LIQUIDS)):
        bore, length, roughness, coefficients = line
        name, density, viscosity = liquid
        speed = flow / 3.6e6 / (math.pi / 4 * (bore * 1e-3) ** 2)
        reynolds = fluids.Reynolds(V=speed, D=bore * 1e-3, rho=density, mu=viscosity * 1e-3)
        if reynolds < LAMINAR_TRANSITION_PIPE:
            factor = 64 / reynolds
        else:
            factor = friction_factor(Re=reynolds, eD=roughness / bore, Method="Colebrook")
        friction = fluids.K_from_f(fd=factor, L=length, D=bore * 1e-3)
        loss = fluids.dP_from_K(K=friction + coefficients, rho=density, V=speed)
        given = [
            ("volume_flow", flow, "L/h"),
            ("inner_diameter", bore, "mm"),
            ("length", length, "m"),
            ("roughness", roughness, "mm"),
            ("sum_minor_loss", coefficients, "1"),
            ("density", density, "kg/m^3"),
            ("viscosity", viscosity, "mPa*s"),
        ]
        found = [
            ("velocity", speed, "m/s"),
            ("reynolds", reynolds, "1"),
            ("darcy_friction_factor", factor, "1"),
            ("pressure_drop", loss, "Pa"),
        ]
        inputs = ", ".join(f'{key}: {{value: {value!r}, unit: "{unit}"}}' for key, value, unit in given)
        expect = ", ".join(f'{key}: {{value: {value:.9g}, unit: "{unit}", rel_tol: 1e-08}}' for key, value, unit in found)
        print(f"  - id: line-{number:02d}")
        print("    computation: fluid.pipe_flow")
        print(f"    inputs: {{{inputs}}}")
        print(f"    expect: {{{expect}}}")
        print(f'    source: "fluids {fluids.__version__}, {name}"')
        print("    how: library")


main()
