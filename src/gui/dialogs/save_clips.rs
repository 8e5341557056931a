//! What can be done with a list of clips, of one record or several: save it to a file, copy it.

use std::rc::Rc;

use gtk::glib;
use gtk::prelude::*;

use super::made::{Place, State, Stating, ask_and_make, films};
use super::saving_as::{LeadFields, NEVER_REPLACED, ask_where};
use crate::clips::Lead;
use crate::counted::{Counted, Noun};
use crate::export::Format;
use crate::gui::kit::export_menu::{Wanted, copy};
use crate::gui::kit::fields::{attach, grid, quiet};
use crate::gui::kit::job::off_loop;
use crate::gui::kit::pages::{After, ask_to};
use crate::gui::model::Model;
use crate::making::{Film, cut_clips, stated_clips};
use crate::session::exporting::ExportFailure;
use crate::session::library::finds::Finds;

/// Does what is wanted of a list; `over` is a widget in the window of the list.
pub fn export(model: &Model, over: &impl IsA<gtk::Widget>, finds: Finds, wanted: Wanted) {
    let over = over.upcast_ref::<gtk::Widget>();
    if wanted == Wanted::SaveAs {
        if let Some(window) = over.root().and_downcast::<gtk::Window>() {
            show(model, &window, finds);
        }
        return;
    }
    let n = finds.points.len();
    // Thousands of clips take their time.
    let text = move || match wanted {
        Wanted::Timecodes => finds.timecodes(Lead::default()),
        _ => finds.text(),
    };
    off_loop(
        text,
        glib::clone!(
            #[weak]
            over,
            #[weak]
            model,
            move |text: String| {
                copy(&over, &text);
                model.say(&format!("Copied {}.", Counted(n, Noun::Point)));
            }
        ),
    );
}

/// Asks for the format, and then where.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>, finds: Finds) {
    dialog(model, parent, finds).present();
}

/// The fields.
struct Fields {
    finds: Finds,
    formats: gtk::DropDown,
    lead: LeadFields,
    stating: Rc<Stating>,
}

impl Fields {
    fn page(self: &Rc<Self>, grid: &gtk::Grid) -> gtk::Box {
        let weak = Rc::downgrade(self);
        let again = move || {
            if let Some(f) = weak.upgrade() {
                f.show();
            }
        };
        self.lead.connect_changed(again.clone());
        self.formats.connect_selected_notify(move |_| again());
        let page = gtk::Box::new(gtk::Orientation::Vertical, 12);
        page.append(grid);
        page.append(self.stating.label());
        page.append(&quiet(NEVER_REPLACED));
        page
    }

    /// The format of a list; `None` stands for a video file of each clip.
    fn format(&self) -> Option<Format> {
        Format::ALL.get(self.formats.selected() as usize).copied()
    }

    fn films(&self) -> Vec<Film> {
        let items = self.finds.pieces(0, usize::MAX, self.lead.lead()).0;
        films(items, &self.finds.title, &self.finds.people())
    }

    /// States how large files of clips will be.
    fn show(&self) {
        let films = Some(self.format()).filter(Option::is_none).map(|_| self.films());
        let state = films.map(|films| -> State { Box::new(move |watch| stated_clips(&films, watch)) });
        self.stating.ask(state);
    }
}

/// The dialog.
pub fn dialog(model: &Model, parent: &impl IsA<gtk::Window>, finds: Finds) -> gtk::Window {
    let grid = grid();
    let words = Format::ALL.map(Format::purpose).into_iter().chain(["MP4: a video file for each clip"]);
    let formats = gtk::DropDown::from_strings(&words.collect::<Vec<_>>());
    attach(&grid, 0, "Format", &formats);
    let lead = LeadFields::attached(&grid, 1);
    let fields = Rc::new(Fields { finds, formats, lead, stating: Stating::new() });
    let page = fields.page(&grid);
    let save = glib::clone!(
        #[weak]
        model,
        #[upgrade_or]
        Ok(After::Close),
        move |dialog: &gtk::Window| {
            let (finds, lead) = (fields.finds.clone(), fields.lead.lead());
            if finds.points.is_empty() {
                return Err(ExportFailure::NoPoints);
            }
            if let Some(format) = fields.format() {
                let name = format!("clips.{}", format.ending());
                ask_where(&model, dialog, ("Save clips", &name, None), move |to| {
                    finds.save(format, lead, to)
                });
            } else {
                let (films, name) = (fields.films(), "clips".to_owned());
                let place = Place { folder: None, name, is_folder: true };
                ask_and_make(
                    &model,
                    dialog,
                    place,
                    |_| Ok(()),
                    move |to, watch| cut_clips(&films, to, watch),
                );
            }
            Ok(After::Stay)
        }
    );
    ask_to(parent, ("Save clips", "Save as…"), &[("Save clips", page)], save)
}
