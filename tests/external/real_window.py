"""What the scripts that drive the real window share: keys, waiting, the accessible tree of the program."""
import subprocess
import sys
import time

import pyatspi


def xdotool(*words):
    return subprocess.run(["xdotool", *words], check=False, capture_output=True, text=True).stdout


def wait(what, found, limit=30.0):
    end = time.monotonic() + limit
    while time.monotonic() < end:
        try:
            if got := found():
                return got
        except Exception:  # the tree changes while it is read
            pass
        time.sleep(0.1)
    sys.exit(f"waited {limit:.0f} s for {what}")


def application():
    return next((a for a in pyatspi.Registry.getDesktop(0) if a and "changeover" in (a.name or "").lower()), None)


def everything(node, depth=0):
    yield node
    if depth < 40:
        for i in range(node.childCount):
            child = node.getChildAtIndex(i)
            if child is not None:
                yield from everything(child, depth + 1)
