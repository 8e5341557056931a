"""Walks the window as a screen reader does: every control has a name, Tab goes round, the ribbon tells its point.

    walk_window.py PROGRAM FILE [OPTIONS]

FILE is footage with a record of at least one point beside it. Needs a display and a session bus of its own. Prints
what it found; exit code 1 when something has no name.
"""
import subprocess
import sys
import time

import pyatspi

from real_window import application, everything, wait, xdotool

NAMED = {
    "push button", "toggle button", "check box", "radio button", "combo box", "text", "entry", "slider", "list",
    "spin button", "list item", "page tab", "menu item", "dialog", "frame", "image",
}
problems = []


def showing(node):
    return node.getState().contains(pyatspi.STATE_VISIBLE)


def walk(what, app):
    """Counts the controls that are shown and notes those without a name."""
    controls = 0
    for node in everything(app):
        role = node.getRoleName()
        if role not in NAMED or not showing(node):
            continue
        controls += 1
        # Without a name GTK says the class of the widget.
        if not (node.name or "").strip() or node.name.startswith("Gtk"):
            problems.append(f"{what}: a {role} without a name, in {above(node)}")
    print(f"{what}: {controls} controls")
    return controls


def above(node):
    """What a control is in, for finding it."""
    path = []
    while node.parent is not None and len(path) < 5:
        node = node.parent
        path.append(f'{node.getRoleName()} "{node.name}"')
    return " in ".join(path)


def focused(app):
    return [n for n in everything(app) if n.getState().contains(pyatspi.STATE_FOCUSED)]


def go_round(app):
    """Tab through the window: where the focus stops has a name."""
    stops = []
    for _ in range(14):
        xdotool("key", "Tab")
        time.sleep(0.15)
        stops += [f"{n.getRoleName()} \"{n.name}\"" for n in focused(app)[:1]]
    print("Tab stops at: " + ", ".join(stops))
    problems.extend(f"Tab stops at {s}" for s in stops if s.endswith('""') or '"Gtk' in s)
    if len(set(stops)) < 6:
        problems.append(f"Tab reaches {len(set(stops))} places, fewer than 6")


def main():
    program = subprocess.Popen(sys.argv[1:])
    try:
        app = wait("the program in the accessibility tree", application)
        ribbon = wait("the score ribbon", lambda: next(
            n for n in everything(app) if n.getRoleName() == "slider" and n.name == "Score ribbon" and "point 2" in n.description))
        window = subprocess.run(["xdotool", "search", "--onlyvisible", "--class", "changeover"],
                                capture_output=True, text=True, check=False).stdout.split()[-1]
        xdotool("windowfocus", "--sync", window)
        xdotool("mousemove", "1439", "899")  # where no tooltip comes up
        if walk("log room", app) < 8:
            problems.append("log room: fewer than 8 controls are seen; is the tree there?")
        # GTK 4.8 gives no value to a widget that is not its own: the point is told in the description.
        print(f"ribbon: {ribbon.description}")
        if "point" not in ribbon.description:
            problems.append("the ribbon does not tell the current point")
        go_round(app)
        for key, what in [("question", "help"), ("ctrl+d", "players"), ("ctrl+comma", "preferences"), ("p", "plan"), ("ctrl+k", "correct"), ("ctrl+e", "why"), ("ctrl+p", "builder"), ("ctrl+shift+e", "export")]:
            before, windows = len(list(everything(app))), app.childCount
            xdotool("key", key)
            wait(f"the dialog {what}", lambda: len(list(everything(app))) > before + 10)
            walk(what, app)
            xdotool("key", "Escape")
            # The next key is for the window again, and not for a dialog that is still closing.
            wait(f"the end of the dialog {what}", lambda: app.childCount <= windows)
            xdotool("windowfocus", "--sync", window)
            time.sleep(0.3)
        xdotool("windowfocus", "--sync", window)
        xdotool("key", "ctrl+q")
        program.wait(timeout=20)
    finally:
        program.kill()
    for line in problems:
        print(line)
    sys.exit(1 if problems else 0)


if __name__ == "__main__":
    main()
