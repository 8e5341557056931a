//! The reaction time learned from the sound: starts stamped while the footage played, against the strikes heard in it.

use std::ops::ControlFlow;
use std::path::PathBuf;

use gtk::glib;
use gtk::prelude::*;

use super::error::HearError;
use crate::gui::kit::job::{Job, News, Teller};
use crate::gui::kit::words::capital;
use crate::gui::model::Model;
use crate::logging::react::{FEWEST, Learned, ReactError, learn, pairs};
use crate::time::MatchTime;
use crate::video::{Strike, strikes_of_match};

/// A frame shown at a key, and how fast the footage played.
type Stamp = (MatchTime, f64);

/// Lets a button listen to the footage: `found` says what was heard, and it sets `reaction`.
pub fn wire(model: &Model, button: &gtk::Button, found: &gtk::Label, reaction: &gtk::SpinButton) {
    button.connect_clicked(glib::clone!(
        #[weak]
        model,
        #[weak]
        found,
        #[weak]
        reaction,
        move |button| {
            let stamps = model.stamps().borrow().made();
            if stamps.len() < FEWEST {
                found.set_label(&capital(&ReactError::TooFew { found: stamps.len() }.to_string()));
                return;
            }
            button.set_sensitive(false);
            listen(to_hear(&model), stamps, button, &found, &reaction);
        }
    ));
}

fn show(learned: Result<Learned, HearError>, found: &gtk::Label, reaction: &gtk::SpinButton) {
    match learned {
        Ok(learned) => {
            reaction.set_value(learned.median.as_secs_f64() * 1000.0);
            let late = "Sound needs 3 ms for each metre, so your reaction time is slightly longer.";
            found.set_label(&format!("{} {late}", learned.words()));
        }
        Err(why) => found.set_label(&capital(&why.to_string())),
    }
}

/// Listens on a thread, which ends when the page is closed.
fn listen(
    files: Vec<(PathBuf, MatchTime)>,
    stamps: Vec<Stamp>,
    button: &gtk::Button,
    found: &gtk::Label,
    reaction: &gtk::SpinButton,
) {
    let work = move |teller: &Teller<f64, Result<Learned, HearError>>| {
        learned(&stamps, &strikes_of_match(&files, &mut |part| teller.tell(part))?)
    };
    let job = Job::start(
        work,
        glib::clone!(
            #[weak]
            button,
            #[weak]
            found,
            #[weak]
            reaction,
            #[upgrade_or]
            ControlFlow::Break(()),
            move |news| {
                match news {
                    News::Progress(part) => found.set_label(&format!("Listening… {:.0} %", part * 100.0)),
                    News::Done(learned) => {
                        button.set_sensitive(true);
                        show(learned, &found, &reaction);
                    }
                }
                ControlFlow::Continue(())
            }
        ),
    );
    button.connect_unrealize(move |_| job.stop());
}

fn learned(stamps: &[Stamp], strikes: &[Strike]) -> Result<Learned, HearError> {
    let strikes: Vec<MatchTime> = strikes.iter().map(|s| s.at).collect();
    let pairs: Vec<_> = stamps.iter().flat_map(|(t, speed)| pairs(&[*t], *speed, &strikes)).collect();
    Ok(learn(&pairs)?)
}

/// The files of the match that is open, and where each begins on the match clock.
fn to_hear(model: &Model) -> Vec<(PathBuf, MatchTime)> {
    let session = model.session().borrow();
    let Some(s) = session.as_ref() else { return Vec::new() };
    let start = |i| s.parts.get(i).map_or(MatchTime::ZERO, |p| p.start);
    s.media.iter().enumerate().map(|(i, m)| (m.path.clone(), start(i))).collect()
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;
    use crate::demo::{Demo, make};
    use crate::gui::window::tests::{settle, turn_until, window_on};
    use crate::record::{Point, Record};
    use crate::session::stamps::Stamps;

    /// Stamps that come so much after each strike of the demo.
    fn late(strikes: &[MatchTime], by: Duration) -> Stamps {
        let record = |n: usize| {
            let point = |t: &MatchTime| Point { start: Some(*t), ..Point::default() };
            Record { points: strikes[..n].iter().map(point).collect(), ..Record::default() }
        };
        let mut stamps = Stamps::default();
        for (n, t) in strikes.iter().enumerate() {
            stamps.pressed(t.later(by), 1.0);
            stamps.told(&record(n), &record(n + 1));
        }
        stamps
    }

    #[gtk::test]
    fn a_reaction_time_is_learned_from_the_sound() {
        let folder = tempfile::tempdir().unwrap();
        let demo = Demo {
            number: 4,
            points: Some(4),
            brisk: true,
            width: 64,
            height: 64,
            rate: "5".parse().ok(),
            ..Demo::default()
        };
        let truth = make(&demo, folder.path(), &mut |_, _| {}).unwrap();
        let window = window_on(&folder.path().join(&truth.files[0].name));
        settle(&window);
        let reaction = gtk::SpinButton::with_range(0.0, 1500.0, 10.0);
        let page = gtk::Box::new(gtk::Orientation::Vertical, 0);
        let (button, found) = (gtk::Button::new(), gtk::Label::new(None));
        wire(window.model(), &button, &found, &reaction);
        page.append(&button);
        page.append(&reaction);
        let dialog = gtk::Window::builder().child(&page).build();
        button.emit_clicked();
        assert!(found.label().starts_with("Only 0 stamps"), "{}", found.label());
        let strikes: Vec<_> = truth.points.iter().flat_map(|p| &p.strikes).map(|s| s.time).collect();
        window.model().stamps().replace(late(&strikes, Duration::from_millis(300)));
        button.emit_clicked();
        assert!(!button.is_sensitive());
        turn_until("the answer", || button.is_sensitive());
        // The sound comes 20 to 120 ms after the strike.
        assert!((180.0..=280.0).contains(&reaction.value()), "{} {}", reaction.value(), found.label());
        assert!(found.label().starts_with("Median of"), "{}", found.label());
        dialog.destroy();
        window.destroy();
    }
}
