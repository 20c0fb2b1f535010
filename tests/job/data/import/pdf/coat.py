"""The garden coat's numbers for the scripts beside: garden-coat.pattern.ron, read and laid on a sheet.

A piece is drawn by half as the pattern has it, in millimetres, y up; `PLACES` says where its origin lies on the sheet.
"""

import math
import re
from pathlib import Path

PATTERN = Path(__file__).parents[5] / "demo-data" / "garden-coat.pattern.ron"
SIZES = ["84", "88", "92", "96", "100"]
# Red, green, blue and dashes in mm of each size.
LOOKS = [
    ((0.8, 0.0, 0.0), []),
    ((0.0, 0.5, 0.0), [9, 3]),
    ((0.0, 0.0, 0.8), [3, 3]),
    ((0.6, 0.3, 0.0), [9, 3, 1, 3]),
    ((0.0, 0.0, 0.0), [1.5, 1.5]),
]
SHEET = (2050.0, 1300.0)
PLACES = {
    "back": (60.0, 800.0),
    "front": (560.0, 800.0),
    "front facing": (1160.0, 800.0),
    "back neck facing": (1500.0, 800.0),
    "front armhole facing": (1500.0, 300.0),
    "back armhole facing": (1700.0, 100.0),
}
TICK = 8.0


def parse(text):
    tokens = re.findall(r'"[^"]*"|-?[\d.]+(?:e-?\d+)?|[A-Za-z_]\w*|[()\[\]:,]', re.sub(r"//.*", "", text))
    at = 0

    def value():
        nonlocal at
        token = tokens[at]
        at += 1
        if token == "[":
            return items("]")
        if token == "(":
            return items(")")
        if token[0] == '"':
            return token[1:-1]
        if re.match(r"-?[\d.]", token):
            return float(token)
        if at < len(tokens) and tokens[at] == "(":
            at += 1
            return (token, items(")"))
        return token

    def items(end):
        nonlocal at
        found, named = [], {}
        while tokens[at] != end:
            if tokens[at + 1] == ":":
                key = tokens[at]
                at += 2
                named[key] = value()
            else:
                found.append(value())
            if tokens[at] == ",":
                at += 1
        at += 1
        return named or found

    return value()


def segments(drawn):
    """Edges as lists of ('L', p0, p1) and ('C', p0, p1, p2, p3); arcs as cubics of at most 5 degrees."""
    edges = {}
    for edge in drawn["edges"]:
        at, found = tuple(edge["start"]), []
        for kind, given in edge["path"]:
            if kind == "Line":
                found.append(("L", at, tuple(given[0])))
            elif kind == "Cubic":
                found.append(("C", at, *map(tuple, given)))
            else:
                (cx, cy), sweep = given["center"], math.radians(given["sweep_degrees"])
                radius, start = math.dist((cx, cy), at), math.atan2(at[1] - cy, at[0] - cx)
                count = max(1, math.ceil(abs(sweep) / math.radians(5)))
                step = sweep / count
                handle = 4 / 3 * math.tan(step / 4) * radius
                for k in range(count):
                    a, b = start + k * step, start + (k + 1) * step
                    p0 = (cx + radius * math.cos(a), cy + radius * math.sin(a))
                    p3 = (cx + radius * math.cos(b), cy + radius * math.sin(b))
                    p1 = (p0[0] - handle * math.sin(a), p0[1] + handle * math.cos(a))
                    p2 = (p3[0] + handle * math.sin(b), p3[1] - handle * math.cos(b))
                    found.append(("C", p0, p1, p2, p3))
            at = found[-1][-1]
        edges[edge["edge"]] = found
    return edges


def point(segment, t):
    if segment[0] == "L":
        (x0, y0), (x1, y1) = segment[1:]
        return (x0 + t * (x1 - x0), y0 + t * (y1 - y0))
    a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
    p0, p1, p2, p3 = segment[1:]
    return tuple(a * p0[k] + b * p1[k] + c * p2[k] + d * p3[k] for k in (0, 1))


def flat(run, steps=400):
    points = [run[0][1]]
    for segment in run:
        count = 1 if segment[0] == "L" else steps
        points += [point(segment, (k + 1) / count) for k in range(count)]
    return points


def tick(run, distance, back):
    """A tick across the edge at an arc length from its start, or from its end."""
    points = flat(run, 4000)
    points = points[::-1] if back else points
    left = distance
    for (x0, y0), (x1, y1) in zip(points, points[1:]):
        length = math.dist((x0, y0), (x1, y1))
        if left <= length:
            x, y = x0 + left / length * (x1 - x0), y0 + left / length * (y1 - y0)
            nx, ny = -(y1 - y0) / length, (x1 - x0) / length
            return ((x - TICK / 2 * nx, y - TICK / 2 * ny), (x + TICK / 2 * nx, y + TICK / 2 * ny))
        left -= length
    raise ValueError("off the edge")


def coat():
    """Per size and piece: edges, ticks, the grainline and words, all on the sheet."""
    pattern = parse(PATTERN.read_text())
    sheets = []
    for size in SIZES:
        pieces = {}
        for piece in pattern["pieces"]:
            dx, dy = PLACES[piece["id"]]
            drawn = next(drawn for drawn in piece["drawn"] if drawn["size"] == size)
            move = lambda p: (p[0] + dx, p[1] + dy)
            edges = {
                name: [(s[0], *map(move, s[1:])) for s in run] for name, run in segments(drawn).items()
            }
            starts = {edge["id"]: edge["from"] for edge in piece["edges"]}
            told = {notch["id"]: notch for notch in piece["notches"]}
            ticks = []
            for notch in drawn["notches"]:
                of = told[notch["notch"]]
                back = of["from"] != starts[of["edge"]]
                ticks.append(tick(edges[of["edge"]], notch["distance"], back))
            grain = drawn["grainline"]
            words = [(t["words"], move(t["at"]), t["height"]) for t in drawn.get("texts", [])]
            pieces[piece["id"]] = dict(
                edges=edges, ticks=ticks, grain=(move(grain["from"]), move(grain["up"])), words=words
            )
        sheets.append(pieces)
    return sheets


if __name__ == "__main__":
    for size, pieces in zip(SIZES, coat()):
        for name, piece in pieces.items():
            points = [p for run in piece["edges"].values() for p in flat(run, 20)]
            xs, ys = [p[0] for p in points], [p[1] for p in points]
            print(size, name, [round(v) for v in (min(xs), min(ys), max(xs), max(ys))], len(piece["ticks"]))
