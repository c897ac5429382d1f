"""Writes tests/data/suspension_poses.yaml: poses of suspensions by a route that shares nothing with the program.

Unknowns are the places of the carried points themselves (all distances between them are constraints), not a rotation; the
links are squared distances; scipy's least_squares walks there in small steps. A strut's rod and the crank of a Watt linkage
are held by more distances. Rates are central differences of neighbouring poses. An axle that is held by five links is found
as a constrained minimum (SLSQP) of the squared misfits, with the carried points written as a rotation there.
Made with Python 3.11, numpy 2.4.6, scipy 1.17.1:

    python tests/reference/suspension_poses.py > tests/data/suspension_poses.yaml
"""

import itertools

import numpy as np
import scipy
from scipy.optimize import brentq, least_squares, minimize
from scipy.spatial.transform import Rotation

RADIUS = 300.0  # loaded radius of every wheel
EPS = 0.02  # mm of travel on each side for the rates

WISHBONES = dict(
    lower_front=(170, 310, 175), lower_rear=(-150, 325, 190), lower_ball=(14, 690, 168),
    upper_front=(120, 380, 402), upper_rear=(-160, 372, 388), upper_ball=(-22, 640, 436),
    tie_inner=(-118, 322, 236), tie_outer=(-130, 668, 248), wheel=(0, 725, 298), camber=-1.0, toe_in=0.15,
    spring=("lower_arm", (40, 420, 560), (-6, 590, 190)),
)
STRUT = dict(
    arm_front=(-10, 340, 195), arm_rear=(-310, 330, 205), ball=(8, 690, 178), top=(-28, 545, 815),
    rod_axis=(-4, 622, 330), tie_inner=(-150, 330, 262), tie_outer=(-138, 676, 270), wheel=(0, 735, 297),
    camber=-0.5, toe_in=0.0, spring=("upright", (-28, 545, 815), (-4, 622, 330)),
)
FIVE = dict(
    links=[((-2250, 330, 190), (-2480, 690, 165)), ((-2700, 300, 200), (-2540, 700, 160)),
           ((-2330, 380, 400), (-2500, 655, 430)), ((-2640, 390, 405), (-2530, 650, 425)),
           ((-2760, 340, 260), (-2640, 690, 255))],
    wheel=(-2500, 740, 302), camber=-1.5, toe_in=0.2, spring=("upright", (-2560, 450, 620), (-2530, 660, 280)),
)
ARM = dict(inner_pivot=(-2010, 250, 260), outer_pivot=(-2120, 610, 245), wheel=(-2500, 710, 300), camber=-1.0,
           toe_in=0.1, spring=("upright", (-2430, 480, 640), (-2440, 520, 270)))
# Four links, the upper ones splayed: they hold the axle sideways.
SPLAYED = dict(links=[((-1890, 420, 240), (-2480, 480, 215)), ((-1890, -420, 240), (-2480, -480, 215)),
                      ((-2080, 380, 420), (-2470, 130, 440)), ((-2080, -380, 420), (-2470, -130, 440))], watt=None)
# Two trailing links each side, nearly parallel, with a Panhard rod: one constraint too many in roll.
PANHARD = dict(links=[((-1900, 500, 230), (-2480, 500, 205)), ((-1900, -500, 230), (-2480, -500, 205)),
                      ((-2000, 450, 420), (-2460, 450, 425)), ((-2000, -450, 420), (-2460, -450, 425)),
                      ((-2580, 430, 330), (-2580, -440, 300))], watt=None)
# Three links and a Watt linkage whose crank turns on the axle.
WATT = dict(links=[((-1900, 480, 235), (-2480, 500, 210)), ((-1900, -480, 235), (-2480, -500, 210)),
                   ((-2050, 60, 430), (-2460, 50, 450))],
            watt=dict(pivot=(-2590, 0, 320), first_end=(-2590, 10, 400), first_far=(-2585, 480, 405),
                      second_end=(-2590, -10, 240), second_far=(-2585, -480, 238)))
AXLE_WHEELS = ((-2500, 700, 305), (-2500, -700, 305))
NOSE = (-2380, 20, 315)  # the pinion's joint


def arr(p):
    return np.array(p, float)


class Body:
    """Points that move as one: their places are unknowns, their distances constraints."""

    def __init__(self, points):
        self.names = list(points)
        self.drawn = np.array([arr(points[n]) for n in self.names])
        self.pairs = list(itertools.combinations(range(len(self.names)), 2))

    def rigid(self, places):
        return [(np.sum((places[a] - places[b]) ** 2) - np.sum((self.drawn[a] - self.drawn[b]) ** 2)) / 400.0
                for a, b in self.pairs]


def spin_axis(camber, toe):
    c, t = np.radians(camber), np.radians(toe)
    return np.array([np.sin(t) * np.cos(c), np.cos(t) * np.cos(c), -np.sin(c)])


def upright(layout, points, links, extra):
    """A walker: (travel, rack) -> places of the named points of the upright."""
    points = dict(points, wheel=layout["wheel"], hub=arr(layout["wheel"]) + 200 * spin_axis(layout["camber"], layout["toe_in"]))
    # Four points that span the space make the distances determine the body but for its mirror image.
    points["above"] = arr(layout["wheel"]) + (37, 11, 150)
    points["ahead"] = arr(layout["wheel"]) + (140, -20, 13)
    body = Body(points)
    at = {n: i for i, n in enumerate(body.names)}

    def residual(x, travel, rack):
        places = x.reshape(-1, 3)
        out = body.rigid(places)
        out.append(places[at["wheel"]][2] - layout["wheel"][2] - travel)
        for inner, name, steered in links:
            moved = arr(inner) + (arr((0, rack, 0)) if steered else 0)
            length = np.linalg.norm(arr(inner) - body.drawn[at[name]])
            out.append((np.sum((moved - places[at[name]]) ** 2) - length ** 2) / 400.0)
        out.extend(extra(places, at))
        return np.array(out)

    return walker(body, residual)


def walker(body, residual):
    def walk(*goal):
        goal = np.array(goal, float)
        steps = max(1, int(np.ceil(np.max(np.abs(goal)) / 5.0)))
        x = body.drawn.ravel()
        for k in range(1, steps + 1):
            x = least_squares(residual, x, args=tuple(goal * k / steps), xtol=1e-15, ftol=1e-15, gtol=1e-15,
                              method="lm" if len(residual(x, *goal)) >= len(x) else "trf").x
        worst = np.max(np.abs(residual(x, *goal)))
        assert worst < 1e-8, worst
        return dict(zip(body.names, x.reshape(-1, 3)))

    return walk


def nothing(places, at):
    return []


def wishbones_walk(s):
    return upright(s, dict(lower_ball=s["lower_ball"], upper_ball=s["upper_ball"], tie=s["tie_outer"]),
                   [(s["lower_front"], "lower_ball", 0), (s["lower_rear"], "lower_ball", 0),
                    (s["upper_front"], "upper_ball", 0), (s["upper_rear"], "upper_ball", 0), (s["tie_inner"], "tie", 1)],
                   nothing)


def strut_walk(s):
    top = arr(s["top"])
    a, b = arr(s["rod_axis"]), arr(s["rod_axis"]) + 0.5 * (top - arr(s["rod_axis"]))

    def on_line(places, at):
        # The top mount lies on the line through two points of the tube.
        return np.cross(top - places[at["rod_a"]], top - places[at["rod_b"]]) / 200.0

    return upright(s, dict(ball=s["ball"], tie=s["tie_outer"], rod_a=a, rod_b=b),
                   [(s["arm_front"], "ball", 0), (s["arm_rear"], "ball", 0), (s["tie_inner"], "tie", 1)], on_line)


def five_walk(s):
    points = {f"end{i}": outer for i, (_, outer) in enumerate(s["links"])}
    return upright(s, points, [(inner, f"end{i}", i == 4) for i, (inner, _) in enumerate(s["links"])], nothing)


def arm_walk(s):
    pivot = arr(s["inner_pivot"])
    axis = arr(s["outer_pivot"]) - pivot
    axis /= np.linalg.norm(axis)
    wheel = arr(s["wheel"])
    drawn = dict(wheel=wheel, hub=wheel + 200 * spin_axis(s["camber"], s["toe_in"]), above=wheel + (37, 11, 150),
                 ahead=wheel + (140, -20, 13))

    def walk(travel, rack):
        turn = lambda q: Rotation.from_rotvec(axis * q)
        q = brentq(lambda q: (pivot + turn(q).apply(wheel - pivot))[2] - wheel[2] - travel, -0.7, 0.7, xtol=1e-15)
        return {n: pivot + turn(q).apply(p - pivot) for n, p in drawn.items()}

    return walk


def carried(drawn, now, point):
    """Where a point goes with a body, from points of the body before and after."""
    names = [n for n in ("wheel", "hub", "above", "ahead") if n in drawn]
    a, b = np.array([drawn[n] for n in names]), np.array([now[n] for n in names])
    turn, _ = Rotation.align_vectors(b[1:] - b[0], a[1:] - a[0])
    return b[0] + turn.apply(arr(point) - a[0])


def arm_carried(s, now, point):
    a, b, ball = arr(s["lower_front"]), arr(s["lower_rear"]), arr(s["lower_ball"])
    origin = {"wheel": a, "hub": b, "above": ball}
    return carried(origin, {"wheel": a, "hub": b, "above": now["lower_ball"]}, point)


def read_wheel(places):
    wheel = places["wheel"]
    axis = (places["hub"] - wheel) / 200.0
    up = np.array([0, 0, 1.0]) - axis * axis[2]
    return wheel, axis, wheel - RADIUS * up / np.linalg.norm(up)


def wheel_case(walk, s, travel, rack):
    rest = walk(0.0, 0.0)
    now, low, high = walk(travel, rack), walk(travel - EPS, rack), walk(travel + EPS, rack)
    wheel, axis, contact = read_wheel(now)
    _, axis_low, _ = read_wheel(low)
    _, axis_high, _ = read_wheel(high)
    # The contact point as a point of the upright, for the instant centre.
    in_body = lambda places: carried(now, places, contact)
    path = (in_body(high) - in_body(low)) / (2 * EPS)
    camber = lambda a: -np.degrees(np.arcsin(a[2]))
    toe = lambda a: np.degrees(np.arctan2(a[0], a[1]))
    part, fixed, moving = s["spring"]
    end = (lambda places: arm_carried(s, places, moving)) if part == "lower_arm" else (lambda places: carried(rest, places, moving))
    length = lambda places: np.linalg.norm(end(places) - arr(fixed))
    return dict(
        wheel_centre=wheel, contact=contact, camber=camber(axis), toe_in=toe(axis),
        camber_gain=(camber(axis_high) - camber(axis_low)) / (2 * EPS),
        toe_in_gain=(toe(axis_high) - toe(axis_low)) / (2 * EPS),
        roll_centre_height=contact[1] * path[1] / path[2], side_slope_at_contact=-path[0] / path[2],
        spring_length=length(now), motion_ratio=-(length(high) - length(low)) / (2 * EPS),
    )


def axle_walk(layout):
    """(left, right) -> rotation and shift of the axle about its middle, and the links' largest misfit."""
    middle = (arr(AXLE_WHEELS[0]) + arr(AXLE_WHEELS[1])) / 2
    links = [(arr(i), arr(o), np.linalg.norm(arr(i) - arr(o))) for i, o in layout["links"]]
    watt = {k: arr(v) for k, v in layout["watt"].items()} if layout["watt"] else None

    def place(x, p):
        return middle + 100 * x[:3] + Rotation.from_rotvec(x[3:6]).apply(arr(p) - middle)

    def travels(x, goal):
        return np.array([place(x, w)[2] - w[2] - g for w, g in zip(AXLE_WHEELS, goal)])

    def misfits(x):
        out = [np.linalg.norm(place(x, o) - i) - l for i, o, l in links]
        if watt:
            spin = Rotation.from_rotvec((x[6], 0, 0))
            for k in ("first", "second"):
                end = watt["pivot"] + spin.apply(watt[k + "_end"] - watt["pivot"])
                drawn = np.linalg.norm(watt[k + "_end"] - watt[k + "_far"])
                out.append(np.linalg.norm(place(x, end) - watt[k + "_far"]) - drawn)
        return np.array(out)

    exact = len(links) + (1 if watt else 0) == 4

    def walk(left, right):
        goal = np.array([left, right])
        steps = max(1, int(np.ceil(np.max(np.abs(goal)) / 10.0)))
        x = np.zeros(7 if watt else 6)
        for k in range(1, steps + 1):
            part = goal * k / steps
            if exact:
                x = least_squares(lambda x: np.concatenate([travels(x, part), misfits(x)]), x, xtol=1e-15, ftol=1e-15,
                                  gtol=1e-15, method="lm").x
            else:
                # Lagrange: the gradient of the squares lies in the span of the travels' gradients.
                x = minimize(lambda x: np.sum(misfits(x) ** 2), x, method="SLSQP", options=dict(maxiter=500, ftol=1e-16),
                             constraints=dict(type="eq", fun=lambda x: travels(x, part))).x
                x = refine(x, part)
        assert np.max(np.abs(travels(x, goal))) < 1e-8
        assert not exact or np.max(np.abs(misfits(x))) < 1e-8
        return x

    def refine(x, part):
        n = len(x)

        def jac(f, x):
            h = 1e-5
            return np.array([(f(x + h * e) - f(x - h * e)) / (2 * h) for e in np.eye(n)]).T

        def stationary(y):
            x, m = y[:n], y[n:]
            grad = jac(misfits, x).T @ misfits(x) + jac(lambda x: travels(x, part), x).T @ m
            return np.concatenate([grad, travels(x, part)])

        return least_squares(stationary, np.concatenate([x, np.zeros(2)]), xtol=1e-15, ftol=1e-15, gtol=1e-15, method="lm").x[:n]

    return walk, place, misfits


def axle_case(layout, left, right):
    walk, place, misfits = axle_walk(layout)
    now = walk(left, right)
    turn = Rotation.from_rotvec(now[3:6])
    nose = turn.apply((1, 0, 0))
    contacts = []
    for wheel in AXLE_WHEELS:
        axis = turn.apply((0, 1, 0))
        up = np.array([0, 0, 1.0]) - axis * axis[2]
        contacts.append(place(now, wheel) - RADIUS * up / np.linalg.norm(up))
    ground = (contacts[0] + contacts[1]) / 2
    body_point = arr(AXLE_WHEELS[0]) * 0 + (arr(AXLE_WHEELS[0]) + arr(AXLE_WHEELS[1])) / 2
    local = turn.inv().apply(ground - place(now, body_point)) + body_point
    rise = (place(walk(left + EPS, right + EPS), local) - place(walk(left - EPS, right - EPS), local)) / (2 * EPS)
    a, b = walk(left + EPS, right - EPS), walk(left - EPS, right + EPS)
    sideways = (place(a, local)[1] - place(b, local)[1]) / (2 * EPS)
    roll_rate = (Rotation.from_rotvec(a[3:6]) * Rotation.from_rotvec(b[3:6]).inv()).as_rotvec() / (2 * EPS)
    across = contacts[0] - contacts[1]
    floor = ground[2] - ground[1] * across[2] / across[1]
    return dict(
        left_centre=place(now, AXLE_WHEELS[0]), right_centre=place(now, AXLE_WHEELS[1]), nose=place(now, NOSE),
        steer=np.degrees(np.arctan2(nose[1], nose[0])),
        pinion_slope_change=np.degrees(np.arctan2(nose[2], np.hypot(nose[0], nose[1]))),
        roll_centre_height=ground[2] + sideways / roll_rate[0] - floor, roll_steer=roll_rate[2] / roll_rate[0],
        side_slope_at_contact=-rise[0] / rise[2], ends_give=np.max(np.abs(misfits(now))) if len(layout["links"]) == 5 else 0.0,
    )


def text(value):
    if isinstance(value, (list, tuple, np.ndarray)):
        return "[" + ", ".join(text(v) for v in value) + "]"
    return repr(round(float(value), 9) + 0.0)


def show(name, layout_name, at, found):
    print(f"  - id: {name}")
    print(f"    layout: {layout_name}")
    print(f"    at: {text(at)}")
    print("    expect: {" + ", ".join(f"{k}: {text(v)}" for k, v in found.items()) + "}")


def points(layout):
    for key, value in layout.items():
        if key == "watt":
            if value:
                print("    watt: {" + ", ".join(f"{k}: {text(v)}" for k, v in value.items()) + "}")
        elif key == "spring":
            print(f"    spring: {{part: {value[0]}, fixed: {text(value[1])}, moving: {text(value[2])}}}")
        elif key == "links":
            print("    links: [" + ", ".join("[" + text(i) + ", " + text(o) + "]" for i, o in value) + "]")
        else:
            print(f"    {key}: {text(value)}")


def main():
    print("# Poses of suspensions in mm, deg and deg/mm, with the hard points they belong to; made by")
    print(f"# tests/reference/suspension_poses.py with numpy {np.__version__} and scipy {scipy.__version__}.")
    print("# `at` is [wheel travel, rack travel], or [left travel, right travel] of a live axle.")
    independent = dict(wishbones=(WISHBONES, wishbones_walk), strut=(STRUT, strut_walk), five_links=(FIVE, five_walk),
                       swinging_arm=(ARM, arm_walk))
    axles = dict(splayed_links=SPLAYED, panhard=PANHARD, watt=WATT)
    print("layouts:")
    for name, layout in [(n, l) for n, (l, _) in independent.items()] + list(axles.items()):
        print(f"  {name}:")
        points(layout)
    print("cases:")
    for name, (layout, make) in independent.items():
        walk = make(layout)
        racks = [(0, 0), (40, 0), (-40, 0), (85, 0), (-75, 0)]
        if name in ("wishbones", "strut"):
            racks += [(0, 45), (30, -55)]
        for travel, rack in racks:
            show(f"{name}{travel:+d}{rack:+d}".replace("_", "-"), name, (travel, rack), wheel_case(walk, layout, travel, rack))
    for name, layout in axles.items():
        for left, right in [(0, 0), (50, 50), (-60, -60), (45, -45), (70, -10)]:
            show(f"{name}{left:+d}{right:+d}".replace("_", "-"), name, (left, right), axle_case(layout, left, right))


main()
