"""Plays video files to their end in headless Chromium, from the disk.

    check_films.py FILE...

Says which files it complains of and ends with 1, or how many frames it decoded and ends with 0.
"""

import html
import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

# So many at a time, this much faster than they are.
TOGETHER, RATE = 8, 4
PLAY = """async () => Promise.all([...document.querySelectorAll('video')].map(v => new Promise(done => {
  const told = what => done({ what, at: v.currentTime, all: v.duration, frames: v.getVideoPlaybackQuality().totalVideoFrames });
  v.onended = () => told('');
  v.onerror = () => told(v.error.message || 'error ' + v.error.code);
  v.muted = true;
  v.playbackRate = %d;
  v.play().catch(e => told(String(e)));
})))""" % RATE


def played(page, files):
    films = "".join(f'<video src="{html.escape(Path(f).resolve().as_uri())}" preload="auto" width="160"></video>' for f in files)
    with tempfile.NamedTemporaryFile("w", suffix=".html") as out:
        out.write(f"<!DOCTYPE html><title>Films</title>{films}")
        out.flush()
        page.goto(Path(out.name).as_uri())
        return page.evaluate(PLAY)


def main():
    files, wrong, frames = sys.argv[1:], [], 0
    chromium = shutil.which("chromium")
    if not chromium:
        raise SystemExit("chromium is not installed; run scripts/setup")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--autoplay-policy=no-user-gesture-required"])
        page = browser.new_page()
        page.on("console", lambda m: wrong.append(m.text) if m.type in ("error", "warning") else None)
        for n in range(0, len(files), TOGETHER):
            for file, told in zip(files[n:n + TOGETHER], played(page, files[n:n + TOGETHER])):
                frames += told["frames"]
                if told["what"] or told["frames"] == 0 or abs(told["at"] - told["all"]) > 0.1:
                    wrong.append(f"{file}: {told}")
        browser.close()
    print("\n".join(f"Chromium: {w}" for w in wrong) or f"Chromium played {len(files)} files to their end: {frames} frames")
    sys.exit(1 if wrong else 0)


main()
