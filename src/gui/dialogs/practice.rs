//! Makes footage of an invented match to practise on: asks for a folder, tells how far it is, opens it when done.

use std::path::{Path, PathBuf};

use gtk::glib;
use gtk::prelude::*;

use crate::demo::{Demo, DemoError, make_unless_stopped};
use crate::gui::kit::chooser::when_chosen;
use crate::gui::kit::job::Teller;
use crate::gui::kit::progress::{Progress, watched};
use crate::gui::model::Model;

/// The match that is made: two games without the long pauses.
fn practice() -> Demo {
    Demo { games: Some(2), brisk: true, ..Demo::default() }
}

/// Asks for a folder, and makes the match in it.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    let parent = parent.upcast_ref::<gtk::Window>();
    let chooser = gtk::FileChooserNative::new(
        Some("Practice match: choose an empty folder"),
        Some(parent),
        gtk::FileChooserAction::SelectFolder,
        Some("Make"),
        Some("Cancel"),
    );
    let then = glib::clone!(
        #[weak]
        model,
        #[weak]
        parent,
        move |paths: Vec<PathBuf>| {
            if let Some(folder) = paths.into_iter().next() {
                make(&model, &parent, &folder, practice()).present();
            }
        }
    );
    when_chosen(&chooser, then);
}

/// Makes a match in a folder; the dialog tells how far it is, and closing it stops the work.
pub fn make(model: &Model, parent: &impl IsA<gtk::Window>, folder: &Path, demo: Demo) -> gtk::Window {
    let place = folder.to_owned();
    let work = move |teller: &Teller<f64, Result<PathBuf, DemoError>>| {
        let truth =
            make_unless_stopped(&demo, &place, &mut |done, of| teller.tell(done as f64 / of.max(1) as f64))?;
        Ok(place.join(&truth.files[0].name))
    };
    let then = glib::clone!(
        #[weak]
        model,
        move |dialog: &gtk::Window, page: &Progress, made: Result<PathBuf, DemoError>| match made {
            Ok(film) => {
                dialog.close();
                model.open(&[film]);
            }
            Err(DemoError::Stopped) => {}
            Err(why) => page.wrong(&why.to_string()),
        }
    );
    let said = "Making two games between two invented players…";
    watched(parent, ("Practice match", said), work, then)
}
