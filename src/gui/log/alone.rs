//! What is shown over the footage when it fills the window: the score, the current point in one line, and the pad, small
//! and translucent. It can be dragged, or sent by key, to any corner; the pad can be off.

use std::cell::Cell;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::pad_card::{face, title, wire};
use crate::gui::model::Model;
use crate::gui::pad::Pad;
use crate::session::leading::between_words;
use crate::session::state::Session;
use crate::tennis::Side;

/// Where it lies, one after another; after the last the pad is off, in the first corner.
const CORNERS: [(gtk::Align, gtk::Align); 4] = [
    (gtk::Align::End, gtk::Align::End),
    (gtk::Align::End, gtk::Align::Start),
    (gtk::Align::Start, gtk::Align::Start),
    (gtk::Align::Start, gtk::Align::End),
];

pub mod imp {
    use super::{Cell, Pad, glib};
    use glib::types::StaticTypeExt;
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/alone.ui")]
    pub struct OverPicture {
        #[template_child]
        pub score: TemplateChild<gtk::Label>,
        #[template_child]
        pub point: TemplateChild<gtk::Label>,
        #[template_child]
        pub pad: TemplateChild<Pad>,
        pub corner: Cell<usize>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for OverPicture {
        const NAME: &'static str = "ChangeoverOverPicture";
        type Type = super::OverPicture;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            Pad::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for OverPicture {}
    impl WidgetImpl for OverPicture {}
    impl BoxImpl for OverPicture {}
}

glib::wrapper! {
    /// The score, the point and the pad over the picture.
    pub struct OverPicture(ObjectSubclass<imp::OverPicture>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl OverPicture {
    /// Shows what the model has open.
    pub fn set_up(&self, model: &Model) {
        let show = glib::clone!(
            #[weak(rename_to = over)]
            self,
            move |m: &Model| over.show(m)
        );
        wire(&self.imp().pad, model, &show);
        self.connect_map(glib::clone!(
            #[weak]
            model,
            move |over| over.show(&model)
        ));
        self.imp().pad.set_colours(true, false);
        self.add_controller(self.drag());
    }

    /// Goes to the next corner; after the last the pad is off, and then in the first corner again.
    pub fn next_corner(&self) {
        let corner = (self.imp().corner.get() + 1) % (CORNERS.len() + 1);
        self.imp().corner.set(corner);
        let (across, down) = CORNERS[corner % CORNERS.len()];
        self.set_halign(across);
        self.set_valign(down);
        self.imp().pad.set_visible(corner < CORNERS.len());
    }

    /// A drag takes it to the corner that is nearest.
    fn drag(&self) -> gtk::GestureDrag {
        let drag = gtk::GestureDrag::new();
        drag.connect_drag_end(glib::clone!(
            #[weak(rename_to = over)]
            self,
            move |_, dx, dy| {
                let far = |by: f64, least: i32| by.abs() > f64::from(least) / 2.0;
                let toward = |by: f64| if by > 0.0 { gtk::Align::End } else { gtk::Align::Start };
                if far(dx, over.width()) {
                    over.set_halign(toward(dx));
                }
                if far(dy, over.height()) {
                    over.set_valign(toward(dy));
                }
            }
        ));
        drag
    }

    fn show(&self, model: &Model) {
        let session = model.session().borrow();
        let (Some(s), Some(card)) = (session.as_ref().filter(|_| self.is_mapped()), model.key_card()) else {
            return;
        };
        let imp = self.imp();
        imp.score.set_label(&score(s));
        let asks = title(s);
        imp.point.set_label(&point(s, &asks));
        imp.pad.set_face(face(&s.view.pad, &card, asks));
    }
}

/// The score in one line: `Holt 2 40 – Okafor 1 15`, the server with a dot.
fn score(s: &Session) -> String {
    let one = |side: Side| {
        let line = s.board(side);
        let serves = if line.serves { "• " } else { "" };
        let sets = line.sets.iter().map(u16::to_string);
        let (games, points) = line.score.unzip();
        let all = sets.chain(games).chain(points).filter(|n| !n.is_empty());
        format!("{serves}{} {}", line.name, all.collect::<Vec<_>>().join(" ")).trim_end().to_owned()
    };
    format!("{}  –  {}", one(Side::A), one(Side::B))
}

/// The current point, or where the film is, and what is asked.
fn point(s: &Session, asks: &str) -> String {
    let here = match (s.current(), s.between()) {
        (Some(point), _) => format!("Point {}", point + 1),
        (None, Some(between)) => between_words(between),
        (None, None) => "No points yet".into(),
    };
    format!("{here} · {asks}")
}
