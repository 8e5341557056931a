"""Uses the program in a sandbox as a coach would, through the desktop's own portals: its keys, and the portal's file dialogs.

    in_sandbox.py WORK PICTURE -- COMMAND...

COMMAND starts the program inside the sandbox. WORK holds `films/match.mp4`, `library/` with a record and a lesson of one clip, and
`practice/` and `saved/`, both empty; the program sees none of them until they are chosen. PICTURE is where a picture of the window
goes. What the window says is read as a screen reader reads it.
"""
import pathlib
import shutil
import subprocess
import sys
import time

from real_window import application, everything

WORK, PICTURE = pathlib.Path(sys.argv[1]), sys.argv[2]
COMMAND = sys.argv[sys.argv.index("--") + 1:]


def xdotool(*words):
    return subprocess.run(["xdotool", *words], check=False, capture_output=True, text=True).stdout


def wait(what, found, limit=40.0):
    end = time.monotonic() + limit
    while time.monotonic() < end:
        if got := found():
            return got
        time.sleep(0.1)
    subprocess.run(["import", "-window", "root", PICTURE], check=False)
    sys.exit(f"waited {limit:.0f} s for {what}; look at {PICTURE}")


def windows(title):
    return xdotool("search", "--onlyvisible", "--name", title).split()


def key(window, *keys):
    xdotool("windowfocus", "--sync", window)
    xdotool("key", "--clearmodifiers", *keys)


def choose(title, path):
    """Answers the portal's dialog of this title."""
    dialog = wait(f"the dialog '{title}'", lambda: windows(title))[-1]
    time.sleep(0.7)
    xdotool("windowfocus", "--sync", dialog)
    # Among the recent files, a folder that is typed cannot be chosen: so first to the home folder.
    xdotool("key", "alt+Home")
    time.sleep(0.5)
    xdotool("key", "ctrl+l")
    time.sleep(0.7)
    xdotool("key", "ctrl+a")
    xdotool("type", "--delay", "40", str(path))
    # The first Return may only take what the dialog proposes to complete.
    for _ in range(4):
        time.sleep(0.7)
        if not windows(title):
            break
        xdotool("key", "Return")
    wait(f"the end of the dialog '{title}'", lambda: not windows(title))


class Program:
    def __enter__(self):
        self.process = subprocess.Popen(COMMAND)
        self.window = wait("the window", lambda: xdotool("search", "--onlyvisible", "--class", "changeover").split())[-1]
        time.sleep(1.5)
        return self

    def key(self, *keys):
        key(self.window, *keys)

    def asks(self, title, *keys):
        """Presses keys until the dialog of this title is there: a busy program takes no keys yet."""
        for _ in range(8):
            self.key(*keys)
            end = time.monotonic() + 4
            while time.monotonic() < end:
                if found := windows(title):
                    return found[-1]
                time.sleep(0.1)
        return wait(f"the dialog '{title}'", lambda: windows(title))[-1]

    def says(self, words):
        """Waits until some part of the window says these words."""
        wait(f"the words '{words}'", lambda: any(words in said for said in all_said()))

    def press(self, name):
        """Presses the button of this name."""
        button = wait(f"the button '{name}'", lambda: first(lambda n: n.name == name and "button" in n.getRoleName()))
        button.queryAction().doAction(0)

    def __exit__(self, *_):
        self.key("ctrl+q")
        try:
            self.process.wait(30)
        except subprocess.TimeoutExpired:
            self.process.kill()
            sys.exit("the program did not leave at ctrl+q")


def first(fits):
    try:
        return next((node for node in everything(application()) if fits(node)), None)
    except Exception:  # the tree changes while it is read
        return None


def all_said():
    """What the window says, as a screen reader reads it."""
    said = []
    first(lambda node: said.append(node.name or ""))
    return said


def text(path):
    return path.read_text(encoding="utf-8") if path.is_file() else ""


film, record = WORK / "films/match.mp4", WORK / "films/match.points.json"
folder_title = "Choose the folder that holds the footage"
with Program() as program:
    program.key("ctrl+o")
    choose("Open footage or a record", film)
    choose(folder_title, film.parent)
    time.sleep(3)
    program.key("s")
    wait("the record beside the film", record.is_file)
    program.key("ctrl+s")
    wait("the point in it", lambda: '"start"' in text(record))
print("a film that was chosen alone: its folder was asked for, and the record was saved beside it")
with Program() as program:
    program.key("ctrl+o")
    choose("Open footage or a record", film)
    wait("the record's lock", (WORK / "films/match.points.lock").is_file)
    assert not windows(folder_title), "the folder was asked for again"
    subprocess.run(["import", "-window", "root", PICTURE], check=False)
print("opened again: the folder was not asked for")
with Program() as program:
    program.key("ctrl+n")
    choose("Log without footage: save the record as", WORK / "saved/courtside.points.json")
    choose(folder_title, WORK / "saved")
    time.sleep(2)
    program.key("s")
    wait("the journal beside the record", (WORK / "saved/courtside.points.journal").is_file)
print("a match without footage: its folder was asked for, and every key is saved beside the record at once")
with Program() as program:
    program.key("ctrl+shift+l")
    choose("New lesson: save it as", WORK / "saved/drops.lesson.json")
    choose(folder_title, WORK / "saved")
    wait("the lesson", (WORK / "saved/drops.lesson.json").is_file)
print("a lesson: its folder was asked for, and it was made in it")
with Program() as program:
    program.key("ctrl+o")
    choose("Open footage or a record", WORK / "saved/drops.lesson.json")
    wait("the lesson's lock", lambda: list((WORK / "saved").glob("drops.lesson*lock")))
    assert not windows(folder_title), "the folder of the lesson was asked for again"
print("a lesson that was chosen alone opened in its folder, which is known by now")
with Program() as program:
    program.key("ctrl+o")
    choose("Open footage or a record", film)
    wait("the record's lock", (WORK / "films/match.points.lock").is_file)
    dialog = program.asks("^Export$", "ctrl+shift+e")
    time.sleep(1)
    key(dialog, "Tab", "Tab", "Tab", "Return")
    choose("Export to", WORK / "saved/clips.txt")
    wait("the clip list", lambda: text(WORK / "saved/clips.txt"))
print("a clip list was exported to a file that was chosen alone")
with Program() as program:
    program.says("match.mp4")
    program.says("films")
    said = all_said()
    assert not any("/doc/" in words or "/run/" in words for words in said), said
    subprocess.run(["import", "-window", "root", PICTURE.replace(".png", "-recent.png")], check=False)
print("the list of recent matches names files and folders, and no folder of the portal")
with Program() as program:
    program.key("ctrl+3")
    program.press("Add a folder…")
    choose("Add a folder to the library", WORK / "library")
    program.says("Reyes – Adler")
with Program() as program:
    program.key("ctrl+3")
    program.says("Reyes – Adler")
    subprocess.run(["import", "-window", "root", PICTURE.replace(".png", "-library.png")], check=False)
print("a folder of the library was chosen, and its record was listed, also after a new start")
shutil.copy(film, WORK / "saved/late.mp4")
with Program() as program:
    program.asks("Open footage or a record", "ctrl+o")
    choose("Open footage or a record", WORK / "saved/courtside.points.json")
    program.asks("Attach footage", "ctrl+f")
    choose("Attach footage from the record’s folder", WORK / "saved/late.mp4")
    program.says("Go to the frame where it starts")
    program.key("Right", "Right", "s")
    time.sleep(1)
    program.key("ctrl+s")
    wait("the footage in the record", lambda: '"late.mp4"' in text(WORK / "saved/courtside.points.json"))
print("footage was attached to a record that was logged without it")
with Program() as program:
    program.asks("Open footage or a record", "ctrl+o")
    choose("Open footage or a record", WORK / "library/one.lesson.json")
    choose(folder_title, WORK / "library")
    program.says("1 clip")
    time.sleep(2)
    program.key("ctrl+F10")
    program.says("microphone can be used")
    subprocess.run(["import", "-window", "root", PICTURE.replace(".png", "-microphone.png")], check=False)
print("there is no sound server in the sandbox, and the window says so when a talk is to be recorded")
with Program() as program:
    program.key("ctrl+shift+n")
    choose("Practice match: choose an empty folder", WORK / "practice")
    wait("the practice match", lambda: list((WORK / "practice").glob("*.mp4")), 120)
    wait("what happened in it", lambda: list((WORK / "practice").glob("*.truth.json")), 600)
print("a practice match was made in a folder that was chosen")
