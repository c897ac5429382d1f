"""Writes tests/data/reference_brakes_numeric.yaml: check values for src/physics/brakes by numerical routes.

Each value comes from a linear solve, a root search, a quadrature or an integration in time, never from the closed form
that the program uses. Made with Python 3.11, numpy 2.4.6, scipy 1.17.1:

    python tests/reference/brakes.py > tests/data/reference_brakes_numeric.yaml
"""

import numpy as np
import scipy
from scipy.integrate import dblquad, quad, solve_ivp
from scipy.optimize import brentq, minimize_scalar

G = 9.80665
ROUTE = f"numpy {np.__version__}, scipy {scipy.__version__}"
cases = []


def case(name, computation, inputs, expect, route, tolerance=1e-6):
    cases.append((name, computation, inputs, expect, f"{route} ({ROUTE})", tolerance))


def loads(weight, wheelbase, behind, height, z):
    """Vertical balance and moments about the front contact."""
    matrix = np.array([[1.0, 1.0], [0.0, wheelbase]])
    return np.linalg.solve(matrix, np.array([weight, weight * behind - weight * z * height]))


def used(share, car, z):
    front, rear = loads(1.0, *car, z)
    return share * z / front, (1 - share) * z / rear


cars = {"light": (2.28, 1.19, 0.44), "saloon": (2.65, 1.27, 0.55), "rear-engined": (2.35, 1.41, 0.50)}

for name, car in cars.items():
    metres = dict(zip(("wheelbase", "cg_behind_front_axle", "cg_height"), ((v, "m") for v in car)))

    rates = np.linspace(0.15, 0.8, 4001)
    least = max(brentq(lambda s: used(s, car, z)[1] - z / 0.9, -2, 0.99999) for z in (rates[0], rates[2000], rates[-1]))
    worst = minimize_scalar(
        lambda z: brentq(lambda s: z - 0.1 - 0.7 * (used(s, car, z)[0] - 0.2), 0.0, 5.0),
        bounds=(0.1, 0.52), method="bounded", options={"xatol": 1e-12})
    ends = [brentq(lambda s: z - 0.1 - 0.7 * (used(s, car, z)[0] - 0.2), 0.0, 5.0) for z in (0.1, 0.52)]
    band = {"least": (least, "1"), "greatest": (min([worst.fun, *ends]), "1")}
    case(f"safe-share-{name}", "safe_front_shares", metres, band, "root search on both conditions over the sweep", 1e-6)

    gains = {"front_gain": (17.5, "1"), "rear_gain": (9.25, "1")}
    bar = {key: (brentq(lambda s: s * 17.5 / (s * 17.5 + (1 - s) * 9.25) - share, 0, 1), "1")
           for key, (share, _) in band.items()}
    case(f"safe-bar-{name}", "safe_bar_shares", metres | gains, bar, "root search on the bar's share")

    for mu in (0.35, 0.95):
        both = brentq(lambda z: max(used(0.68, car, z)) - mu, 1e-6, car[1] / car[2] * 0.999)
        front = brentq(lambda z: used(0.68, car, z)[0] - mu, 1e-6, car[1] / car[2] * 0.999)
        rear = brentq(lambda z: used(0.68, car, z)[1] - mu, 1e-6, car[1] / car[2] * 0.999)
        case(f"lock-{name}-{mu}", "lock_order",
             metres | {"front_brake_fraction": (0.68, "1"), "friction": (mu, "1"), "rolling_resistance": (0, "1")},
             {"front_lock": (front, "1"), "rear_lock": (rear, "1"), "efficiency": (both / mu, "1")},
             "root search on the adhesion used")

    grade = 0.2
    theta = np.arctan(grade)

    def on_grade(uphill):
        """Normal loads from moments, the weight split along and square to the road."""
        along = np.sin(theta) * (1 if uphill else -1)
        matrix = np.array([[1.0, 1.0], [0.0, car[0]]])
        return 0.7 * np.linalg.solve(matrix, [1e4 * np.cos(theta), 1e4 * (np.cos(theta) * car[1] + along * car[2])])

    (fu, ru), (fd, rd) = on_grade(True), on_grade(False)
    case(f"hold-{name}", "holding_limits",
         metres | {"weight": (1e4, "N"), "friction": (0.7, "1"), "grade": (grade, "1")},
         {"rear_facing_up": (ru, "N"), "rear_facing_down": (rd, "N"), "front_facing_up": (fu, "N"),
          "front_facing_down": (fd, "N")}, "linear solve of the equilibrium")

for z, knee, slope in ((0.2, 900.0, 0.4), (0.75, 900.0, 0.4), (0.9, 400.0, 0.0)):
    gf, gr, weight = 6.2, 4.4, 11500.0

    def total(push):
        return gf * push + gr * np.interp(push, [0, knee, knee + 1e5], [0, knee, knee + slope * 1e5])

    push = brentq(lambda p: total(p) - z * weight, 0, 1e5, xtol=1e-12)
    case(f"effort-valve-{z}-{slope}", "braking_effort_with_valve",
         {"deceleration": (z, "1"), "weight": (weight, "N"), "front_gain": (gf, "1"), "rear_gain": (gr, "1"),
          "knee_push": (knee, "N"), "slope": (slope, "1")},
         {"push": (push, "N"), "front": (gf * push, "N"), "rear": (z * weight - gf * push, "N"),
          "front_share": (gf * push / (z * weight), "1")}, "root search on a tabulated valve")

for v, tr, tb, d in ((33.0, 0.9, 0.25, 7.2), (55.0, 0.4, 0.5, 9.5)):
    before = v * tr
    rise = solve_ivp(lambda t, y: [y[1], -d * t / tb], (0, tb), [0.0, v], rtol=1e-12, atol=1e-12)
    stop = lambda t, y: y[1]
    stop.terminal = True
    rest = solve_ivp(lambda t, y: [y[1], -d], (0, 60), [rise.y[0, -1], rise.y[1, -1]], events=stop, rtol=1e-12, atol=1e-12)
    case(f"stop-{v}", "stopping",
         {"speed": (v, "m/s"), "reaction": (tr, "s"), "build_up": (tb, "s"), "deceleration": (d, "m/s2")},
         {"distance": (before + rest.y_events[0][0][0], "m"), "before_full": (before + rise.y[0, -1], "m")},
         "integration in time")

for inner, outer in ((0.088, 0.131), (0.05, 0.16)):
    moment = dblquad(lambda r, _: r * r, 0, 1, inner, outer)[0]
    area = dblquad(lambda r, _: r, 0, 1, inner, outer)[0]
    case(f"radius-{outer}", "even_pressure_pad_radius", {"outer": (outer, "m"), "inner": (inner, "m")},
         {"radius": (moment / area, "m")}, "quadrature over the pad")

for flux, ts, k, rho, c in ((4.1e6, 5.5, 52.0, 7150.0, 480.0), (1.2e6, 2.2, 26.0, 7700.0, 500.0)):
    def surface(t):
        part, _ = quad(lambda u: flux * (1 - (t - u * u) / ts) * 2, 0, np.sqrt(t))
        return part / np.sqrt(np.pi * k * rho * c)

    top = minimize_scalar(lambda t: -surface(t), bounds=(0.01 * ts, ts), method="bounded", options={"xatol": 1e-10})
    case(f"surface-{k}", "surface_temperature_rise",
         {"flux": (flux, "W/m2"), "stop_time": (ts, "s"), "conductivity": (k, "W/(m K)"), "density": (rho, "kg/m3"),
          "specific_heat": (c, "J/(kg K)")}, {"peak": (-top.fun, "K"), "time_of_peak": (top.x, "s")},
         "Duhamel integral by quadrature, its top by search", 1e-5)

for flux, ts, l, k, rho, c in ((2.2e6, 6.0, 0.009, 48.0, 7200.0, 460.0), (3.0e6, 3.0, 0.005, 26.0, 7700.0, 490.0),
                               (1.5e6, 4.0, 0.03, 48.0, 7200.0, 460.0)):
    # Method of lines on cells of even size, two grids, extrapolated.
    def lines(cells):
        h = l / cells
        a = k / (rho * c)

        def slope(t, y):
            flow = np.empty(cells + 1)
            flow[1:-1] = -k * np.diff(y) / h
            flow[0] = flux * (1 - t / ts)
            flow[-1] = 0.0
            return (flow[:-1] - flow[1:]) / (rho * c * h)

        t = np.linspace(0, ts, 4001)
        y = solve_ivp(slope, (0, ts), np.zeros(cells), method="BDF", t_eval=t, rtol=1e-9, atol=1e-9).y
        # From the middle of the first cell to the surface: the flux there, and its fall within the half cell.
        q = flux * (1 - t / ts)
        return t, y[0] + (q * 0.375 + 0.125 * k * (y[0] - y[1]) / h) * h / k

    t, coarse = lines(60)
    _, fine = lines(120)
    surface_rise = (4 * fine - coarse) / 3
    at = int(np.argmax(surface_rise))
    fit = np.polyfit(t[at - 20:at + 21] - t[at], surface_rise[at - 20:at + 21], 4)
    top = minimize_scalar(lambda x: -np.polyval(fit, x), bounds=(t[at - 20] - t[at], t[at + 20] - t[at]), method="bounded")
    case(f"plate-{l}", "plate_surface_temperature_rise",
         {"flux": (flux, "W/m2"), "stop_time": (ts, "s"), "thickness": (l, "m"), "conductivity": (k, "W/(m K)"),
          "density": (rho, "kg/m3"), "specific_heat": (c, "J/(kg K)")},
         {"peak": (-top.fun, "K"), "at_end": (surface_rise[-1], "K"),
          "mean_at_end": (flux * ts / 2 / (rho * c * l), "K")}, "method of lines, two grids", 2e-4)

for start, air, rise, n, gap, tau in ((338.0, 293.0, 62.0, 15, 45.0, 410.0), (293.0, 303.0, 118.0, 8, 30.0, 260.0)):
    now = start + rise
    for _ in range(n - 1):
        now = solve_ivp(lambda t, y: [-(y[0] - air) / tau], (0, gap), [now], rtol=1e-12, atol=1e-12).y[0, -1] + rise
    case(f"fade-{n}", "fade_temperature",
         {"start": (start, "K"), "air": (air, "K"), "rise": (rise, "K"), "stops": (n, "1"), "interval": (gap, "s"),
          "time_constant": (tau, "s")}, {"last": (now, "K")}, "integration of the cooling, stop by stop")

for force, weight in ((2350.0, 11800.0), (7000.0, 9000.0)):
    grade = brentq(lambda g: weight * np.sin(np.arctan(g)) - force, 0, 10, xtol=1e-14)
    case(f"grade-{force}", "grade_held", {"force": (force, "N"), "weight": (weight, "N")}, {"grade": (grade, "1")},
         "root search")

print("# Written by tests/reference/brakes.py; not edited by hand.\ncases:")
for name, computation, inputs, expect, route, tolerance in cases:
    print(f"- id: {name}\n  computation: {computation}\n  inputs:")
    for key, (value, unit) in inputs.items():
        print(f"    {key}: {{value: {float(value)!r}, unit: {unit!r}}}")
    print("  expect:")
    for key, (value, unit) in expect.items():
        print(f"    {key}: {{value: {float(value):.10g}, unit: {unit!r}, rel_tol: {tolerance}}}")
    print(f"  source: {route!r}\n  how: library")
