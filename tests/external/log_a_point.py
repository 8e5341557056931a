"""Logs a point of seven balls in the window by the court pad with real keys, corrects it twice, reads the record back.

    log_a_point.py PROGRAM FILE [LAYOUT]

FILE is footage without a record. LAYOUT is a keyboard layout by setxkbmap's name (us, fr, de, "us dvorak"): keys are
pressed by their place, so the same fingers log the same point on each, and the pad's caps are those of the layout. Needs
a display and a session bus of its own. Exit code 1 when anything is not as it was typed.
"""
import json
import pathlib
import subprocess
import sys
import time

from real_window import application, everything, wait, xdotool

# X's numbers of the places.
KEY = {"U": 30, "I": 31, "O": 32, "J": 44, "K": 45, "L": 46, "M": 58, "Comma": 59, "Period": 60, "S": 39, "D": 40,
       "Q": 24, "Semicolon": 47, "Backspace": 22, "Digit2": 11, "Equal": 21}
PAD = ["U", "I", "O", "J", "K", "L", "M", "Comma", "Period"]
# What is written on these nine keys.
CAPS = {
    "us": "U I O J K L M , .",
    "fr": "U I O J K L , ; :",
    "de": "U I O J K L M , .",
    "us dvorak": "G C R H T N M W V",
    "gr": "Θ Ι Ο Ξ Κ Λ Μ , .",
    "cz": "U I O J K L M , .",
    "ru": "Г Ш Щ О Л Д Ь Б Ю",
}
problems = []


def press(*keys):
    for key in keys:
        mods, _, name = key.rpartition("+")
        xdotool("key", f"{mods}+{KEY[name]}" if mods else str(KEY[name]))
        time.sleep(0.12)


def names(app, role):
    return [n.name for n in everything(app) if n.getRoleName() == role]


def expect(what, found, wanted):
    print(f"{what}: {found}")
    if found != wanted:
        problems.append(f"{what} is {found}, not {wanted}")


def caps(app):
    """What is written on the pad's nine keys while a ball of a rally is awaited, by rows."""
    cells = ("deep, ", "mid, ", "short, ")
    return [n.rpartition(", key ")[2] for n in names(app, "push button") if n.startswith(cells)]


def says(app, start):
    """The label that begins so."""
    return wait(f"a label “{start}…”", lambda: next((n for n in names(app, "label") if n.startswith(start)), None), 8)


def log_the_point(app, layout):
    says(app, "Next: Player A’s first serve")
    press("S")
    says(app, "Where did the first serve land?")
    press("J")
    says(app, "Where did Player B’s shot land?")
    # The pad shows a half court now, and with it all nine keys.
    expect("caps", caps(app), CAPS[layout].split())
    # Return, plus one, and on to the seventh ball; the fifth is meant to be a drop shot, the second goes to a wrong cell.
    # With Alt a shot is a slice, with Alt and Shift a sliced backhand.
    press("shift+U", "alt+I", "alt+shift+Comma", "K", "D", "shift+O", "L")
    says(app, "Where did Player B’s shot land?")
    # First correction: back to ball 2 (the first press chooses the last ball), which landed right of where it was keyed.
    press(*["Semicolon"] * 6, "shift+I")
    says(app, "Where did Player B’s shot land?")
    # Second: the last ball is taken out and keyed again.
    press("Backspace", "J")
    # A moment later the point is over: the seventh ball was a winner.
    press("Equal", "Equal", "Digit2")
    says(app, "Point 1 of 1 · Player A serves")
    time.sleep(0.5)


def read_back(record):
    points = record["points"]
    expect("points", len(points), 1)
    point = points[0]

    def cell(column, row=None):
        return {"column": column} | ({"row": row} if row else {})

    wanted = [cell("left"), cell("middle", "up"), cell("middle", "up"), cell("middle", "down"), cell("middle", "middle"),
              cell("right", "up"), cell("left", "middle")]
    expect("cells", [s.get("cell") for s in point["shots"]], wanted)
    expect("backhands", [n + 1 for n, s in enumerate(point["shots"]) if s.get("wing") == "backhand"], [2, 4, 6])
    expect("slices", [n + 1 for n, s in enumerate(point["shots"]) if s.get("spin") == "slice"], [3, 4])
    expect("strokes", [(n + 1, s["stroke"]) for n, s in enumerate(point["shots"]) if "stroke" in s], [(5, "drop-shot")])
    expect("outcome", [point.get(k) for k in ("winner", "finish", "logged", "faults")], ["a", "winner", "every", 0])


def main():
    layout = sys.argv[3] if len(sys.argv) > 3 else "us"
    program = subprocess.Popen(sys.argv[1:3])
    try:
        app = wait("the program in the accessibility tree", application)
        window = wait("the window", lambda: xdotool("search", "--onlyvisible", "--class", "changeover").split())[-1]
        xdotool("windowfocus", "--sync", window)
        # Only now: a display without a window forgets its layout.
        subprocess.run(["setxkbmap", *layout.split()], check=True)
        log_the_point(app, layout)
        xdotool("key", "ctrl+q")
        program.wait(timeout=20)
        read_back(json.loads(pathlib.Path(sys.argv[2]).with_suffix(".points.json").read_text()))
    finally:
        program.kill()
        subprocess.run(["setxkbmap", "us"], check=False)
    for line in problems:
        print(line)
    sys.exit(1 if problems else 0)


if __name__ == "__main__":
    main()
