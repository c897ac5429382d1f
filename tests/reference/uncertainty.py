"""Writes tests/data/uncertainty.yaml: the uncertainty of ten figures, each of another system, by Monte Carlo.

Every input of a case is drawn from a normal distribution about what its spec says, with half of the stated uncertainty as
standard deviation (the stated one is expanded, k = 2). Each figure is computed here from its formula, written down anew;
the suspension's is a rigid body on five rods found with scipy's root finder. What comes out is the mean and twice the
standard deviation of the results (JCGM 101:2008). Made with Python 3.11, numpy 2.4.6, scipy 1.17.1:

    python tests/reference/uncertainty.py > tests/data/uncertainty.yaml

To make it anew and hold the program against it (the second command fails if the table has changed):

    python tests/reference/uncertainty.py | diff - tests/data/uncertainty.yaml
    cargo test --test uncertainty
"""

import platform

import numpy as np
import scipy
from scipy.optimize import root
from scipy.spatial.transform import Rotation

SEED = 20260601
DRAWS = 2_000_000
SUSPENSION_DRAWS = 20_000
rng = np.random.default_rng(SEED)

# Value of each unit in SI; a temperature is drawn in degrees and shifted where it is used.
SI = {"mm": 1e-3, "m": 1.0, "N": 1.0, "kg": 1.0, "L": 1e-3, "kg/m3": 1.0, "A": 1.0, "mm2": 1e-6, "°C": 1.0, "K": 1.0, "cm3": 1e-6,
      "deg": np.pi / 180}


class Inputs:
    """Draws of the inputs by name, and their texts for the spec."""

    def __init__(self, draws, **given):
        self.texts, self.draws = {}, {}
        for name, (value, give_or_take, unit) in given.items():
            self.texts[name] = f"{value} {unit} ± {give_or_take} {unit}"
            self.draws[name] = SI[unit] * rng.normal(value, give_or_take / 2, draws)

    def __getattr__(self, name):
        return self.draws[name]


def case(name, expression, spec, formula, draws=DRAWS, **given):
    inputs = Inputs(draws, **given)
    results = formula(inputs)
    print(f"  - case: \"{name}\"")
    print(f"    expression: {expression}")
    print(f"    draws: {draws}")
    print(f"    mean: {results.mean():.6e}")
    print(f"    expanded: {2 * results.std():.6e}")
    print("    spec: |")
    for line in spec.strip("\n").splitlines():
        for key, text in inputs.texts.items():
            line = line.replace("{" + key + "}", text)
        print(f"      {line}")


def tube(outside, wall):
    inside = outside - 2 * wall
    area = np.pi / 4 * (outside**2 - inside**2)
    return area, np.pi / 64 * (outside**4 - inside**4)


def column(e, strength, outside, wall, length):
    """Johnson's parabola, below the slenderness at which Euler's load is half of the yield load."""
    area, moment = tube(outside, wall)
    slender = length / np.sqrt(moment / area)
    assert np.all(slender < np.pi * np.sqrt(2 * e / strength)), "another branch"
    return area * strength * (1 - strength * slender**2 / (4 * np.pi**2 * e))


def length(a, b):
    return np.sqrt(sum((p - q) ** 2 for p, q in zip(a, b)))


def standard_pressure(height):
    """Barometric formula of ISO 2533 in the lowest layer."""
    return 101325.0 * (1 - 0.0065 * height / 288.15) ** (9.80665 * 0.0289644 / (8.31446 * 0.0065))


# Wishbones and a tie rod: the upright is a rigid body held by five rods with balls at their ends.
RODS = {
    "lower front leg": ("lower arm leg", (170, 310, 175), (14, 690, 168)),
    "lower rear leg": ("lower arm leg", (-150, 325, 190), (14, 690, 168)),
    "upper front leg": ("upper arm leg", (120, 380, 402), (-22, 640, 436)),
    "upper rear leg": ("upper arm leg", (-160, 372, 388), (-22, 640, 436)),
    "tie rod": ("tie rod", (-118, 338, 242), (-130, 668, 248)),
}
WHEEL = np.array((0.0, 725.0, 300.0))
CAMBER, TOE = np.radians(-1.0), np.radians(0.1)
UNCERTAIN = {"lower front leg": "i", "upper front leg": "i", "tie rod": "io"}
POINT = 1.5  # mm, of each coordinate


def suspension_spec():
    links = []
    for name, (work, inner, outer) in RODS.items():
        def point(at, end):
            uncertain = end in UNCERTAIN.get(name, "")
            return "[" + ", ".join(f"{c} mm ± {POINT} mm" if uncertain else f"{c} mm" for c in at) + "]"
        links.append(f"    - {{link: {name}, axle: front, work: {work}, inner: {point(inner, 'i')}, outer: {point(outer, 'o')}}}")
    return """
vehicle: {front: {track: 1450 mm, tyre: {loaded_radius: 300 mm}}}
suspension:
  axles:
    - {axle: front, layout: double wishbone, wheel_centre: [0 mm, 725 mm, 300 mm], camber: -1 deg, toe_in: 0.1 deg}
  links:
""" + "\n".join(links)


def toe_at(inner, outer, travel):
    """Toe of the wheel at a travel, from the rods' ends as drawn."""
    lengths = np.linalg.norm(inner - outer, axis=1)
    carried = outer - WHEEL

    def misfit(q):
        ends = WHEEL + q[:3] * 10 + Rotation.from_rotvec(q[3:] / 10).apply(carried)
        rods = np.sum((ends - inner) ** 2, axis=1) - lengths**2
        return np.append(rods / 400.0, q[2] * 10 - travel)

    found = root(misfit, [0, 0, travel / 10, 0, 0, 0], method="hybr", tol=1e-12)
    assert np.max(np.abs(found.fun)) < 1e-6, found
    axis = np.array([np.sin(TOE) * np.cos(CAMBER), np.cos(TOE) * np.cos(CAMBER), -np.sin(CAMBER)])
    axis = Rotation.from_rotvec(found.x[3:] / 10).apply(axis)
    return np.arctan2(axis[0], axis[1])


def toe_changes(_):
    inner = np.array([rod[1] for rod in RODS.values()], float)
    outer = np.array([rod[2] for rod in RODS.values()], float)
    at_inner = np.array([["i" in UNCERTAIN.get(name, "")] * 3 for name in RODS])
    at_outer = np.array([["o" in UNCERTAIN.get(name, "")] * 3 for name in RODS])
    results = []
    for _ in range(SUSPENSION_DRAWS):
        i = inner + rng.normal(0, POINT / 2, inner.shape) * at_inner
        o = outer + rng.normal(0, POINT / 2, outer.shape) * at_outer
        results.append(toe_at(i, o, 12.5) - toe_at(i, o, -12.5))
    return np.array(results)


def main():
    versions = f"Python {platform.python_version().rsplit('.', 1)[0]}, numpy {np.__version__}, scipy {scipy.__version__}"
    print("# Uncertainty of figures by Monte Carlo, in SI units; `expanded` is twice the standard deviation.")
    print(f"# Made by tests/reference/uncertainty.py with {versions}, seed {SEED}.")
    print("cases:")
    case(
        "brakes: line pressure of a circuit behind a balance bar", "brakes.circuits/front.design_pressure",
        """
brakes:
  servo: none
  pedal: {foot_arm: {foot}, push_arm: {push}, design_force: 1000 N}
  balance_bar: {spacing: {spacing}, pivot_to_front: {pivot}}
  circuits:
    - {circuit: front, pushed_at: front clevis, bore: {bore}}
""",
        lambda i: 1000 * i.foot / i.push * (i.spacing - i.pivot) / i.spacing / (np.pi / 4 * i.bore**2),
        foot=(302, 3, "mm"), push=(58, 1, "mm"), spacing=(62, 0.5, "mm"), pivot=(28, 0.8, "mm"), bore=(17.78, 0.05, "mm"),
    )
    case(
        "driveline: critical speed of a shaft", "driveline.line/prop.critical_speed",
        """
driveline:
  line:
    - {shaft: prop, length: {span}, tube: {outside: {outside}, wall: {wall}, material: steel}}
""",
        lambda i: (np.pi / i.span) ** 2 * np.sqrt(206e9 * tube(i.outside, i.wall)[1] / (7850 * tube(i.outside, i.wall)[0])),
        span=(1240, 12, "mm"), outside=(63.5, 0.6, "mm"), wall=(2.1, 0.2, "mm"),
    )
    case(
        "fuel: crash force of a full tank", "fuel.tanks/main.crash_force",
        """
fuel:
  density: {density}
  tanks:
    - {tank: main, empty_mass: {empty}, capacity: {capacity}}
""",
        lambda i: 20 * 9.80665 * (i.empty + i.capacity * i.density),
        density=(747, 8, "kg/m3"), empty=(10.5, 0.4, "kg"), capacity=(41, 1.2, "L"),
    )
    case(
        "cooling: density of the air before the radiator", "cooling.radiator.air_density",
        """
fuel: {highest_place: {height}}
cooling: {hottest_day: {air}, radiator: {air_warmed: {warmed}}}
""",
        lambda i: standard_pressure(i.height) / (287.05 * (i.air + i.warmed + 273.15)),
        height=(480, 60, "m"), air=(38, 4, "°C"), warmed=(5, 2, "K"),
    )
    case(
        "electrical: voltage lost in a wire", "electrical.wires/pump.resistance * electrical.loads/pump.current",
        """
electrical:
  wires:
    - {wire: pump, size: 2.5 mm2, length: {way}, hottest: {heat}}
  loads:
    - {load: pump, wire: pump, current: {current}}
""",
        lambda i: 1.7241e-8 * (1 + 0.00393 * (i.heat - 20)) * i.way / 2.5e-6 * i.current,
        way=(6.5, 0.2, "m"), heat=(60, 8, "°C"), current=(8.4, 0.5, "A"),
    )
    case(
        "exhaust: growth of two pipes", "exhaust.growth",
        """
exhaust:
  line:
    - {section: front pipe, material: mild steel, length: {one}, hottest: {hot}}
    - {section: rear pipe, material: austenitic stainless steel, length: {two}, hottest: {warm}}
""",
        lambda i: 13.5e-6 * i.one * (i.hot - 20) + 18e-6 * i.two * (i.warm - 20),
        one=(900, 15, "mm"), two=(1600, 25, "mm"), hot=(520, 40, "°C"), warm=(310, 40, "°C"),
    )
    case(
        "vehicle: height of the centre of gravity from a raised axle", "vehicle.loads/driver.height_by_scales",
        """
vehicle:
  wheelbase: {base}
  front: {tyre: {loaded_radius: {front}}}
  rear: {tyre: {loaded_radius: {rear}}}
  loads:
    - load: driver
      front_axle: {level}
      rear_axle: {behind}
      raised_axle: {raised: rear, lift: {lift}, on_the_other: {raised}}
""",
        lambda i: (i.front + i.rear) / 2
        + i.base * (i.raised - i.level) / (i.level + i.behind) / np.tan(np.arcsin(i.lift / i.base)),
        base=(2450, 4, "mm"), front=(292, 2, "mm"), rear=(295, 2, "mm"), level=(430, 1, "kg"), behind=(440, 1, "kg"),
        lift=(620, 6, "mm"), raised=(452, 1, "kg"),
    )
    case(
        "gearbox: travel of the release bearing", "gearbox.release.bearing_travel",
        """
gearbox:
  release:
    kind: hydraulic
    pedal_travel: {pedal}
    free_play: {play}
    pedal_ratio: "6.2:1"
    master_bore: {master}
    slave_bore: {slave}
    fork_ratio: "1.8:1"
    swell: {swell}
""",
        lambda i: ((i.pedal - i.play) / 6.2 * (i.master / i.slave) ** 2 - i.swell / (np.pi / 4 * i.slave**2)) / 1.8,
        pedal=(140, 4, "mm"), play=(10, 2, "mm"), master=(19.05, 0.1, "mm"), slave=(22.2, 0.1, "mm"),
        swell=(0.4, 0.1, "cm3"),
    )
    case(
        "structure: load that a straight tube carries", "structure.tubes/brace.buckles_at",
        """
structure:
  tubes:
    - tube: brace
      material: carbon steel
      outside: {outside}
      wall: {wall}
      from: [0 mm, {fy}, {fz}]
      to: [{tx}, 250 mm, {tz}]
""",
        lambda i: column(200e9, 305e6, i.outside, i.wall, length((0, i.fy, i.fz), (i.tx, 0.25, i.tz))),
        outside=(38, 0.4, "mm"), wall=(2.5, 0.2, "mm"), fy=(600, 5, "mm"), fz=(300, 5, "mm"), tx=(-700, 8, "mm"),
        tz=(1000, 8, "mm"),
    )
    case(
        "suspension: toe gained over 25 mm of travel", "suspension.axles/front.toe_change(0 mm)", suspension_spec(),
        toe_changes, draws=SUSPENSION_DRAWS,
    )


if __name__ == "__main__":
    main()
