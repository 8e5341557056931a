//! The page of the dialog that corrects the score about the current point.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::correct_fields::{FOLLOWS, MarkFields, servers};
use super::error::FieldsError;
use crate::facts::{PointFacts, heading_of};
use crate::gui::kit::fields::{chosen, offer, short};
use crate::gui::kit::words::{capital, named};
use crate::record::{Edit, Record, Shared};
use crate::session::correction::PointForm;
use crate::tennis::pair::Partner;
use crate::tennis::{CourtSide, End, Side};

const RECEIVERS: [(&str, Option<Partner>); 3] = [
    (FOLLOWS, None),
    ("First player of the pair", Some(Partner::First)),
    ("Second player of the pair", Some(Partner::Second)),
];
const COURTS: [(&str, Option<CourtSide>); 3] =
    [(FOLLOWS, None), court(CourtSide::Deuce), court(CourtSide::Ad)];

const fn court(side: CourtSide) -> (&'static str, Option<CourtSide>) {
    (side.title(), Some(side))
}

const ENDS: [(&str, Option<End>); 3] =
    [(FOLLOWS, None), ("Near end", Some(End::Near)), ("Far end", Some(End::Far))];

mod imp {
    use std::cell::{Cell, RefCell};

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use crate::gui::dialogs::correct_fields::Servers;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/dialogs/correct_point.ui")]
    pub struct PointFields {
        #[template_child]
        pub here: TemplateChild<gtk::Label>,
        #[template_child]
        pub heading: TemplateChild<gtk::Label>,
        #[template_child]
        pub sets: TemplateChild<gtk::Entry>,
        #[template_child]
        pub games: TemplateChild<gtk::Entry>,
        #[template_child]
        pub points: TemplateChild<gtk::Entry>,
        #[template_child]
        pub server: TemplateChild<gtk::DropDown>,
        #[template_child]
        pub receiver_title: TemplateChild<gtk::Label>,
        #[template_child]
        pub receiver: TemplateChild<gtk::DropDown>,
        #[template_child]
        pub court: TemplateChild<gtk::DropDown>,
        #[template_child]
        pub a_end_title: TemplateChild<gtk::Label>,
        #[template_child]
        pub a_end: TemplateChild<gtk::DropDown>,
        #[template_child]
        pub replayed: TemplateChild<gtk::CheckButton>,
        /// The point, from 0.
        pub at: Cell<usize>,
        pub servers: RefCell<Servers>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for PointFields {
        const NAME: &'static str = "ChangeoverPointFields";
        type Type = super::PointFields;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for PointFields {}
    impl WidgetImpl for PointFields {}
    impl BoxImpl for PointFields {}
}

glib::wrapper! {
    /// The page about the current point.
    pub struct PointFields(ObjectSubclass<imp::PointFields>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl PointFields {
    /// The page of this point.
    pub fn new(record: &Record, f: &PointFacts) -> Self {
        let fields: Self = glib::Object::new();
        let (imp, about) = (fields.imp(), &record.about);
        let form = PointForm::of(&record.points[f.number], about.rules, f.state.server);
        let first = short(&about.side_name(Side::A));
        imp.at.set(f.number);
        imp.here.set_label(&capital(&heading_of(record, f)));
        imp.heading.set_label(&format!("Score before this point, {first} first"));
        fields.mark().fill(&form.mark);
        let servers = servers(about);
        offer(&imp.server, &servers, form.server);
        imp.servers.replace(servers);
        offer(&imp.receiver, &RECEIVERS, form.receiver);
        let pairs = about.a_partner.is_some() || about.b_partner.is_some();
        imp.receiver.set_visible(pairs);
        imp.receiver_title.set_visible(pairs);
        offer(&imp.court, &COURTS, form.court);
        let stands = format!("{first} at");
        imp.a_end_title.set_label(&stands);
        offer(&imp.a_end, &ENDS, form.a_end);
        imp.replayed.set_active(form.replayed);
        let names =
            [(&imp.server, "Who served"), (&imp.receiver, "Who received"), (&imp.court, "Deuce or ad court")];
        for (choice, name) in names.into_iter().chain([(&imp.a_end, stands.as_str())]) {
            named(choice.upcast_ref(), name);
        }
        fields
    }

    fn mark(&self) -> MarkFields<'_> {
        let imp = self.imp();
        MarkFields([&imp.sets, &imp.games, &imp.points])
    }

    fn form(&self) -> PointForm {
        let imp = self.imp();
        PointForm {
            mark: self.mark().typed(),
            server: chosen(&imp.server, &imp.servers.borrow()),
            receiver: chosen(&imp.receiver, &RECEIVERS),
            court: chosen(&imp.court, &COURTS),
            a_end: chosen(&imp.a_end, &ENDS),
            replayed: imp.replayed.is_active(),
        }
    }

    /// The edit, if anything changed.
    ///
    /// # Errors
    /// [`FieldsError`] when a score cannot be read, or cannot be.
    pub fn edit(&self, record: &Record, facts: &Shared<PointFacts>) -> Result<Option<Edit>, FieldsError> {
        let at = self.imp().at.get();
        let Some((old, f)) = record.points.get(at).zip(facts.get(at)) else { return Ok(None) };
        let point = self.form().applied(old, record.about.rules, f.state.server)?;
        Ok((point != *old).then_some(Edit::SetPoint { at, point }))
    }
}
