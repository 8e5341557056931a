"""The share of the window that the film covers, in per cent, from the accessible tree.

    footage_share.py PROGRAM FILE WIDTHxHEIGHT TEXT

The film is 16:9; it is as large as the widget named "Footage" lets it be. Prints one number.
"""

import subprocess
import sys
import time

import pyatspi

from real_window import everything

FILM = 16 / 9


def footage():
    for app in pyatspi.Registry.getDesktop(0):
        if app and "changeover" in (app.name or "").lower():
            for node in everything(app):
                if node.name == "Footage":
                    extents = node.queryComponent().getExtents(pyatspi.WINDOW_COORDS)
                    return extents.width, extents.height
    return None


def main():
    program, file, size, text = sys.argv[1:]
    width, height = map(int, size.split("x"))
    process = subprocess.Popen([program, "--text-size", text, file], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        window = subprocess.run(["xdotool", "search", "--sync", "--onlyvisible", "--class", "changeover"],
                                capture_output=True, text=True, timeout=60, check=True).stdout.split()[-1]
        subprocess.run(["xdotool", "windowsize", window, str(width), str(height), "windowmove", window, "0", "0"], check=True)
        last, end = None, time.monotonic() + 30
        while time.monotonic() < end:
            time.sleep(0.7)
            try:
                now = footage()
            except Exception:  # the tree changes while it is read
                now = None
            if now and now == last and now[0] > 100:
                break
            last = now
        wide = min(last[0], last[1] * FILM)
        print(f"{100 * wide * wide / FILM / (width * height):.1f}")
    finally:
        process.terminate()


if __name__ == "__main__":
    main()
