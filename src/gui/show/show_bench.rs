//! From the key to the first frame of the next clip of a show: run by `benches/show.py`, beside mpv.

use std::cell::RefCell;
use std::path::PathBuf;
use std::rc::Rc;
use std::time::{Duration, Instant};

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::tests::{choose, open};
use crate::gui::picture::paintable::{FramePaintable, Shown};
use crate::gui::picture::view::FootageView;
use crate::gui::window::tests::{act, turn_for, turn_until};
use crate::lesson::{Clip, Footage, Lesson, Part, create};
use crate::logging::Action;
use crate::time::MatchTime;
use crate::video::{Frame, FrameReader, probe};

/// How long each clip is: longer than a step takes, so that no clip ends by itself.
const LASTS: Duration = Duration::from_secs(4);

/// How long a coach looks at a clip, at least.
const LOOK: Duration = Duration::from_millis(150);

fn clip(film: &str, duration: MatchTime, from: MatchTime) -> Part {
    let footage = Footage { file: film.into(), fingerprint: None, duration, rate: None };
    let clip = serde_json::json!({ "footage": footage, "from": from, "to": from.later(LASTS) });
    Part::Clip(Box::new(serde_json::from_value::<Clip>(clip).unwrap()))
}

/// When each turn of a window's clock began and ended, in milliseconds since a moment.
type Turns = Rc<RefCell<Vec<(f64, f64)>>>;

fn watch_turns(widget: &impl IsA<gtk::Widget>, since: Instant) -> Turns {
    let turns = Turns::default();
    let clock = widget.frame_clock().unwrap();
    let ms = move || since.elapsed().as_secs_f64() * 1000.0;
    let begun = turns.clone();
    clock.connect_before_paint(move |_| begun.borrow_mut().push((ms(), 0.0)));
    let (ended, display) = (turns.clone(), widget.display());
    clock.connect_after_paint(move |_| {
        // The display server may still have to draw.
        display.sync();
        if let Some(turn) = ended.borrow_mut().last_mut() {
            turn.1 = ms();
        }
    });
    turns
}

/// The turns that ended after a moment, counted from it.
fn turns_from(turns: &Turns, from: f64) -> Vec<(f64, f64)> {
    let ends_later = |turn: &(f64, f64)| turn.1 >= from || turn.1 <= 0.0;
    turns.take().into_iter().filter(ends_later).map(|(begun, ended)| (begun - from, ended - from)).collect()
}

/// How long GTK takes to draw one picture of `SHOW_FILM` after another where nothing else is done: as large as a stage, and as on
/// the Show page.
#[gtk::test]
#[ignore = "a measurement, see benches/show.py"]
fn a_picture_alone() {
    crate::video::init().unwrap();
    let film = PathBuf::from(std::env::var_os("SHOW_FILM").expect("SHOW_FILM names the film"));
    let mut reader = FrameReader::open(&probe(&film).unwrap()).unwrap();
    let pictures: Vec<Frame> = (0..40).map(|n| reader.frame(n).unwrap()).collect();
    for (w, h) in [(1366, 768), (946, 532)] {
        let frames = FramePaintable::default();
        let view: FootageView = gtk::glib::Object::new();
        view.show(&frames);
        let window =
            gtk::Window::builder().default_width(w).default_height(h).decorated(false).child(&view).build();
        window.present();
        turn_until("the window", || window.frame_clock().is_some() && view.width() == w);
        let turns = watch_turns(&window, Instant::now());
        for frame in &pictures {
            let before = turns.borrow().len();
            frames.show(Shown { frame: frame.clone(), part: 0, at: frame.time, elsewhere: true });
            turn_until("a turn", || {
                turns.borrow().len() > before && turns.borrow().last().is_some_and(|t| t.1 > 0.0)
            });
        }
        let mut took: Vec<f64> = turns.borrow().iter().map(|t| t.1 - t.0).collect();
        took.sort_by(f64::total_cmp);
        println!(
            "a picture in {w} x {h}: {:.1} / {:.1} ms (median / 95 %)",
            took[took.len() / 2],
            took[took.len() * 95 / 100]
        );
        window.destroy();
    }
}

/// Steps through clips at the places `SHOW_PLACES` (milliseconds) of the film `SHOW_FILM`, and prints how long each step took until
/// its frame was handed to the window, and until the window was drawn with it. With `SHOW_TRACE` also when the windows were drawn.
#[gtk::test]
#[ignore = "a measurement, see benches/show.py"]
fn next_clip_of_a_show() {
    crate::video::init().unwrap();
    let film = PathBuf::from(std::env::var_os("SHOW_FILM").expect("SHOW_FILM names the film"));
    let places: Vec<MatchTime> = std::env::var("SHOW_PLACES")
        .unwrap()
        .split(',')
        .map(|ms| MatchTime::from_millis(ms.parse().unwrap()))
        .collect();
    let media = probe(&film).unwrap();
    let firsts: Vec<usize> = places.iter().map(|at| media.index.at(*at)).collect();
    let name = film.file_name().unwrap().to_str().unwrap().to_owned();
    let parts = places.iter().map(|at| clip(&name, media.duration, *at)).collect();
    let path = film.with_extension("lesson.json");
    create(&path, &Lesson { parts, ..Lesson::default() }).unwrap();
    let window = open(&path);
    let model = window.model();
    choose(&window, 0);
    act(&window, Action::PlayShow);
    let stage = window.imp().show.stage().unwrap();
    let shown = |at: usize| {
        let painted = model.frames().painted();
        let frames = firsts[at]..firsts[at] + 100;
        model.clip().is_some_and(|(n, _)| n == at) && painted.is_some_and(|s| frames.contains(&s.frame.index))
    };
    let is_handed = |at: usize| {
        let put_up = model.frames().put_up();
        let frames = firsts[at]..firsts[at] + 100;
        model.clip().is_some_and(|(n, _)| n == at) && put_up.is_some_and(|s| frames.contains(&s.frame.index))
    };
    turn_until("the first clip", || shown(0));
    let (mut handed, mut drawn, mut ready) = (Vec::new(), Vec::new(), Vec::new());
    let since = Instant::now();
    let (of_stage, of_window) = (watch_turns(&stage, since), watch_turns(&window, since));
    let traced = std::env::var_os("SHOW_TRACE").is_some();
    for at in 1..places.len() {
        let begun = Instant::now();
        turn_until("the players", || model.is_ready());
        ready.push(begun.elapsed().as_secs_f64() * 1000.0);
        turn_for(LOOK.saturating_sub(begun.elapsed()));
        let begun = Instant::now();
        stage.act(Action::PointForward);
        let mut given = None;
        while !shown(at) {
            given = given.or_else(|| is_handed(at).then(|| begun.elapsed()));
            assert!(begun.elapsed() < Duration::from_secs(20), "waited for the first frame of clip {at}");
            gtk::glib::MainContext::default().iteration(true);
        }
        handed.push(given.unwrap_or_else(|| begun.elapsed()).as_secs_f64() * 1000.0);
        drawn.push(begun.elapsed().as_secs_f64() * 1000.0);
        if traced {
            let from = since.elapsed().as_secs_f64() * 1000.0 - drawn[at - 1];
            let turns = [&of_stage, &of_window].map(|turns| turns_from(turns, from));
            println!(
                "handed {:.1} drawn {:.1} turns of the stage and the window {turns:.0?}",
                handed[at - 1],
                drawn[at - 1]
            );
        }
    }
    println!("\nshow: {}", serde_json::json!({ "handed": handed, "drawn": drawn, "ready": ready }));
    stage.close();
    window.destroy();
}
