//! The court pad with its keys: what it asks, what a plain key means, the kinds of shot, and how the point ends.

use std::cell::{Cell, RefCell};

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::chips::{Chip, GAP, OF_A_BALL, OF_A_SERVE, OF_THE_END, lay_out};
use super::hints::hints;
use super::lit::{allowed, lit, word_of};
use crate::gui::model::{Event, Model};
use crate::gui::pad::court::Part as Shown;
use crate::gui::pad::{Face, Pad};
use crate::logging::log::open_point;
use crate::logging::pad::{Lands, PadView, Phase};
use crate::logging::{Action, KeyCard, Meaning};
use crate::record::{Logged, MatchInfo, Point, Record};
use crate::session::courtside::match_won;
use crate::session::state::Session;
use crate::tennis::stroke::{Column, Depth, Row};
use crate::tennis::{CourtSide, End, Side};

pub mod imp {
    use super::{Cell, Chip, Pad, RefCell, glib};
    use glib::types::StaticTypeExt;
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/pad_card.ui")]
    pub struct PadCard {
        #[template_child]
        pub title: TemplateChild<gtk::Label>,
        #[template_child]
        pub plain_keys: TemplateChild<gtk::Box>,
        #[template_child]
        pub plain_forehand: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub plain_groundstroke: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub plain_misses: TemplateChild<gtk::ToggleButton>,
        #[template_child]
        pub ends: TemplateChild<gtk::Box>,
        #[template_child]
        pub ends_asked: TemplateChild<gtk::Label>,
        #[template_child]
        pub end_near: TemplateChild<gtk::Button>,
        #[template_child]
        pub end_far: TemplateChild<gtk::Button>,
        #[template_child]
        pub pad: TemplateChild<Pad>,
        #[template_child]
        pub keys_room: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub ball_keys: TemplateChild<gtk::Stack>,
        #[template_child]
        pub finish_keys: TemplateChild<gtk::Grid>,
        #[template_child]
        pub hints: TemplateChild<gtk::Label>,
        pub chips: RefCell<Vec<Chip>>,
        /// The height that the card may take, in pixels.
        pub room: Cell<i32>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for PadCard {
        const NAME: &'static str = "ChangeoverPadCard";
        type Type = super::PadCard;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            Pad::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for PadCard {}
    impl WidgetImpl for PadCard {}
    impl BoxImpl for PadCard {}
}

glib::wrapper! {
    /// The court pad and its keys.
    pub struct PadCard(ObjectSubclass<imp::PadCard>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl PadCard {
    /// Shows what the model has open.
    pub fn set_up(&self, model: &Model) {
        self.make_chips(model);
        let show = glib::clone!(
            #[weak(rename_to = card)]
            self,
            move |m: &Model| card.show(m)
        );
        wire(&self.imp().pad, model, &show);
        self.wire_choices(model);
        model.on(
            Event::Dark,
            glib::clone!(
                #[weak(rename_to = card)]
                self,
                move |m| card.imp().pad.set_colours(m.dark().get(), m.strong().get())
            ),
        );
    }

    /// What a plain key means, and the end from which is served.
    fn wire_choices(&self, model: &Model) {
        let plain = [
            (&self.imp().plain_forehand, Action::PlainForehand),
            (&self.imp().plain_groundstroke, Action::PlainGroundstroke),
            (&self.imp().plain_misses, Action::PlainMisses),
        ];
        for (button, action) in plain {
            button.connect_clicked(glib::clone!(
                #[weak]
                model,
                move |_| {
                    model.perform(&Meaning::Do(action));
                    model.tell(Event::Pad);
                }
            ));
        }
        for (button, end) in [(&self.imp().end_near, End::Near), (&self.imp().end_far, End::Far)] {
            button.connect_clicked(glib::clone!(
                #[weak]
                model,
                move |_| model.tell_end(end)
            ));
        }
    }

    fn make_chips(&self, model: &Model) {
        let imp = self.imp();
        let chip = |grid: &gtk::Grid, (action, word): (Action, &str)| {
            let chip = Chip::new(action, word, grid);
            chip.button().connect_clicked(glib::clone!(
                #[weak]
                model,
                move |_| {
                    model.perform(&Meaning::Do(action));
                    // A click turns the button over by itself; whether it is so is told by the record.
                    model.tell(Event::Pad);
                }
            ));
            imp.chips.borrow_mut().push(chip);
        };
        for (name, all) in [("serve", &OF_A_SERVE[..]), ("ball", &OF_A_BALL[..])] {
            let grid =
                gtk::Grid::builder().column_spacing(2).row_spacing(GAP).column_homogeneous(true).build();
            for of in all {
                chip(&grid, *of);
            }
            imp.ball_keys.add_named(&grid, Some(name));
        }
        for of in OF_THE_END {
            chip(&imp.finish_keys, of);
        }
        lay_out(&imp.chips.borrow());
    }

    fn show(&self, model: &Model) {
        let session = model.session().borrow();
        let (Some(s), Some(card)) = (session.as_ref(), model.key_card()) else { return };
        let imp = self.imp();
        let view = &s.view.pad;
        let asks = title(s);
        imp.title.set_label(&asks);
        imp.title.set_tooltip_text(Some(&format!("{asks} ({}). {}", place(view), Depth::DEFINITION)));
        let server = s.end_is_asked();
        imp.ends.set_visible(server.is_some());
        if let Some(side) = server {
            let who = s.about().side_name(side);
            imp.ends_asked.set_label(&format!("The end is not known. Where does {who} serve from?"));
        }
        imp.pad.set_face(face(view, &card, asks));
        imp.plain_forehand.set_active(view.plain.forehand);
        imp.plain_groundstroke.set_active(view.plain.groundstroke);
        imp.plain_misses.set_active(view.plain.misses);
        self.show_chips(s, &card);
        imp.hints.set_markup(&hints(&card, s.courtside(), s.current().is_some()));
        self.fit_keys();
    }

    /// The keys that mean something where the point stands.
    fn show_chips(&self, s: &Session, card: &KeyCard) {
        let imp = self.imp();
        let view = &s.view.pad;
        let none = Point::default();
        let current = s.current().and_then(|c| s.view.record.points.get(c));
        let point = current.unwrap_or(&none);
        let serve = view.goes_to.is_none_or(|n| n == 0) && !view.joined;
        imp.ball_keys.set_visible_child_name(if serve { "serve" } else { "ball" });
        let names = s.names();
        let mut others = false;
        for chip in &*imp.chips.borrow() {
            let planned = chip.action() == Action::Plan && !s.view.plan.is_empty();
            let cap = card.cap(chip.action());
            let seen = !cap.is_empty() && allowed(chip.action(), view, current);
            others |= chip.button().get_visible() != seen;
            chip.button().set_visible(seen);
            let on = planned || lit(chip.action(), point, view.goes_to);
            chip.show(&cap, on, [&names[0], &names[1]]);
            if let Some(word) = word_of(chip.action(), point) {
                chip.say(word);
            }
        }
        if others {
            lay_out(&imp.chips.borrow());
        }
    }

    /// Gives it so much height, and leaves out what can be where that is `low`.
    pub fn set_room(&self, height: i32, low: bool) {
        self.imp().hints.set_visible(!low);
        self.imp().plain_keys.set_visible(!low);
        self.imp().room.set(height);
        self.fit_keys();
    }

    /// All keys are to be seen: the court gives up height for them. Where that is not enough, whole rows are seen, and the others are
    /// scrolled to.
    fn fit_keys(&self) {
        let imp = self.imp();
        let high = |w: &gtk::Widget| w.measure(gtk::Orientation::Vertical, -1);
        let all = high(imp.ball_keys.upcast_ref()).1;
        let chips = imp.chips.borrow();
        let seen = chips.iter().filter(|c| c.button().get_visible());
        let row = seen.map(|c| high(c.button().upcast_ref()).1).max().unwrap_or(0) + GAP;
        let width = if self.width() > 0 { self.width() } else { -1 };
        let others = self.measure(gtk::Orientation::Vertical, width).0 - high(imp.keys_room.upcast_ref()).0;
        let rows = ((imp.room.get() - others + GAP) / row).max(1);
        let room = if imp.room.get() > 0 { all.min(rows * row - GAP) } else { all };
        imp.keys_room.set_min_content_height(room);
    }
}

/// A pad does what its keys say, and is shown by `show` whenever that may be other than before.
pub fn wire(pad: &Pad, model: &Model, show: &(impl Fn(&Model) + Clone + 'static)) {
    for event in [Event::Changed, Event::Current, Event::Pad, Event::Card] {
        model.on(event, show.clone());
    }
    pad.connect_pressed(glib::clone!(
        #[weak]
        model,
        move |column, row, shift| press(&model, column, row, shift)
    ));
}

/// What the pad's key of a cell does; with Shift, that of a backhand.
fn press(model: &Model, column: Column, row: Row, shift: bool) {
    let action = {
        let session = model.session().borrow();
        let Some(s) = session.as_ref() else { return };
        let cell = &s.view.pad.cells[row as usize * 3 + column as usize];
        if shift { cell.backhand } else { cell.action }
    };
    model.perform(&Meaning::Do(action));
}

/// What is asked now.
pub fn title(s: &Session) -> String {
    let record = &*s.view.record;
    let stopped = open_point(record)
        .is_some_and(|i| Some(i) == s.current() && record.points[i].logged == Some(Logged::Opening));
    if stopped && !s.view.pad.chosen {
        return "Who won the point?".to_owned();
    }
    asks(record, &s.about(), &s.view.pad, s.view.won)
}

/// What the pad asks.
fn asks(record: &Record, about: &MatchInfo, view: &PadView, won: Option<Side>) -> String {
    if let Some(tag) = &view.whose {
        return format!("Whose {tag}: {} or {}?", about.side_name(Side::A), about.side_name(Side::B));
    }
    let who = view.striker.map(|side| about.player(side).name.clone());
    let of = who.as_deref().map_or_else(String::new, |w| format!("{w}’s "));
    let serve = match view.serve {
        Some(1) => "first serve",
        Some(_) => "second serve",
        None => "serve",
    };
    match (view.phase, view.ball, view.chosen) {
        (_, n, true) if view.joined => {
            format!("Correct shot {} of those seen: where did it land?", n + 1)
        }
        (_, 0, true) => "Correct the serve: where did it land?".into(),
        (_, n, true) => format!("Correct shot {}: where did it land?", n + 1),
        (Phase::Idle, ..) => match_won(record, won).unwrap_or_else(|| format!("Next: {of}{serve}")),
        _ if of.is_empty() && (view.joined || view.ball > 0) => "Where did the shot land?".into(),
        _ if view.joined => format!("Where did {of}shot land?"),
        // Who serves is on the score board.
        (_, 0, _) => format!("Where did the {serve} land?"),
        _ => format!("Where did {of}shot land?"),
    }
}

/// Where on the court that is, and whether the ends are not known.
fn place(view: &PadView) -> String {
    let unknown = "the end is not known";
    match view.lands {
        Lands::Half(end) => end.map_or(unknown, half).to_owned(),
        Lands::Box { from, court, .. } => {
            let all = court.map(CourtSide::words).into_iter().chain(from.is_none().then_some(unknown));
            all.collect::<Vec<_>>().join(", ")
        }
    }
}

const fn half(end: End) -> &'static str {
    match end {
        End::Near => "near half",
        End::Far => "far half",
    }
}

/// What the pad draws.
pub fn face(view: &PadView, card: &KeyCard, asks: String) -> Face {
    let part = match view.lands {
        Lands::Half(end) => Shown::Half(end.unwrap_or(End::Near)),
        Lands::Box { from, column, .. } => {
            Shown::Box(from.map_or(End::Near, End::other), column.unwrap_or(Column::Middle))
        }
    };
    let serve = matches!(view.lands, Lands::Box { .. });
    let word = |i: usize, of_a_serve| if serve == of_a_serve { view.cells[i].word } else { "" };
    Face {
        part,
        caps: [0, 3, 6].map(|row| [0, 1, 2].map(|column| card.cap(view.cells[row + column].action))),
        columns: [3, 4, 5].map(|i| word(i, true)),
        rows: [0, 3, 6].map(|i| word(i, false)),
        ball: view.cells.iter().find(|c| c.marked).map(|c| c.cell),
        asks,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::facts;
    use crate::logging::Logger;
    use crate::tennis::rules::Rules;
    use crate::time::MatchTime;

    #[test]
    fn when_the_match_is_won_no_serve_is_asked_for() {
        let mut record = Record::default();
        record.about.rules = Rules::named("one-short-set").unwrap();
        let title = |record: &Record| {
            let logger = Logger::resume(record);
            asks(
                record,
                &record.about,
                &PadView::of(record, &facts(record), &record.replay().end.state(), &logger),
                record.winner(),
            )
        };
        let won = Point { end: Some(MatchTime::ZERO), winner: Some(Side::A), ..Point::default() };
        record.points = vec![won.clone(); 15].into();
        assert_eq!(title(&record), "Next: Player B’s first serve");
        record.points.push(won);
        assert_eq!(title(&record), "Player A has won the match");
    }
}
