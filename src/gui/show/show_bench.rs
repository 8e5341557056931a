//! From the key to the first frame of the next clip of a show: run by `benches/show.py`, beside mpv.

use std::path::PathBuf;
use std::time::{Duration, Instant};

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::tests::{choose, open};
use crate::gui::window::tests::{act, turn_for, turn_until};
use crate::lesson::{Clip, Footage, Lesson, Part, create};
use crate::logging::Action;
use crate::time::MatchTime;
use crate::video::probe;

/// How long each clip is: longer than a step takes, so that no clip ends by itself.
const LASTS: Duration = Duration::from_secs(4);

/// How long a coach looks at a clip, at least.
const LOOK: Duration = Duration::from_millis(150);

fn clip(film: &str, duration: MatchTime, from: MatchTime) -> Part {
    let footage = Footage { file: film.into(), fingerprint: None, duration, rate: None };
    let clip = serde_json::json!({ "footage": footage, "from": from, "to": from.later(LASTS) });
    Part::Clip(Box::new(serde_json::from_value::<Clip>(clip).unwrap()))
}

/// Steps through clips at the places `SHOW_PLACES` (milliseconds) of the film `SHOW_FILM`, and prints how long each step took until
/// its frame was handed to the window, and until the window was drawn with it.
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
    turn_until("the first clip", || shown(0));
    let (mut handed, mut drawn, mut ready) = (Vec::new(), Vec::new(), Vec::new());
    for at in 1..places.len() {
        let begun = Instant::now();
        turn_until("the players", || model.is_ready());
        ready.push(begun.elapsed().as_secs_f64() * 1000.0);
        turn_for(LOOK.saturating_sub(begun.elapsed()));
        let begun = Instant::now();
        stage.act(Action::PointForward);
        handed.push(begun.elapsed().as_secs_f64() * 1000.0);
        while !shown(at) {
            assert!(begun.elapsed() < Duration::from_secs(20), "waited for the first frame of clip {at}");
            gtk::glib::MainContext::default().iteration(true);
        }
        drawn.push(begun.elapsed().as_secs_f64() * 1000.0);
    }
    println!("\nshow: {}", serde_json::json!({ "handed": handed, "drawn": drawn, "ready": ready }));
    stage.close();
    window.destroy();
}
