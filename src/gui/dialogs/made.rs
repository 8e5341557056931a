//! Videos, pages, sheets and files of clips: how large they will be, where they are made, and how far the work is.

use std::cell::{Cell, RefCell};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};
use std::rc::Rc;

use gtk::glib;
use gtk::prelude::*;

use super::saving_as::ask_place;
use crate::gui::kit::dialog::fit_height;
use crate::gui::kit::fields::quiet;
use crate::gui::kit::job::{Job, News, Teller};
use crate::gui::kit::progress::{Progress, watched};
use crate::gui::kit::words::capital;
use crate::gui::model::Model;
use crate::making::{Done, Film, MakingError, Stated, Watch, unused};
use crate::page::{Names, Naming};
use crate::session::alone::known_as;
use crate::session::play_list::Item;

/// What states a size: it waits, so it is done on a thread.
pub type State = Box<dyn FnOnce(Watch<'_>) -> Result<Stated, MakingError> + Send>;

/// What will be made, in words below the fields of a dialog: how large it will be, and what the records say of consent.
pub struct Stating {
    label: gtk::Label,
    job: RefCell<Option<Job>>,
    turn: Cell<u32>,
}

impl Stating {
    /// Nothing is asked yet.
    pub fn new() -> Rc<Self> {
        let label = quiet("");
        label.set_visible(false);
        let all = Rc::new(Self { label, job: RefCell::default(), turn: Cell::default() });
        let stating = Rc::downgrade(&all);
        all.label.connect_unrealize(move |_| {
            if let Some(stating) = stating.upgrade() {
                stating.ask(None);
            }
        });
        all
    }

    /// Its words.
    pub const fn label(&self) -> &gtk::Label {
        &self.label
    }

    /// Asks anew, or for nothing.
    pub fn ask(self: &Rc<Self>, state: Option<State>) {
        self.turn.set(self.turn.get() + 1);
        if let Some(before) = self.job.take() {
            before.stop();
        }
        self.label.set_visible(state.is_some());
        let Some(state) = state else { return };
        self.label.set_label("Opening the footage to say how large it will be…");
        let (stating, turn) = (Rc::downgrade(self), self.turn.get());
        let work = move |teller: &Teller<(), Result<Stated, MakingError>>| state(&mut |_| teller.tell(()));
        let job = Job::start(work, move |news| {
            let Some(stating) = stating.upgrade().filter(|s| s.turn.get() == turn) else {
                return ControlFlow::Break(());
            };
            if let News::Done(stated) = news {
                stating.label.set_label(&match stated {
                    Ok(stated) => {
                        let said = stated.said.iter().map(|line| capital(line));
                        let first = std::iter::once(format!("{}.", stated.words));
                        first.chain(said).collect::<Vec<_>>().join("\n")
                    }
                    Err(why) => capital(&why.to_string()),
                });
                fit_height(&stating.label);
            }
            ControlFlow::Continue(())
        });
        self.job.replace(Some(job));
    }
}

/// Where something is made: the folder that is offered first, and the name.
#[derive(Debug, Clone)]
pub struct Place {
    /// The folder that is offered first.
    pub folder: Option<PathBuf>,
    /// The name of the file, or of the new folder.
    pub name: String,
    /// Whether a folder is made.
    pub is_folder: bool,
}

/// Asks where, closes the dialog, and makes it; `check` refuses a place at once.
pub fn ask_and_make(
    model: &Model,
    dialog: &gtk::Window,
    place: Place,
    check: impl Fn(&Path) -> Result<(), MakingError> + 'static,
    work: impl Fn(&Path, Watch<'_>) -> Result<Done, MakingError> + Clone + Send + 'static,
) {
    let Some(parent) = dialog.transient_for() else { return };
    let Place { folder, name, is_folder } = place;
    let title =
        if is_folder { format!("Choose where to make the folder {name}") } else { "Export to".into() };
    let action = if is_folder { gtk::FileChooserAction::SelectFolder } else { gtk::FileChooserAction::Save };
    let named = name.clone();
    let then = glib::clone!(
        #[weak]
        model,
        #[upgrade_or]
        Ok(()),
        move |chosen: PathBuf| {
            let to = if is_folder { unused(&chosen, &name) } else { chosen };
            check(&to)?;
            make(&model, &parent, to, work.clone()).present();
            Ok::<_, MakingError>(())
        }
    );
    ask_place(dialog, action, (&title, &named, folder.as_deref()), then);
}

/// Makes something at `to`. The dialog says how far it is, and at the end where it is; closing it stops the work.
pub fn make(
    model: &Model,
    parent: &impl IsA<gtk::Window>,
    to: PathBuf,
    work: impl FnOnce(&Path, Watch<'_>) -> Result<Done, MakingError> + Send + 'static,
) -> gtk::Window {
    let said = format!("Making {}…", known_as(&to));
    let place = to.clone();
    let then = glib::clone!(
        #[weak]
        model,
        move |_: &gtk::Window, page: &Progress, made: Result<Done, MakingError>| match made {
            Ok(done) => {
                let words = format!("Exported to {}. {}.", known_as(&place), done.words);
                page.done(&words, &done.opens);
                model.say(&words);
            }
            Err(why) if why.is_stop() => {}
            Err(why) => page.wrong(&why.to_string()),
        }
    );
    watched(parent, ("Export", &said), move |teller| work(&to, &mut |part| teller.tell(part)), then)
}

/// These clips as what files are made of, all named after `title`, in which these people are called Player A and so on.
pub fn films(items: Vec<Item>, title: &str, people: &[String]) -> Vec<Film> {
    let title = Names::of(people, Naming::Letters).shown(title);
    let film = |item: Item| Film { footage: item.footage, span: item.span, title: title.clone() };
    items.into_iter().map(film).collect()
}
