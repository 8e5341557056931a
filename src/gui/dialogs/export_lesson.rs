//! What is chosen of a video, a page, a sheet, files of clips or a list of them that are made of a lesson.

use std::path::Path;

use gtk::prelude::*;

use super::made::Place;
use crate::export::Format;
use crate::gui::kit::fields::{attach, choice, chosen};
use crate::making::{Order, Source};
use crate::page::Naming;
use crate::video::Container;

/// What is made of a lesson.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Thing {
    Video,
    Page,
    Sheet,
    Clips,
    List,
}

impl Thing {
    /// All of them, with their names.
    pub const ALL: [(&'static str, Self); 5] = [
        ("Video of the lesson", Self::Video),
        ("Page for the player", Self::Page),
        ("Sheet to print", Self::Sheet),
        ("A video file for each clip", Self::Clips),
        ("List of clips, for other programs", Self::List),
    ];

    /// The formats that it can have.
    pub fn formats(self) -> Vec<&'static str> {
        match self {
            Self::Video => CONTAINERS.map(|c| c.0).to_vec(),
            Self::Page => vec!["A folder that any browser opens"],
            Self::Sheet => vec!["PDF, one page of A4"],
            Self::Clips => vec!["MP4, in a new folder"],
            Self::List => Format::ALL.map(Format::purpose).to_vec(),
        }
    }
}

const CONTAINERS: [(&str, Container); 3] = [
    ("MP4: plays everywhere", Container::Mp4),
    ("WebM: for browsers", Container::WebM),
    ("Matroska: with chapters", Container::Matroska),
];

/// Sizes of a video.
const SIZES: [(&str, Option<(u32, u32)>); 4] = [
    ("As the footage, at most 1920 × 1080", None),
    ("1280 × 720", Some((1280, 720))),
    ("854 × 480", Some((854, 480))),
    ("640 × 360", Some((640, 360))),
];

/// The bytes of a page at most.
const LIMITS: [(&str, Option<u64>); 5] = [
    ("No limit", None),
    ("50 MB", Some(50_000_000)),
    ("25 MB, for mail", Some(25_000_000)),
    ("10 MB, for mail", Some(10_000_000)),
    ("5 MB, for mail", Some(5_000_000)),
];

const NAMES: [(&str, Naming); 3] = [
    ("First names", Naming::First),
    ("Player A and Player B", Naming::Letters),
    ("Full names", Naming::Full),
];

/// The fields, one in each of four rows of a grid.
pub struct LessonFields {
    /// The lesson.
    pub of: Source,
    row: i32,
    grid: gtk::Grid,
    size: gtk::DropDown,
    talk: gtk::CheckButton,
    limit: gtk::DropDown,
    names: gtk::DropDown,
}

impl LessonFields {
    /// The usual choices, in the rows from `row` on.
    pub fn attached(grid: &gtk::Grid, row: i32, of: Source) -> Self {
        let (size, limit) = (choice(&SIZES, None), choice(&LIMITS, None));
        let names = choice(&NAMES, Naming::First);
        let talk = gtk::CheckButton::with_label("As I talked over it, with my voice");
        talk.set_active(of.lesson.talk.is_some());
        attach(grid, row, "Size", &size);
        attach(grid, row + 1, "Talk", &talk);
        attach(grid, row + 2, "Size at most", &limit);
        attach(grid, row + 3, "Names of players", &names);
        Self { of, row, grid: grid.clone(), size, talk, limit, names }
    }

    /// Shows the rows that this thing has.
    pub fn show_for(&self, thing: Thing) {
        let talks = self.of.lesson.talk.is_some();
        let names = thing != Thing::List;
        let seen = [thing == Thing::Video, thing == Thing::Video && talks, thing == Thing::Page, names];
        for (row, seen) in (self.row..).zip(seen) {
            for column in [0, 1] {
                if let Some(field) = self.grid.child_at(column, row) {
                    field.set_visible(seen);
                }
            }
        }
    }

    /// Calls `then` when something else is chosen.
    pub fn connect_changed(&self, then: impl Fn() + Clone + 'static) {
        for field in [&self.size, &self.limit, &self.names] {
            let then = then.clone();
            field.connect_selected_notify(move |_| then());
        }
        self.talk.connect_toggled(move |_| then());
    }

    /// What is ordered, in the format at this place of the list.
    pub fn order(&self, thing: Thing, format: usize) -> Order {
        let naming = chosen(&self.names, &NAMES);
        match thing {
            Thing::Video => Order::Video {
                container: CONTAINERS[format % CONTAINERS.len()].1,
                size: chosen(&self.size, &SIZES),
                talk: self.talk.is_active() && self.of.lesson.talk.is_some(),
                naming,
            },
            Thing::Page => Order::Page { limit: chosen(&self.limit, &LIMITS), naming },
            Thing::Sheet => Order::Sheet { naming },
            Thing::Clips => Order::Clips { naming },
            Thing::List => Order::List { format: Format::ALL[format % Format::ALL.len()] },
        }
    }

    /// Where it is made.
    pub fn place(&self, order: Order) -> Place {
        let folder = Some(Path::to_owned(self.of.folder()));
        Place { folder, name: order.name(&self.of), is_folder: order.is_folder() }
    }
}
