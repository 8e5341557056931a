"""Opens a page in headless Chromium from the disk, works in it with keys only, and looks for what is wrong with it.

    check_page.py PAGE [PICTURES]      PAGE is the folder, PICTURES a folder for screenshots

The first clips of the page must have footage with frame numbers only if the page says so; here only times are checked.
"""

import html
import json
import shutil
import sys
from pathlib import Path

import webvtt
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import sync_playwright

WIDTHS = {"phone": (360, 740), "desk": (1280, 800)}
PLAYING = """() => {
  const v = [...document.querySelectorAll('article.shown video')];
  return v.map(v => ({ at: v.currentTime, all: v.duration, paused: v.paused, error: v.error && v.error.message }));
}"""


def fail(text):
    raise SystemExit(f"check_page: {text}")


def expect(what, text):
    if not what:
        fail(text)


def opened(browser, index, size, **more):
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, has_touch=True, **more)
    page = context.new_page()
    asked, complaints = [], []
    page.on("request", lambda r: asked.append(r.url))
    page.on("pageerror", lambda e: complaints.append(str(e)))
    page.on("console", lambda m: complaints.append(m.text) if m.type == "error" else None)
    page.on("dialog", lambda d: fail(f"a dialog opened: {d.message}"))
    page.goto(index.as_uri())
    page.wait_for_function("() => [...document.querySelectorAll('article.shown video')].every(v => v.readyState >= 2)")
    return page, asked, complaints


def jumps(page):
    """Each entry of the list plays its own clip, and what is played stays within the clip's span."""
    links = page.locator("nav ol a[data-part]")
    for n in range(links.count()):
        links.nth(n).focus()
        page.keyboard.press("Enter")
        part = links.nth(n).get_attribute("data-part")
        shown = page.evaluate("() => [...document.querySelectorAll('article')].filter(a => a.offsetParent).map(a => a.id)")
        expect(shown == [f"part-{part}"], f"entry {part} shows {shown}")
        expect(links.nth(n).get_attribute("aria-current") == "true", f"entry {part} is not marked")
        if not page.locator("article.shown video").count():
            continue
        page.wait_for_function("() => [...document.querySelectorAll('article.shown video')].some(v => v.currentTime > 0.2)")
        for film in page.evaluate(PLAYING):
            expect(film["error"] is None, f"clip {part}: {film['error']}")
            expect(0 <= film["at"] <= film["all"], f"clip {part} is at {film['at']} of {film['all']}")
    conditions = page.locator("nav dd a")
    for n in range(conditions.count()):
        part = conditions.nth(n).get_attribute("data-part")
        conditions.nth(n).focus()
        page.keyboard.press("Enter")
        expect(page.locator(f"#part-{part}.shown").count() == 1, f"the condition's clip {part} is not shown")


def patterns(page):
    """The list by pattern names each clip that was found by one, and no other."""
    lists = page.evaluate(
        """() => [...document.querySelectorAll('nav h2')].filter(h => h.textContent === 'By pattern')
          .flatMap(h => [...h.nextElementSibling.querySelectorAll('dd')])
          .map(d => [...d.querySelectorAll('a')].map(a => Number(a.dataset.part)))"""
    )
    # As the lesson of tests/page.rs: two clips and a pair by one pattern, a clip and the right of the pair by another.
    expect(lists == [[1, 3, 4], [2, 4]], f"by pattern there are {lists}")


def captions(page, folder):
    """webvtt-py finds a cue in the captions of each clip that has some, with the same text, and none in the others."""
    films = page.evaluate("() => [...document.querySelectorAll('video')].map(v => [v.querySelector('track').getAttribute('src'), v.dataset.captions])")
    cues = [(webvtt.read(folder / src), text) for src, text in films]
    expect(len(list((folder / "clips").glob("*.vtt"))) == len(films), "there are other captions than clips")
    for (src, text), (found, _) in zip(films, cues):
        expect(len(found) == (1 if text else 0), f"{src} has {len(found)} cues")
        said = [" ".join(html.unescape(c.raw_text).split()) for c in found]
        expect(said == ([" ".join(text.split())] if text else []), f"{src} says {said}, not {text}")
    return sum(len(found) for found, _ in cues)


def to_first_clip(page):
    page.locator("nav ol a[data-part]").first.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("k")
    page.wait_for_function("() => document.querySelector('article.shown video').paused")


def at(page):
    page.wait_for_function("() => !document.querySelector('article.shown video').seeking")
    return page.evaluate("() => document.querySelector('article.shown video').currentTime")


def keys(page):
    """Every key of the table does what it says."""
    to_first_clip(page)
    rate = float(page.locator("article.shown .film").first.get_attribute("data-rate"))
    page.keyboard.press("r")
    page.keyboard.press("k")
    page.wait_for_timeout(100)
    page.keyboard.press("ArrowRight")
    one = at(page)
    for key, by in [("ArrowRight", 1), ("ArrowRight", 1), ("ArrowLeft", -1)]:
        page.keyboard.press(key)
        two = at(page)
        expect(abs((two - one) * rate - by) < 0.05, f"{key} went {(two - one) * rate:.2f} frames")
        one = two
    for _ in range(3):
        page.keyboard.press("s")
    for key, button in [("l", "loop"), ("a", "all"), ("c", "captions")]:
        page.keyboard.press(key)
        expect(page.locator(f"#{button}").get_attribute("aria-pressed") == "true", f"{key} does nothing")
    cue = page.wait_for_function(
        "() => { const v = document.querySelector('article.shown video');"
        " const t = [...v.textTracks].find(t => t.mode === 'showing'); return t && t.cues && t.cues.length && t.cues[0].text; }"
    ).json_value()
    expect(cue, "no caption is shown")
    for key, button in [("l", "loop"), ("a", "all"), ("c", "captions")]:
        page.keyboard.press(key)
        expect(page.locator(f"#{button}").get_attribute("aria-pressed") == "false", f"{key} does not end")
    for key, part in [("PageDown", 2), ("n", 3), ("PageUp", 2), ("p", 1)]:
        page.keyboard.press(key)
        expect(page.locator(f"#part-{part}.shown").count() == 1, f"{key} does not lead to part {part}")


def freezes(page):
    """A freeze shows its drawings over the frame it is of, and then the clip goes on."""
    film = page.locator("article:has(svg.freeze) .film").first
    if not film.count():
        return
    part = film.evaluate("f => f.closest('article').id.slice(5)")
    page.locator(f"nav ol a[data-part='{part}']").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector(f"#part-{part} svg.freeze.seen", timeout=20000)
    frozen = page.evaluate("""(id) => { const v = document.querySelector(`#part-${id} video`), f = document.querySelector(`#part-${id} svg.freeze`);
        return [v.paused, v.currentTime - Number(f.dataset.from), 1 / Number(v.parentElement.dataset.rate)]; }""", part)
    expect(frozen[0] and 0 <= frozen[1] < frozen[2], f"the freeze stands at {frozen}")
    page.wait_for_function("(id) => !document.querySelector(`#part-${id} video`).paused", arg=part, timeout=20000)


def notes(page, index):
    area = page.locator("article.shown textarea")
    area.focus()
    page.keyboard.type("space l r: <b>mine</b>")
    expect(page.locator("article.shown video").first.evaluate("v => v.paused") in (True, False), "no video")
    page.reload()
    page.wait_for_selector("body.live")
    values = page.evaluate("() => [...document.querySelectorAll('textarea')].map(t => t.value)")
    expect("space l r: <b>mine</b>" in values, f"the note is not kept: {values}")


def fits(page, name):
    wide = page.evaluate("() => [document.documentElement.scrollWidth, innerWidth]")
    expect(wide[0] <= wide[1], f"{name}: the page is {wide[0]} pixels wide in a window of {wide[1]}")
    small = page.evaluate(
        "() => [...document.querySelectorAll('button, input, nav ol a')].filter(b => b.offsetParent)"
        ".map(b => [b.id || b.textContent.trim(), b.getBoundingClientRect()]).filter(([, r]) => r.height < 24 || r.width < 24).map(([n]) => n)"
    )
    expect(not small, f"{name}: too small to touch: {small}")


def accessible(page, name):
    # Without preload: axe would fetch the style sheet once more, which the page does not allow.
    found = Axe().run(page, options={"preload": False})
    bad = [(v["id"], [n["html"][:120] for n in v["nodes"]][:3]) for v in found.response["violations"]]
    expect(not bad, f"{name}: axe-core finds {json.dumps(bad, indent=1)}")
    return found.response["testEngine"]["version"], len(found.response["passes"])


def main():
    folder = Path(sys.argv[1]).resolve()
    pictures = Path(sys.argv[2]) if len(sys.argv) > 2 else None
    index = folder / "index.html"
    chromium = shutil.which("chromium") or fail("chromium is not installed; run scripts/setup")
    with sync_playwright() as play:
        browser = play.chromium.launch(
            executable_path=chromium, args=["--no-sandbox", "--mute-audio", "--autoplay-policy=no-user-gesture-required"]
        )
        for name, size in WIDTHS.items():
            for scheme in ["light", "dark"]:
                page, asked, complaints = opened(browser, index, size, color_scheme=scheme)
                fits(page, name)
                axe = accessible(page, f"{name}, {scheme}")
                if pictures:
                    page.wait_for_timeout(300)
                    page.screenshot(path=pictures / f"{name}-{scheme}.png", full_page=name == "phone")
                if scheme == "light":
                    jumps(page)
                    patterns(page)
                    cues = captions(page, folder)
                    keys(page)
                    freezes(page)
                    if pictures:
                        page.screenshot(path=pictures / f"{name}-played.png")
                    notes(page, index)
                outside = [u for u in asked if not u.startswith(folder.as_uri() + "/")]
                expect(not outside, f"the page asks for {outside}")
                worse = [c for c in complaints if ".vtt" not in c and "text track" not in c.lower()]
                expect(not worse, f"the browser complains: {worse}")
                page.context.close()
        # Text and everything else at 200 %: half as many pixels for the page.
        page, *_ = opened(browser, index, (640, 400), device_scale_factor=2)
        fits(page, "zoom 200 %")
        accessible(page, "zoom 200 %")
        if pictures:
            page.screenshot(path=pictures / "zoom.png")
        pdf = page.pdf(prefer_css_page_size=True, format="A4")
        sheets = pdf.count(b"/Type /Page\n") or pdf.count(b"/Type /Page ") or pdf.count(b"/Type/Page")
        if pictures:
            (pictures / "print.pdf").write_bytes(pdf)
        expect(sheets == 1, f"it prints to {sheets} sheets")
        page.context.close()
        # A browser that keeps nothing says so, and the page still works.
        page, *_ = opened(browser, index, (640, 400))
        page.add_init_script("Object.defineProperty(window, 'localStorage', { get() { throw new Error('no') } })")
        page.reload()
        page.wait_for_selector("body.live")
        expect("does not keep" in page.locator("#kept").inner_text(), "it does not say that notes are not kept")
        # Without a script every clip is there with the browser's own controls.
        page = browser.new_context(java_script_enabled=False).new_page()
        page.goto(index.as_uri())
        expect(page.locator("video[controls]").count() == len(list((folder / "clips").glob("*.mp4"))), "without scripts clips are missing")
        browser.close()
    print(f"{len(WIDTHS)} sizes, light and dark, keys, freezes, notes, {cues} cues, print, zoom, no script; axe-core {axe[0]}, {axe[1]} rules passed")


main()
