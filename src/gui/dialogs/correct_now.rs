//! The page of the dialog that corrects the score before the first point.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::correct_fields::{FOLLOWS, MarkFields, Servers, UNKNOWN, servers};
use super::error::FieldsError;
use crate::gui::kit::fields::{chosen, offer, short};
use crate::gui::kit::words::named;
use crate::record::{Edit, Kind, Record};
use crate::session::score_now::NowForm;
use crate::tennis::{End, Side};

const STANDS: [(&str, Option<End>); 3] =
    [("Near end", Some(End::Near)), ("Far end", Some(End::Far)), (FOLLOWS, None)];
const MAY_STAND: [(&str, Option<End>); 3] = [(UNKNOWN, None), STANDS[0], STANDS[1]];

mod imp {
    use std::cell::{Cell, RefCell};

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::{End, Servers};

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/dialogs/correct_now.ui")]
    pub struct NowFields {
        #[template_child]
        pub heading: TemplateChild<gtk::Label>,
        #[template_child]
        pub sets: TemplateChild<gtk::Entry>,
        #[template_child]
        pub games: TemplateChild<gtk::Entry>,
        #[template_child]
        pub points: TemplateChild<gtk::Entry>,
        #[template_child]
        pub when_empty: TemplateChild<gtk::Label>,
        #[template_child]
        pub server: TemplateChild<gtk::DropDown>,
        #[template_child]
        pub a_end_title: TemplateChild<gtk::Label>,
        #[template_child]
        pub a_end: TemplateChild<gtk::DropDown>,
        pub servers: RefCell<Servers>,
        pub stands: Cell<[(&'static str, Option<End>); 3]>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for NowFields {
        const NAME: &'static str = "ChangeoverNowFields";
        type Type = super::NowFields;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for NowFields {}
    impl WidgetImpl for NowFields {}
    impl BoxImpl for NowFields {}
}

glib::wrapper! {
    /// The page before the first point.
    pub struct NowFields(ObjectSubclass<imp::NowFields>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl NowFields {
    /// The page of a match without points.
    pub fn new(record: &Record) -> Self {
        let fields: Self = glib::Object::new();
        let (imp, about, form) = (fields.imp(), &record.about, NowForm::of(record));
        // Who serves first is known of a match that is there from its start.
        let part = about.kind() == Kind::Part;
        let mut servers = servers(about);
        servers.retain(|(_, who)| part || who.is_some());
        if part {
            UNKNOWN.clone_into(&mut servers[0].0);
            imp.stands.set(MAY_STAND);
            imp.when_empty.set_label("Leave the three fields empty if the score is not known.");
        } else {
            // Without a score a whole match begins here.
            imp.when_empty.set_label("Leave the three fields empty at the start of the match.");
            imp.stands.set(STANDS);
        }
        offer(&imp.server, &servers, form.server);
        imp.servers.replace(servers);
        let first = short(&about.side_name(Side::A));
        imp.heading.set_label(&format!("Score before the first point, {first} first"));
        fields.mark().fill(&form.mark);
        let stands = format!("{first} stands at");
        imp.a_end_title.set_label(&stands);
        offer(&imp.a_end, &imp.stands.get(), form.a_end);
        named(imp.server.upcast_ref(), "Serves next");
        named(imp.a_end.upcast_ref(), &stands);
        fields
    }

    fn mark(&self) -> MarkFields<'_> {
        let imp = self.imp();
        MarkFields([&imp.sets, &imp.games, &imp.points])
    }

    /// The edit, if anything changed.
    ///
    /// # Errors
    /// [`FieldsError`] when the score cannot be read, or cannot be.
    pub fn edit(&self, record: &Record) -> Result<Option<Edit>, FieldsError> {
        let imp = self.imp();
        let form = NowForm {
            mark: self.mark().typed(),
            server: chosen(&imp.server, &imp.servers.borrow()),
            a_end: chosen(&imp.a_end, &imp.stands.get()),
        };
        Ok(form.edit(record)?)
    }
}
