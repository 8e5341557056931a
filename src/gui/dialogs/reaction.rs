//! Offers the usual reaction time, once, when the first stamps were made and the footage is paused.

use gtk::glib;
use gtk::prelude::*;

use crate::gui::kit::confirm::confirm;
use crate::gui::model::{Event, Model};
use crate::logging::react::USUAL_MS;

/// So many stamps show that somebody logs while the footage plays.
const STAMPS: usize = 3;

/// Waits for the first stamps.
pub fn offer(model: &Model, parent: &impl IsA<gtk::Window>) {
    model.on(
        Event::Transport,
        glib::clone!(
            #[weak(rename_to = parent)]
            parent.upcast_ref::<gtk::Window>(),
            move |model| {
                if wanted(model) {
                    dialog(model, &parent).present();
                }
            }
        ),
    );
}

fn wanted(model: &Model) -> bool {
    let settings = model.settings().borrow();
    let new = settings.reaction_ms == 0 && !settings.reaction_offered;
    new && !model.is_playing() && model.stamps().borrow().made().len() >= STAMPS
}

/// The offer. It is made once, whatever the answer.
pub fn dialog(model: &Model, parent: &gtk::Window) -> gtk::Window {
    model.settings().borrow_mut().reaction_offered = true;
    model.write_settings();
    let text = format!(
        "Most people press a key about {USUAL_MS} ms after they see the serve. Changeover can subtract this from every \
         stamp that you make while the footage plays. You can change it later in Settings."
    );
    let take = glib::clone!(
        #[weak]
        model,
        move || {
            let mut settings = model.settings().borrow().clone();
            settings.reaction_ms = USUAL_MS;
            model.use_settings(settings);
            model.write_settings();
        }
    );
    confirm(parent, "Reaction time", &text, vec![(&format!("Subtract {USUAL_MS} ms"), Box::new(take))])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::gui::dialogs::correct_tests::all;
    use crate::gui::window::tests::{footage, settle, times, window_on};
    use crate::record::{Point, Record};
    use crate::time::MatchTime;

    fn stamp(model: &Model, many: u64) {
        let record = |n: u64| Record {
            points: (0..n)
                .map(|i| Point { start: Some(MatchTime::from_secs(i)), ..Point::default() })
                .collect(),
            ..Record::default()
        };
        for n in 0..many {
            model.stamps().borrow_mut().pressed(MatchTime::from_secs(n), 1.0);
            model.stamps().borrow_mut().told(&record(n), &record(n + 1));
        }
    }

    fn offers() -> Vec<gtk::Window> {
        let all = gtk::Window::list_toplevels().into_iter().filter_map(|w| w.downcast::<gtk::Window>().ok());
        all.filter(|w| w.title().as_deref() == Some("Reaction time") && w.is_visible()).collect()
    }

    #[gtk::test]
    fn the_usual_reaction_time_is_offered_once_and_taken() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("holt-okafor.mp4");
        footage(&path, &times(50, 40));
        let window = window_on(&path);
        let model = window.model();
        let before = model.settings().borrow().clone();
        model.settings().borrow_mut().reaction_offered = false;
        model.settings().borrow_mut().reaction_ms = 0;
        stamp(model, 2);
        model.tell(Event::Transport);
        assert!(offers().is_empty(), "two stamps are few");
        stamp(model, 3);
        model.tell(Event::Transport);
        model.tell(Event::Transport);
        let offers = offers();
        assert_eq!(offers.len(), 1);
        let buttons = all::<gtk::Button>(&offers[0]);
        buttons.iter().find(|b| b.label().as_deref() == Some("Subtract 250 ms")).unwrap().emit_clicked();
        settle(&window);
        assert_eq!(model.settings().borrow().reaction_ms, 250);
        assert!(!wanted(model));
        model.settings().replace(before);
        model.write_settings();
        window.destroy();
    }
}
