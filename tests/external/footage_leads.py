"""The current point follows the footage, in the window, by real keys and a real mouse.

    footage_leads.py PROGRAM FILE

FILE is footage with a record of at least three points beside it. Plays through three points without touching anything;
presses the key of a winner between two points; drags along the time line to twenty places; drags along the score ribbon
over three points, and clicks one. Needs a display and a session bus of its own. Exit code 1 when anything shown belongs to another moment.
"""
import json
import pathlib
import subprocess
import sys
import time

import pyatspi

from real_window import application, everything, wait, xdotool

# How long after a start the window may still show what was before it, in seconds.
LATE = 0.1
CALLED = ["0", "15", "30", "40"]
problems = []


def seconds(text):
    total = 0.0
    for part in text.split(":"):
        total = total * 60 + float(part)
    return total


class Window:
    """What the window says, read from a few nodes of the accessible tree that are looked up once."""

    def __init__(self, app):
        self.top = xdotool("search", "--onlyvisible", "--class", "changeover").split()[-1]
        nodes = list(everything(app))
        labels = [n for n in nodes if n.getRoleName() == "label"]
        self.clock = next(n for n in labels if n.name.count(":") == 2 and n.name.count(".") == 1)
        self.line = next(n for n in labels if n.name.startswith("Point ") and " of " in n.name)
        self.ribbon = next(n for n in nodes if n.name == "Score ribbon")
        self.bar = next(n for n in nodes if n.name == "Time line")

    def at(self):
        return seconds(self.clock.name)

    def still(self):
        """Waits until the frame shown is another one no more."""
        last, same = None, 0
        for _ in range(200):
            now = self.at()
            same = same + 1 if now == last else 0
            if same > 8:
                break
            last = now
            time.sleep(0.05)
        return last


def where(points, at):
    """The point of a moment, counted from 1; None between two."""
    return next((n for n, (start, end) in enumerate(points, 1) if start <= at <= end), None)


def scores(record):
    """What is called before each of the first points of the first game: all of it is served by player A."""
    won, said = {"a": 0, "b": 0}, []
    for point in record["points"][:3]:
        said.append(f"{CALLED[won['a']]}–{CALLED[won['b']]}")
        won[point["winner"]] += 1
    return said


def judge(window, points, at, what, called=None):
    line, ribbon = window.line.name, window.ribbon.description
    n = where(points, at)
    right = line.startswith(f"Point {n} of") and f"oint {n}" in ribbon if n else line.startswith(("Between", "Before", "After"))
    if right and n and called:
        right = called[n - 1] in line
    if not right:
        problems.append(f"{what} at {at:.3f} s: “{line}”, ribbon “{ribbon}”, wanted {f'point {n}' if n else 'no point'}")


def go_to(window, at):
    xdotool("key", "ctrl+g")
    time.sleep(0.6)
    xdotool("type", f"0:{at:.3f}" if at < 60 else f"{int(at // 60)}:{at % 60:06.3f}")
    xdotool("key", "Return")
    time.sleep(0.5)
    # Without a window manager nobody gives the focus back.
    xdotool("windowfocus", "--sync", window.top)
    return window.still()


def play_through(window, points, called):
    go_to(window, 0.0)
    xdotool("key", "space")
    seen, last = {}, -1.0
    end = time.monotonic() + 2 * points[2][1] + 30
    while time.monotonic() < end and last < points[2][1]:
        before = window.at()
        found = len(problems)
        judge(window, points, before, "playing", called + [""] * len(points))
        after = window.at()
        # What was read while a start or an end went by, or just after it, says nothing.
        edges = [edge for span in points for edge in span]
        if any(edge - 0.05 <= after and before < edge + LATE for edge in edges):
            del problems[found:]
        else:
            n = where(points, before)
            seen[n] = seen.get(n, 0) + 1
        last = after
        time.sleep(0.02)
    xdotool("key", "space")
    print("looked while playing: " + ", ".join(f"point {n} {seen.get(n, 0)}" for n in (1, 2, 3)) + f", between {seen.get(None, 0)}")
    if not all(seen.get(n) for n in (1, 2, 3, None)):
        problems.append(f"not every point was seen: {seen}")


def press_between(app, window, points, files):
    at = (points[1][1] + points[2][0]) / 2
    go_to(window, at)
    if not window.line.name.startswith("Between point 2 and point 3"):
        problems.append(f"at {at:.1f} s the line says “{window.line.name}”")
    before = [f.read_bytes() if f.exists() else None for f in files]
    xdotool("key", "a")
    said = wait("the message", lambda: next(
        n.name for n in everything(app) if n.getRoleName() == "label" and n.name.startswith("This would change point 2")), 8)
    print(f"a between points: “{said}”")
    time.sleep(0.5)
    if before != [f.read_bytes() if f.exists() else None for f in files]:
        problems.append("a between points changed the record")


def drag(window, points, length):
    extents = window.bar.queryComponent().getExtents(pyatspi.WINDOW_COORDS)
    # The window's own frame is not counted.
    y = extents.y + extents.height // 2 + 5
    place = lambda n: extents.x + 7 + (extents.width - 4) * n // 20
    xdotool("mousemove", str(place(0)), str(y))
    time.sleep(0.3)
    xdotool("mousedown", "1")
    time.sleep(0.3)
    shown = []
    for n in [(7 * i) % 20 for i in range(20)]:
        xdotool("mousemove", str(place(n)), str(y))
        time.sleep(0.15)
        at = window.still()
        shown.append(at)
        judge(window, points, at, f"dragged to {n}/20")
        if abs(at - length * n / 20) > 0.04 * length:
            problems.append(f"dragged to {n}/20 of {length:.0f} s, and {at:.1f} s is shown")
    xdotool("mouseup", "1")
    print(f"dragged to {len(shown)} places")


def along_ribbon(window, points):
    """The marks of the first game stand side by side, 13 pixels wide, from 20 pixels on."""
    extents = window.ribbon.queryComponent().getExtents(pyatspi.WINDOW_COORDS)
    y = extents.y + extents.height // 2 + 5
    place = lambda n, part: extents.x + 5 + 20 + round(13 * (n - 1 + part))
    xdotool("mousemove", str(place(1, 0.5)), str(y))
    time.sleep(0.3)
    xdotool("mousedown", "1")
    time.sleep(0.3)
    shown = []
    for n, part in [(2, 0.7), (3, 0.3), (1, 0.6), (3, 0.7), (2, 0.3)]:
        xdotool("mousemove", str(place(n, part)), str(y))
        time.sleep(0.15)
        at = window.still()
        shown.append(at)
        judge(window, points, at, f"dragged to {part} of the mark of point {n}")
        start, end = points[n - 1]
        if abs(at - start - (end - start) * part) > 0.2 * (end - start):
            problems.append(f"dragged to {part} of the mark of point {n}, from {start:.1f} s to {end:.1f} s, and {at:.1f} s is shown")
    xdotool("mouseup", "1")
    time.sleep(0.3)
    if window.still() != shown[-1]:
        problems.append(f"the hand let go at {shown[-1]:.1f} s, and {window.still():.1f} s is shown")
    # A click, with a hand that is not quite still, chooses the point: its lead-in is shown.
    xdotool("mousemove", str(place(3, 0.3)), str(y), "mousedown", "1", "mousemove", str(place(3, 0.5)), str(y), "mouseup", "1")
    time.sleep(0.3)
    at = window.still()
    if not (points[1][1] - 0.1 <= at <= points[2][0]) or not window.line.name.startswith("Point 3 of"):
        problems.append(f"clicked on point 3, and {at:.1f} s is shown: “{window.line.name}”")
    print(f"dragged along the ribbon to {len(shown)} places")


def main():
    file = pathlib.Path(sys.argv[2])
    sidecar = file.with_suffix(".points.json")
    record = json.loads(sidecar.read_text())
    points = [(seconds(p["start"]), seconds(p["end"])) for p in record["points"]]
    length = seconds(record["footage"][0]["duration"])
    program = subprocess.Popen([sys.argv[1], str(file)])
    try:
        app = wait("the program in the accessibility tree", application)
        window = wait("the match in the window", lambda: Window(app))
        xdotool("windowsize", window.top, "1280", "800", "windowmove", window.top, "0", "0")
        xdotool("windowfocus", "--sync", window.top)
        xdotool("mousemove", "1430", "890")
        time.sleep(2)
        play_through(window, points, scores(record))
        press_between(app, window, points, [sidecar, *file.parent.glob("*.journal*")])
        drag(window, points, length)
        along_ribbon(window, points)
        xdotool("key", "ctrl+q")
        program.wait(timeout=20)
    finally:
        program.kill()
    for line in problems[:30]:
        print(line)
    sys.exit(1 if problems else 0)


if __name__ == "__main__":
    main()
