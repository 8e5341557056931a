//! The page of the dialog that corrects the score about the end of the match.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::correct_fields::MarkFields;
use super::error::FieldsError;
use crate::gui::kit::fields::{chosen, offer, short};
use crate::gui::kit::words::named;
use crate::record::{Edit, MatchInfo, Outcome, Record};
use crate::session::correction::EndForm;
use crate::tennis::Side;

/// How the match can have ended.
fn outcomes(about: &MatchInfo) -> [(String, Option<Outcome>); 6] {
    let name = |side| short(&about.side_name(side));
    [
        ("By its score, or not finished".into(), None),
        (format!("{} retired", name(Side::A)), Some(Outcome::Retired(Side::A))),
        (format!("{} retired", name(Side::B)), Some(Outcome::Retired(Side::B))),
        (format!("{} defaulted", name(Side::A)), Some(Outcome::Defaulted(Side::A))),
        (format!("{} defaulted", name(Side::B)), Some(Outcome::Defaulted(Side::B))),
        ("Unfinished".into(), Some(Outcome::Unfinished)),
    ]
}

mod imp {
    use std::cell::RefCell;

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use crate::record::Outcome;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/dialogs/correct_end.ui")]
    pub struct EndFields {
        #[template_child]
        pub heading: TemplateChild<gtk::Label>,
        #[template_child]
        pub sets: TemplateChild<gtk::Entry>,
        #[template_child]
        pub games: TemplateChild<gtk::Entry>,
        #[template_child]
        pub points: TemplateChild<gtk::Entry>,
        #[template_child]
        pub outcome: TemplateChild<gtk::DropDown>,
        pub outcomes: RefCell<Vec<(String, Option<Outcome>)>>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for EndFields {
        const NAME: &'static str = "ChangeoverEndFields";
        type Type = super::EndFields;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for EndFields {}
    impl WidgetImpl for EndFields {}
    impl BoxImpl for EndFields {}
}

glib::wrapper! {
    /// The page about the end of the match.
    pub struct EndFields(ObjectSubclass<imp::EndFields>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl EndFields {
    /// The page of this match.
    pub fn new(record: &Record) -> Self {
        let fields: Self = glib::Object::new();
        let (imp, form) = (fields.imp(), EndForm::of(record));
        let outcomes = outcomes(&record.about).to_vec();
        offer(&imp.outcome, &outcomes, form.outcome);
        imp.outcomes.replace(outcomes);
        imp.heading.set_label(&format!("Final score, {} first", short(&record.about.side_name(Side::A))));
        fields.mark().fill(&form.closing);
        named(imp.outcome.upcast_ref(), "How it ended");
        fields
    }

    fn mark(&self) -> MarkFields<'_> {
        let imp = self.imp();
        MarkFields([&imp.sets, &imp.games, &imp.points])
    }

    /// The edits, if anything changed.
    ///
    /// # Errors
    /// [`FieldsError`] when the final score cannot be read, or cannot be.
    pub fn edits(&self, record: &Record) -> Result<Vec<Edit>, FieldsError> {
        let outcome = chosen(&self.imp().outcome, &self.imp().outcomes.borrow());
        EndForm { outcome, closing: self.mark().typed() }.edits(record).map_err(FieldsError::FinalScore)
    }
}
