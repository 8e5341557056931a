//! The dialog that corrects the score: what was seen of the current point, and how the match ended.

use gtk::glib;
use gtk::prelude::*;

use super::correct_end::EndFields;
use super::correct_now::NowFields;
use super::correct_point::PointFields;
use super::error::FieldsError;
use crate::facts::PointFacts;
use crate::gui::kit::confirm::{Does, confirm};
use crate::gui::kit::pages::{After, ask_with_pages};
use crate::gui::model::Model;
use crate::record::{Edit, Record, Shared};
use crate::session::carried::Carried;
use crate::session::keeper::Ask;
use crate::tennis::pair::Server;

/// Asks what was seen of the current point, and how the match ended.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>) {
    if let Some(dialog) = dialog(model, parent) {
        dialog.present();
    }
}

/// The dialog, without a session none. Before the first point it asks for the score now.
pub fn dialog(model: &Model, parent: &impl IsA<gtk::Window>) -> Option<gtk::Window> {
    let session = model.session().borrow();
    let s = session.as_ref()?;
    let record = &*s.view.record;
    if record.points.is_empty() {
        let fields = NowFields::new(record);
        let pages = [("Score now", fields.clone().upcast())];
        return Some(asks(model, parent, &pages, move |record, _| Ok(fields.edit(record)?.into())));
    }
    let end = EndFields::new(record);
    let mut pages: Vec<(&str, gtk::Box)> = vec![("End of the match", end.clone().upcast())];
    let point = s.current().and_then(|c| s.facts().get(c)).map(|f| PointFields::new(record, f));
    if let Some(fields) = &point {
        pages.insert(0, ("This point", fields.clone().upcast()));
    }
    Some(asks(model, parent, &pages, move |record, facts| {
        let mut wanted = Wanted { edits: end.edits(record)?, carried: None };
        match point.as_ref().map(|fields| fields.edit(record, facts)).transpose()?.flatten() {
            Some(Edit::SetPoint { at, point }) => {
                wanted.carried = Carried::of(record, at, &point).filter(Carried::asks);
                if wanted.carried.is_none() {
                    wanted.edits.push(Edit::SetPoint { at, point });
                }
            }
            other => wanted.edits.extend(other),
        }
        Ok(wanted)
    }))
}

/// What is to be done, and a correction that asks first how far it goes.
#[derive(Default)]
struct Wanted {
    edits: Vec<Edit>,
    carried: Option<Carried>,
}

impl From<Option<Edit>> for Wanted {
    fn from(edit: Option<Edit>) -> Self {
        Self { edits: edit.into_iter().collect(), carried: None }
    }
}

/// A dialog whose Save does what `wanted` reads from its fields, as one edit.
fn asks(
    model: &Model,
    parent: &impl IsA<gtk::Window>,
    pages: &[(&str, gtk::Box)],
    wanted: impl Fn(&Record, &Shared<PointFacts>) -> Result<Wanted, FieldsError> + 'static,
) -> gtk::Window {
    let save = glib::clone!(
        #[weak]
        model,
        #[upgrade_or]
        Ok(After::Close),
        move |dialog: &gtk::Window| {
            let (wanted, words) = {
                let session = model.session().borrow();
                let Some(s) = session.as_ref() else { return Ok(After::Close) };
                let about = &s.view.record.about;
                let wanted = wanted(&s.view.record, s.facts())?;
                let name = |server: Server| about.name_of(server.side(), server.partner());
                let words = wanted.carried.as_ref().map(|c| c.words(name));
                (wanted, words)
            };
            if let (Some(carried), Some(words)) = (&wanted.carried, words) {
                ask_how_far(&model, dialog, &wanted.edits, carried, &words);
                return Ok(After::Stay);
            }
            do_together(&model, wanted.edits);
            Ok::<_, FieldsError>(After::Close)
        }
    );
    ask_with_pages(parent, "Correct the score", pages, save)
}

/// Asks whether a server is corrected at the point alone or through the rest of its game.
fn ask_how_far(model: &Model, dialog: &gtk::Window, others: &[Edit], carried: &Carried, words: &str) {
    let does = |edit: Option<Edit>| -> Does {
        let all: Vec<Edit> = others.iter().cloned().chain(edit).collect();
        Box::new(glib::clone!(
            #[weak]
            model,
            #[weak]
            dialog,
            move || {
                do_together(&model, all.clone());
                dialog.close();
            }
        ))
    };
    let mut answers = vec![("Save", does(Some(carried.edit())))];
    if carried.changes.len() > 1 {
        answers = vec![
            ("This point only", does(carried.alone())),
            ("Rest of the game", does(Some(carried.edit()))),
        ];
    }
    confirm(dialog, "Who served", words, answers).present();
}

/// Does several edits as one, which one undo takes back.
fn do_together(model: &Model, mut edits: Vec<Edit>) {
    let edit = if edits.len() > 1 { Some(Edit::Together(edits)) } else { edits.pop() };
    if let Some(edit) = edit {
        model.ask(Ask::Edit(Box::new(edit)));
    }
}
