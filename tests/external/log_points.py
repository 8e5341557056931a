#!/usr/bin/python3
"""Logs footage of points of many matches in the real window with real keys and compares the record with the truth.

    log_points.py PROGRAM FOLDER [POINTS]

FOLDER holds what `changeover demo-footage --many N` made. The question what the footage shows is answered by its key; of the
first POINTS points (default 4, the first match) each is logged while the footage stands: joined in mid-rally or not, who serves,
from which end and court, every shot, and how it ended or that it was left. Who plays is typed once and then told by the key
"same as before". Needs what scripts/drive-window needs. Exit code 1 when anything differs from what was seen.
"""
import importlib.machinery
import importlib.util
import json
import pathlib
import sys
import time

ROOT = pathlib.Path(__file__).resolve().parents[2]
loader = importlib.machinery.SourceFileLoader("drive_window", str(ROOT / "scripts/drive-window"))
window = importlib.util.module_from_spec(importlib.util.spec_from_loader("drive_window", loader))
loader.exec_module(window)
from gi.repository import Atspi, GLib  # noqa: E402

FRAME = 1 / 30


def find(room, what, limit=15.0):
    """The first node for which `what` is true, as soon as there is one."""
    end = time.monotonic() + limit
    while time.monotonic() < end:
        try:
            if node := next((n for n in room.all() if what(n)), None):
                return node
        except GLib.Error:  # a widget went away while the tree was read
            pass
        time.sleep(0.1)
    return None


def back_to_the_window():
    """Waits until the dialog is gone; without a window manager nobody else gives the keys back to the window."""
    end = time.monotonic() + 15
    while True:
        shown = window.xdotool("search", "--onlyvisible", "--class", "changeover").split()
        if len(shown) == 1:
            window.xdotool("windowfocus", "--sync", shown[0])
            return
        if time.monotonic() > end:
            sys.exit("log_points: a dialog stays open")
        time.sleep(0.05)


def go_to(room, at):
    """Shows the frame of a moment."""
    frame = round(at / FRAME - 0.499)
    window.press("ctrl+g")
    if find(room, lambda n: n.get_name() == "Go to a time" and n.get_role() != Atspi.Role.LABEL) is None:
        sys.exit("log_points: the dialog for the time did not open")
    window.xdotool("type", f"frame {frame + 1}")
    window.press("Return")
    back_to_the_window()
    shown = frame * FRAME
    clock = room.wait_for(lambda t: t[:2] == "0:" and len(t) == 11 and abs(window.seconds(t) - shown) < 0.002)
    if clock is None:
        sys.exit(f"log_points: frame {frame + 1} is not shown")


def keys(point):
    """The keys at its first moment, and those at its last."""
    joined = point["joined_late"]
    if joined:
        first = ["ctrl+j"] + ["shift+F8"] * (1 if point["strikes"][0]["by"] == "a" else 2)
    else:
        first = (["KeyS"] + ["F8"] * (1 if point["server"] == "a" else 2) + ["F9"] * (1 if point["server_end"] == "near" else 2)
                 + ["shift+F9"] * (1 if point["court_side"] == "deuce" else 2))
        for fault in window.faults_of(point):
            first += [window.PAD["middle"][window.COLUMNS.index(window.third_of(point, fault))], "KeyF"]
    last = []
    for n, strike in enumerate(rally(point), int(joined)):
        missed = strike["fate"] in ("out", "net")
        if missed:
            last += [window.FINISH_KEYS[point["ending"]], window.MISS_KEYS[window.miss_of(strike)]]
        last += window.keys_of(point, n, strike, missed)
    if point["left_early"]:
        last.append("ctrl+shift+j")
    elif rally(point) and rally(point)[-1]["fate"] in ("in", "met"):
        last.append(window.FINISH_KEYS[point["ending"]])
    return first, last


def rally(point):
    return point["strikes"] if point["joined_late"] else window.rally_of(point)


def name_players(room, point):
    """Types who plays in the current point."""
    window.press("ctrl+shift+b")
    texts = {"Player A": point["players"][0], "Player B": point["players"][1], "Score before it": point["called"], "Event": point["event"]}
    for name, text in texts.items():
        field = find(room, lambda n, name=name: n.get_name().startswith(name) and n.get_role() == Atspi.Role.TEXT)
        if field is None:
            sys.exit(f"log_points: no field for {name}")
        field.get_editable_text_iface().set_text_contents(text)
    # Return saves from any line of text.
    for _ in range(12):
        if field.get_state_set().contains(Atspi.StateType.FOCUSED):
            break
        window.press("Tab")
        time.sleep(0.1)
        field.clear_cache()
    window.press("Return")
    back_to_the_window()
    shown = point["players"][0]
    if room.wait_for(lambda t: shown in t and not t.startswith("Player")) is None:
        print(f"the window does not name {shown}")


def log_points(room, points):
    for n, point in enumerate(points):
        start, end = (window.seconds(point["span"][w]) for w in ("start", "end"))
        first, last = keys(point)
        go_to(room, start)
        for key in first:
            window.press(key)
            time.sleep(0.05)
        go_to(room, end)
        for key in last:
            window.press(key)
            time.sleep(0.05)
        if room.wait_for(lambda t, n=n: t.startswith(f"Point {n + 1} of {n + 1}")) is None:
            print(f"point {n + 1} is not the current one")
        before = points[n - 1] if n else None
        if before and before["players"] == point["players"]:
            window.press("ctrl+b")
        else:
            name_players(room, point)


def compare(record, points):
    wrong = []
    if record["match"].get("shows") != "points" or len(record["points"]) != len(points):
        wrong.append(f"{record['match'].get('shows')}, {len(record['points'])} points")
    for i, (got, want) in enumerate(zip(record["points"], points), 1):
        for w in ("start", "end"):
            off = abs(window.seconds(got.get(w, "9:0:0")) - window.seconds(want["span"][w]))
            if off > FRAME + 0.001:
                wrong.append(f"point {i}: its {w} is {off:.3f} s from the truth")
        joined, of_rally = want["joined_late"], rally(want)
        missed = not want["left_early"] and of_rally and of_rally[-1]["fate"] in ("out", "net")
        expected = {
            "joined_late": joined or None,
            "first_by": want["strikes"][0]["by"] if joined else None,
            "left_early": want["left_early"] or None,
            "served_by": want["server"],
            "server_end": want["server_end"],
            "side": want["court_side"],
            "faults": None if joined else len(window.faults_of(want)),
            "winner": want["winner"],
            "finish": want["ending"],
            "miss": window.miss_of(of_rally[-1]) if missed else None,
            "logged": "every" if of_rally else None,
        }
        wrong += [f"point {i}: {k} is {got.get(k)}, in truth {v}" for k, v in expected.items() if got.get(k) != v]
        shots = [{k: v for k, v in s.items() if k != "at"} for s in got.get("shots", [])]
        seen = [window.wanted_shot(want, n, s) for n, s in enumerate(of_rally, int(joined))]
        if shots != seen:
            wrong.append(f"point {i}: shots are {shots}, in truth {seen}")
        source = got.get("source", {})
        if [source.get("a"), source.get("b"), source.get("event")] != [*want["players"], want["event"]]:
            wrong.append(f"point {i}: its source is {source}")
    if (score := record["points"][0].get("source", {}).get("score")) != points[0]["called"]:
        wrong.append(f"the score before point 1 is {score!r}")
    return wrong


def main():
    program, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    truth = json.loads((folder / "many-matches.truth.json").read_text())
    points = truth["points"][: int(sys.argv[3]) if len(sys.argv) > 3 else 4]
    footage = folder / truth["files"][0]["name"]
    sidecar = footage.with_suffix(".points.json")
    process, room = window.start(program, footage, sidecar)
    try:
        if room.wait_for(lambda t: t == "What does this footage show?") is None:
            sys.exit("log_points: it was not asked what the footage shows")
        window.press("Digit4")
        log_points(room, points)
        time.sleep(0.5)
        code = window.leave(process, folder / "window.png")
    finally:
        process.kill()
    wrong = compare(json.loads(sidecar.read_text()), points)
    for line in wrong:
        print(line)
    parts = [sum(p[k] for p in points) for k in ("joined_late", "left_early")]
    print(f"{len(points)} points, {parts[0]} joined late, {parts[1]} left early, {len(wrong)} differences")
    sys.exit(1 if wrong or code else 0)


if __name__ == "__main__":
    main()
