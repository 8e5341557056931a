//! The score board: who serves, from which end, sets, games and points before the current point.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::kit::words::label;
use crate::gui::model::{Event, Model};
use crate::session::board::BoardRow;
use crate::session::state::Session;
use crate::tennis::{End, Side};

pub mod imp {
    use super::glib;
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/board.ui")]
    pub struct Board {
        #[template_child]
        pub grid: TemplateChild<gtk::Grid>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for Board {
        const NAME: &'static str = "ChangeoverBoard";
        type Type = super::Board;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for Board {}
    impl WidgetImpl for Board {}
    impl BoxImpl for Board {}
}

glib::wrapper! {
    /// The score board.
    pub struct Board(ObjectSubclass<imp::Board>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl Board {
    /// Shows what the model has open.
    pub fn set_up(&self, model: &Model) {
        let show = glib::clone!(
            #[weak(rename_to = board)]
            self,
            move |m: &Model| {
                if let Some(s) = m.session().borrow().as_ref() {
                    board.show(s);
                }
            }
        );
        model.on(Event::Changed, show.clone());
        model.on(Event::Current, show);
    }

    fn show(&self, s: &Session) {
        let board = &*self.imp().grid;
        while let Some(child) = board.first_child() {
            board.remove(&child);
        }
        for side in [Side::A, Side::B] {
            let row = side.index() as i32;
            let (shape, class) = if side == Side::A { ("●", "side-a") } else { ("□", "side-b") };
            board.attach(&label(shape, &[class]), 0, row, 1, 1);
            let line = s.board(side);
            board.attach(&name(&line.name), 1, row, 1, 1);
            let (shown, spoken) = serves(s, side, &line);
            let serves = label(&shown, &["quiet"]);
            serves.set_xalign(1.0);
            serves.set_tooltip_text(Some(&spoken).filter(|s| !s.is_empty()).map(String::as_str));
            serves.update_property(&[gtk::accessible::Property::Label(&spoken)]);
            board.attach(&serves, 2, row, 1, 1);
            for (column, number) in (3..).zip(numbers(&line)) {
                board.attach(&number, column, row, 1, 1);
            }
        }
    }
}

/// A side's name. A long one is cut before it takes room from the picture.
fn name(named: &str) -> gtk::Label {
    let name = label(named, &["heading"]);
    name.set_ellipsize(gtk::pango::EllipsizeMode::End);
    name.set_xalign(0.0);
    name.set_hexpand(true);
    name.set_max_width_chars(18);
    name.set_tooltip_text(Some(named));
    name
}

/// Whether a side serves and from which end it plays, or that it has won: as shown, and as read out.
fn serves(s: &Session, side: Side, line: &BoardRow) -> (String, String) {
    let place = line.end.map(|e| if e == End::Near { "near" } else { "far" });
    match s.won() {
        Some(winner) if winner == side => ("won".to_owned(), "won the match".to_owned()),
        Some(_) => (String::new(), String::new()),
        None => serving(line.serves, place),
    }
}

/// A side's games of each set, then its games and points now, unless the match is over.
fn numbers(line: &BoardRow) -> Vec<gtk::Label> {
    let mut numbers: Vec<gtk::Label> =
        line.sets.iter().map(|games| label(&games.to_string(), &["quiet"])).collect();
    if let Some((games, called)) = &line.score {
        let points = label(called, &["score"]);
        points.set_width_chars(3);
        points.set_xalign(1.0);
        numbers.extend([label(games, &["score"]), points]);
    }
    numbers
}

/// Whether a side serves, and from which end: as shown, with a dot for the server, and as read out.
fn serving(serves: bool, place: Option<&str>) -> (String, String) {
    let both = |word: &'static str, between| {
        serves.then_some(word).into_iter().chain(place).collect::<Vec<_>>().join(between)
    };
    (both("•", " "), both("serves", ", "))
}
