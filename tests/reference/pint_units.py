"""Makes tests/data/pint_units.json: quantities as a builder writes them, with their SI values by an independent library.

Made with Python 3.11.7, pint 0.25.3:  python tests/reference/pint_units.py > tests/data/pint_units.json
"""

import itertools
import json
import sys

import pint

UNITS = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)

LENGTHS = {"mm": "mm", "cm": "cm", "m": "m", "in": "inch", "ft": "foot"}
FORCES = {"N": "newton", "kN": "kilonewton", "daN": "decanewton", "lbf": "lbf", "kgf": "kgf"}
MASSES = {"kg": "kg", "g": "g", "lb": "pound", "oz": "ounce"}
TIMES = {"s": "s", "min": "minute", "h": "hour"}
VOLUMES = {"L": "liter", "mL": "milliliter", "cc": "cm**3", "US gal": "US_liquid_gallon", "imp gal": "imperial_gallon", "in3": "inch**3"}

SINGLE = {
    "number": {"%": "percent", "ppm": "ppm"},
    "angle": {"deg": "degree", "°": "degree", "rad": "radian", "mrad": "milliradian", "arcmin": "arcminute", "rev": "turn"},
    "length": {**LENGTHS, "km": "km", "dm": "dm", "µm": "micrometer", "yd": "yard", "mi": "mile", "thou": "thou", "inches": "inch"},
    "area": {"mm2": "mm**2", "cm²": "cm**2", "m^2": "m**2", "in2": "inch**2", "ft2": "ft**2", "sq in": "inch**2"},
    "volume": {
        **VOLUMES, "dL": "deciliter", "m3": "m**3", "ft3": "ft**3", "cu in": "inch**3", "US qt": "US_liquid_quart", "US pt": "US_pint",
        "US fl oz": "US_fluid_ounce", "imp qt": "imperial_quart", "imp pt": "imperial_pint", "imp fl oz": "imperial_fluid_ounce",
    },
    "mass": {**MASSES, "mg": "mg", "t": "tonne", "slug": "slug", "short ton": "short_ton", "long ton": "long_ton", "lbs": "pound"},
    "time": {**TIMES, "ms": "ms", "µs": "microsecond", "d": "day", "week": "week"},
    "speed": {"m/s": "m/s", "km/h": "km/hour", "kph": "kph", "mph": "mph", "ft/s": "ft/s", "ft/min": "ft/minute", "knot": "knot", "in/s": "inch/s"},
    "acceleration": {"m/s2": "m/s**2", "ft/s2": "ft/s**2", "g": "standard_gravity", "cm/s²": "cm/s**2"},
    "rotational speed": {"rpm": "rpm", "rad/s": "radian/s", "deg/s": "degree/s", "rev/s": "turn/s", "rev/min": "turn/minute"},
    "angular acceleration": {"rad/s2": "radian/s**2", "deg/s2": "degree/s**2", "rpm/s": "rpm/s"},
    "frequency": {"Hz": "hertz", "kHz": "kilohertz", "1/min": "1/minute"},
    "force": {**FORCES, "ozf": "force_ounce", "kip": "kip", "gf": "gram_force"},
    "torque": {
        "Nm": "N*m", "kNm": "kN*m", "Nmm": "N*mm", "lbf ft": "lbf*ft", "ft-lb": "lbf*ft", "lbf in": "lbf*inch", "kgf m": "kgf*m", "ozf in": "force_ounce*inch",
    },
    "energy": {"J": "J", "kJ": "kJ", "MJ": "MJ", "Wh": "W*hour", "kWh": "kW*hour", "ft lbf": "ft*lbf"},
    "power": {"W": "W", "kW": "kW", "mech hp": "horsepower", "bhp": "horsepower", "PS": "metric_horsepower", "ft lbf/s": "ft*lbf/s"},
    "gauge pressure": {"kPa": "kPa", "bar": "bar", "psi": "psi", "mbar": "mbar", "psig": "psi", "barg": "bar", "inHg": "inHg", "inH2O": "inH2O"},
    "absolute pressure": {"kPa": "kPa", "psia": "psi", "bar abs": "bar", "hPa": "hPa", "atm": "atm", "mmHg": "mmHg", "Pa": "Pa"},
    "stress": {"MPa": "MPa", "N/mm2": "N/mm**2", "GPa": "GPa", "ksi": "ksi", "psi": "psi", "kgf/mm2": "kgf/mm**2", "lbf/in2": "lbf/inch**2", "kN/cm2": "kN/cm**2"},
    "temperature difference": {"K": "kelvin", "°C": "delta_degC", "°F": "delta_degF"},
    "thermal conductivity": {"W/(m K)": "W/m/K", "mW/(mm K)": "mW/mm/K"},
    "heat transfer coefficient": {"W/(m2 K)": "W/m**2/K", "W/m2/K": "W/m**2/K", "kW/(m² °C)": "kW/m**2/delta_degC"},
    "specific heat capacity": {"J/(kg K)": "J/kg/K", "kJ/kg/K": "kJ/kg/K", "J/(g °C)": "J/g/delta_degC"},
    "specific energy": {"MJ/kg": "MJ/kg", "kJ/kg": "kJ/kg", "kWh/kg": "kW*hour/kg", "J/g": "J/g"},
    "thermal conductance": {"W/K": "W/K", "kW/°C": "kW/delta_degC"},
    "thermal expansion": {"1/K": "1/K", "µm/(m K)": "micrometer/m/K", "ppm/K": "ppm/K", "1/°F": "1/delta_degF"},
    "current": {"A": "A", "mA": "mA", "kA": "kA"},
    "voltage": {"V": "V", "mV": "mV", "kV": "kV", "W/A": "W/A"},
    "resistance": {"ohm": "ohm", "mohm": "milliohm", "kΩ": "kiloohm", "V/A": "V/A"},
    "resistivity": {"ohm m": "ohm*m", "ohm mm2/m": "ohm*mm**2/m"},
    "charge": {"Ah": "A*hour", "mAh": "mA*hour", "A s": "A*s"},
    "luminous intensity": {"cd": "cd"},
    "dynamic viscosity": {"Pa s": "Pa*s", "mPa s": "mPa*s", "cP": "centipoise"},
    "kinematic viscosity": {"cSt": "centistokes", "mm2/s": "mm**2/s", "m2/s": "m**2/s"},
    "specific consumption": {"g/kWh": "g/(kW*hour)", "g/(kW h)": "g/(kW*hour)", "lb/(mech hp h)": "pound/(horsepower*hour)", "kg/(PS h)": "kg/(metric_horsepower*hour)"},
    "volume per length": {"mL/m": "mL/m", "cc/ft": "cm**3/ft"},
    "volume per pressure": {"mL/bar": "mL/bar", "cc/psi": "cm**3/psi", "mL/MPa": "mL/MPa"},
    "section modulus": {"cm3": "cm**3", "in3": "inch**3", "mm³": "mm**3"},
    "second moment of area": {"cm4": "cm**4", "in4": "inch**4", "mm^4": "mm**4"},
}


def over(above, below):
    return {f"{a}/{b}": f"({x})/({y})" for (a, x), (b, y) in itertools.product(above.items(), below.items())}


COMPOUND = {
    "spring rate": over(FORCES, LENGTHS),
    "density": over(MASSES, {"m3": "m**3", "L": "liter", "cm3": "cm**3", "in3": "inch**3", "ft3": "ft**3"}),
    "flow": over(VOLUMES, TIMES) | {"cfm": "ft**3/minute"},
    "mass flow": over(MASSES, TIMES),
    "mass per length": over(MASSES, {"m": "m", "mm": "mm", "ft": "foot", "in": "inch"}),
    "rotational stiffness": over({"Nm": "N*m", "lbf ft": "lbf*ft", "kgf m": "kgf*m"}, {"deg": "degree", "rad": "radian", "°": "degree"}),
    "damping": {f"{f} s/{x}": f"{F}*s/({X})" for (f, F), (x, X) in itertools.product(FORCES.items(), LENGTHS.items())},
    "moment of inertia": {f"{m} {x}2": f"({M})*({X})**2" for (m, M), (x, X) in itertools.product(MASSES.items(), LENGTHS.items())},
    "torque": {f"{f}*{x}": f"({F})*({X})" for (f, F), (x, X) in itertools.product(FORCES.items(), LENGTHS.items())},
}

VALUES = [1.0, 37.5, 0.062, 1234.0, 8.75]


def rows():
    values = itertools.cycle(VALUES)
    for table in (SINGLE, COMPOUND):
        for kind, units in table.items():
            for text, expression in units.items():
                value = next(values)
                # Parsing the value with the expression would send an offset unit through a multiplication.
                si = UNITS.Quantity(value, expression).to_base_units().magnitude
                yield {"text": f"{value:g} {text}", "kind": kind, "si": si}
    for value, unit, name in [(95, "°C", "degC"), (-40, "°C", "degC"), (212, "°F", "degF"), (-40, "degF", "degF"), (451, "°F", "degF"), (300, "K", "kelvin")]:
        yield {"text": f"{value} {unit}", "kind": "temperature", "si": UNITS.Quantity(value, name).to("kelvin").magnitude}


lines = ",\n".join(json.dumps(row, ensure_ascii=False) for row in rows())
sys.stdout.write(f'{{"made_with": "pint {pint.__version__}", "rows": [\n{lines}\n]}}\n')
