// Plays the clips of a lesson one at a time. Without it the page still shows all of them, each with the browser's own controls.
"use strict";

(() => {
  const one = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const parts = all("main > article");
  const bar = one("#bar");
  const buttons = Object.fromEntries(all("button", bar).map((b) => [b.id, b]));
  const seek = one("#seek");
  const clock = one("#clock");
  const speeds = [[1, "1×"], [0.5, "½×"], [0.25, "¼×"]];
  const state = { part: null, clips: [], playing: false, speed: 0, loop: false, all: false, captions: false, round: 1, hold: null, done: new Set() };

  // A clip of the part that is shown, with what happens in it.
  function clip(film) {
    const video = one("video", film);
    const numbers = (text) => text.split(",").map(Number);
    return {
      film, video,
      rate: Number(film.dataset.rate) || 30,
      lead: Number(film.dataset.lead) || 0,
      stretches: (film.dataset.stretches || "").split(" ").filter(Boolean).map(numbers),
      moving: all(".moving", film).map((svg) => ({ svg, from: Number(svg.dataset.from), to: Number(svg.dataset.to) })),
      freezes: all(".freeze", film).map((svg) => ({ svg, at: Number(svg.dataset.from), lasts: Number(svg.dataset.to) })),
    };
  }

  const length = (c) => (Number.isFinite(c.video.duration) ? c.video.duration : 0);
  const end = () => Math.max(0, ...state.clips.map((c) => c.lead + length(c)));
  // The clip that begins first keeps the time; when it is over, the other one does.
  function keeper() {
    const by = [...state.clips].sort((a, b) => a.lead - b.lead);
    return by.find((c) => !c.video.ended) || by[by.length - 1];
  }
  const now = () => { const k = keeper(); return k ? k.lead + k.video.currentTime : 0; };
  const words = (t) => `${Math.floor(t / 60)}:${(Math.floor(t * 10) / 10 % 60).toFixed(1).padStart(4, "0")}`;
  function tell(text) { one("#told").textContent = text; }

  function show() {
    const t = now(), whole = end();
    if (document.activeElement !== seek || state.playing) seek.value = whole ? Math.round(t / whole * 1000) : 0;
    seek.setAttribute("aria-valuetext", `${words(t)} of ${words(whole)}`);
    clock.textContent = words(t);
    buttons.play.textContent = state.playing ? "Pause" : "Play";
    for (const c of state.clips) {
      const at = c.video.currentTime, frame = 1 / c.rate;
      // Within the frame that is shown, near its beginning: of drawings that follow each other, one at a time is seen.
      const within = (Math.floor(at * c.rate + 0.01) + 0.25) * frame;
      for (const m of c.moving) m.svg.classList.toggle("seen", m.from <= within && within < m.to);
      for (const f of c.freezes) {
        const here = Math.abs(at - f.at - frame / 2) < frame;
        f.svg.classList.toggle("seen", state.hold ? state.hold.freeze === f : !state.playing && here);
      }
    }
  }

  function pace(c) {
    const at = c.video.currentTime;
    const stretch = c.stretches.find(([from, to]) => from <= at && at < to);
    const rate = Math.min(4, Math.max(0.0625, speeds[state.speed][0] * (stretch ? stretch[2] : 1)));
    if (c.video.playbackRate !== rate) c.video.playbackRate = rate;
  }

  function start(c) {
    pace(c);
    const playing = c.video.play();
    if (playing) playing.catch(() => pause());
  }

  function letGo() {
    if (state.hold) clearTimeout(state.hold.timer);
    state.hold = null;
  }

  function play() {
    if (!state.clips.length) return;
    const over = state.hold && state.hold.freeze;
    letGo();
    if (over) state.done.add(over);
    if (now() >= end() - 0.02) { go(0); }
    state.playing = true;
    const t = now();
    for (const c of state.clips) if (t >= c.lead - 0.001 && !c.video.ended) start(c);
    requestAnimationFrame(tick);
    show();
  }

  function pause() {
    state.playing = false;
    if (state.hold) clearTimeout(state.hold.timer);
    for (const c of state.clips) c.video.pause();
    show();
  }

  // Goes to a moment of the part; freezes after it happen again.
  function go(t) {
    letGo();
    const at = Math.min(Math.max(0, t), end());
    for (const c of state.clips) {
      const own = Math.min(Math.max(0, at - c.lead), Math.max(0, length(c) - 0.001));
      c.video.currentTime = own;
      for (const f of c.freezes) if (f.at >= own) state.done.delete(f);
      if (at < c.lead) c.video.pause();
    }
    show();
  }

  function frames(by) {
    pause();
    letGo();
    const k = keeper();
    if (!k) return;
    const frame = Math.floor(k.video.currentTime * k.rate + 0.01) + by;
    const last = Math.max(0, Math.round(length(k) * k.rate) - 1);
    go(k.lead + (Math.min(Math.max(0, frame), last) + 0.5) / k.rate);
  }

  // The frame at which a clip stands still, with what is drawn on it.
  function freeze(c, f) {
    for (const other of state.clips) other.video.pause();
    c.video.currentTime = f.at + 0.5 / c.rate;
    const timer = setTimeout(() => { state.done.add(f); letGo(); if (state.playing) play(); }, f.lasts * 1000 / speeds[state.speed][0]);
    state.hold = { freeze: f, timer };
    show();
  }

  function tick() {
    if (!state.playing) return;
    if (!state.hold) {
      const t = now();
      for (const c of state.clips) {
        const f = c.freezes.find((f) => !state.done.has(f) && c.video.currentTime >= f.at && !c.video.paused);
        if (f) { freeze(c, f); break; }
        pace(c);
        if (c.video.paused && !c.video.ended && t >= c.lead && length(c)) start(c);
        const off = c.video.currentTime + c.lead - t;
        if (c !== keeper() && !c.video.ended && t >= c.lead && Math.abs(off) > 0.08) c.video.currentTime = t - c.lead;
      }
      if (!state.hold && state.clips.length && state.clips.every((c) => c.video.ended)) return over();
    }
    show();
    requestAnimationFrame(tick);
  }

  function over() {
    const times = Number(state.part.dataset.times) || 1;
    if (state.loop || state.round < times) {
      state.round += 1;
      go(0);
      return play();
    }
    state.playing = false;
    state.round = 1;
    const next = parts[parts.indexOf(state.part) + 1];
    if (state.all && next) return open(next, true);
    show();
  }

  // Shows a part, and plays it where that is wished.
  function open(part, playing) {
    pause();
    letGo();
    state.part = part;
    state.round = 1;
    state.done.clear();
    parts.forEach((p) => p.classList.toggle("shown", p === part));
    state.clips = all(".film", part).map(clip);
    one(".place", part).append(bar);
    const number = part.id.slice(5);
    for (const link of all("nav a")) {
      if (link.dataset.part === number) link.setAttribute("aria-current", "true");
      else link.removeAttribute("aria-current");
    }
    const at = parts.indexOf(part), none = !state.clips.length;
    buttons.previous.disabled = at === 0;
    buttons.next.disabled = at === parts.length - 1;
    for (const id of ["play", "back", "on", "speed", "loop", "captions", "full"]) buttons[id].disabled = none;
    seek.disabled = none;
    bar.classList.toggle("none", none);
    captions();
    for (const c of state.clips) c.video.currentTime = 0;
    tell(one("h3", part).textContent);
    show();
    if (playing) play();
  }

  function step(by, playing) {
    const next = parts[parts.indexOf(state.part) + by];
    if (next) jump(next, playing);
  }

  function jump(part, playing) {
    open(part, playing);
    try { history.replaceState(null, "", "#" + part.id); } catch { /* a browser may refuse it for a file */ }
    const film = one(".films", part).getBoundingClientRect();
    if (film.top < 0 || film.top > innerHeight / 2) part.scrollIntoView({ block: "start" });
  }

  // Captions of a file opened from the disk are not loaded by every browser; then they are made from the page.
  function captions() {
    for (const c of state.clips) {
      const texts = c.video.textTracks;
      const element = one("track", c.video);
      let track = texts[0];
      if (element && element.readyState === 3 && c.video.dataset.captions) {
        track = texts[1] || c.video.addTextTrack("captions", "Captions", "en");
        if (!(track.cues && track.cues.length)) {
          track.mode = "hidden";
          track.addCue(new VTTCue(0, Math.max(length(c), 1), c.video.dataset.captions));
        }
      }
      for (const t of texts) t.mode = "disabled";
      if (track) track.mode = state.captions ? "showing" : "disabled";
    }
  }

  function press(button, on) { buttons[button].setAttribute("aria-pressed", String(on)); }

  const does = {
    play: () => (state.playing ? pause() : play()),
    back: () => frames(-1),
    on: () => frames(1),
    previous: () => step(-1, true),
    next: () => step(1, true),
    again: () => { go(0); play(); },
    speed: () => {
      state.speed = (state.speed + 1) % speeds.length;
      buttons.speed.textContent = "Speed " + speeds[state.speed][1];
      state.clips.forEach(pace);
    },
    loop: () => { state.loop = !state.loop; press("loop", state.loop); },
    all: () => { state.all = !state.all; press("all", state.all); },
    captions: () => { state.captions = !state.captions; press("captions", state.captions); captions(); },
    full: () => {
      if (document.fullscreenElement) document.exitFullscreen();
      else {
        const films = one(".films", state.part);
        if (films.requestFullscreen) films.requestFullscreen().catch(() => tell("This browser does not allow full screen."));
        else if (state.clips[0].video.webkitEnterFullscreen) state.clips[0].video.webkitEnterFullscreen();
      }
    },
  };
  const keys = {
    " ": "play", k: "play", ArrowLeft: "back", ArrowRight: "on", PageUp: "previous", PageDown: "next", p: "previous", n: "next",
    r: "again", s: "speed", l: "loop", a: "all", c: "captions", f: "full",
  };

  function key(event) {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target.closest("textarea")) return;
    const name = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    const own = event.target.closest("button, summary, a") && (name === " " || name === "Enter");
    const what = keys[name];
    if (!what || own || (event.target === seek && name.startsWith("Arrow"))) return;
    if (buttons[what] && buttons[what].disabled) return;
    if (event.repeat && what !== "back" && what !== "on") return;
    event.preventDefault();
    does[what]();
  }

  // A finger on the picture: a tap plays, a swipe goes to another clip.
  function touch() {
    let from = null;
    const main = one("main");
    main.addEventListener("pointerdown", (e) => {
      from = e.target.closest(".film") && e.isPrimary && e.button === 0 ? { x: e.clientX, y: e.clientY } : null;
    });
    main.addEventListener("pointercancel", () => { from = null; });
    main.addEventListener("pointerup", (e) => {
      if (!from) return;
      const [x, y] = [e.clientX - from.x, e.clientY - from.y];
      from = null;
      if (Math.abs(x) > 50 && Math.abs(x) > 2 * Math.abs(y)) step(x < 0 ? 1 : -1, true);
      else if (Math.hypot(x, y) < 12) does.play();
    });
  }

  // The player's own notes, kept in this browser where it allows that.
  function notes() {
    const name = (area) => `changeover/${document.body.dataset.key}/${area.dataset.note}`;
    let kept = null;
    try { kept = window.localStorage; kept.getItem("changeover"); } catch { kept = null; }
    const lost = () => { one("#kept").textContent = "This browser does not keep your notes. Print the page to keep them on paper."; };
    if (!kept) lost();
    for (const area of all("textarea[data-note]")) {
      try { area.value = (kept && kept.getItem(name(area))) || ""; } catch { lost(); }
      area.addEventListener("input", () => {
        try { if (kept) kept.setItem(name(area), area.value); } catch { lost(); }
      });
    }
  }

  notes();
  if (!parts.length) return;
  document.body.classList.add("live");
  bar.hidden = false;
  for (const video of all("video")) {
    video.controls = false;
    const ratio = video.getAttribute("width") / video.getAttribute("height");
    video.parentElement.style.setProperty("--ratio", String(ratio || 1.78));
    video.addEventListener("loadedmetadata", () => { captions(); show(); });
    video.addEventListener("seeked", show);
    const track = one("track", video);
    if (track) track.addEventListener("error", captions);
  }
  for (const [id, button] of Object.entries(buttons)) button.addEventListener("click", () => does[id]());
  seek.addEventListener("input", () => { const t = seek.value / 1000 * end(); const on = state.playing; go(t); if (on) play(); });
  addEventListener("keydown", key);
  for (const link of all("nav a[data-part]")) {
    link.addEventListener("click", (e) => { e.preventDefault(); jump(one("#part-" + link.dataset.part), true); });
  }
  touch();
  const wanted = parts.find((p) => "#" + p.id === location.hash);
  open(wanted || parts[0], false);
})();
