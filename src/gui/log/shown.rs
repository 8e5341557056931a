//! Which patterns the current point shows: each name is a way to all points that show it.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::facts::PointFacts;
use crate::gui::model::{Event, Model};
use crate::pattern::{Answer, Pattern, answer};
use crate::session::filter::Filter;
use crate::session::state::Session;

/// The page in Pango's markup: what the point shows, then what it does not tell of.
fn page(patterns: &[Pattern], facts: &PointFacts) -> String {
    let lines = |wanted: Answer, sign: &str| {
        let met = patterns.iter().enumerate().filter(|(_, p)| answer(p, facts) == wanted);
        met.map(|(i, p)| format!("{sign} <a href=\"{i}\">{}</a>", glib::markup_escape_text(&p.name)))
            .collect::<Vec<_>>()
    };
    let (yes, unknown) = (lines(Answer::Yes, "✓"), lines(Answer::Unknown, "?"));
    let mut text = vec![if yes.is_empty() { "None of the patterns.".into() } else { yes.join("\n") }];
    if !unknown.is_empty() {
        text.push(format!("\n<b>Not known from what was logged</b>\n{}", unknown.join("\n")));
    }
    text.join("\n")
}

pub mod imp {
    use super::glib;
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/shown.ui")]
    pub struct PatternsShown {
        #[template_child]
        pub title: TemplateChild<gtk::Label>,
        #[template_child]
        pub names: TemplateChild<gtk::Label>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for PatternsShown {
        const NAME: &'static str = "ChangeoverPatternsShown";
        type Type = super::PatternsShown;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for PatternsShown {}
    impl WidgetImpl for PatternsShown {}
    impl BoxImpl for PatternsShown {}
}

glib::wrapper! {
    /// The patterns that the current point shows.
    pub struct PatternsShown(ObjectSubclass<imp::PatternsShown>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl PatternsShown {
    /// Shows what the model has open; `chosen` is called when the points of a pattern are to be seen.
    pub fn set_up(&self, model: &Model, chosen: impl Fn() + 'static) {
        let show = glib::clone!(
            #[weak(rename_to = page)]
            self,
            move |m: &Model| {
                // Patterns take time to answer: only where they are seen.
                if let Some(s) = m.session().borrow().as_ref().filter(|_| page.is_mapped()) {
                    page.show(s);
                }
            }
        );
        model.on(Event::Changed, show.clone());
        model.on(Event::Current, show.clone());
        self.connect_map(glib::clone!(
            #[weak]
            model,
            move |_| show(&model)
        ));
        self.imp().names.connect_activate_link(glib::clone!(
            #[weak]
            model,
            #[upgrade_or]
            glib::Propagation::Stop,
            move |_, pattern| {
                if let Ok(pattern) = pattern.parse()
                    && see(&model, pattern)
                {
                    chosen();
                }
                glib::Propagation::Stop
            }
        ));
    }

    fn show(&self, s: &Session) {
        let facts = s.current().and_then(|i| s.facts().get(i));
        let (title, text) = facts.map_or_else(
            || ("No point is chosen".to_owned(), String::new()),
            |f| (format!("Point {} shows", f.number + 1), page(s.patterns(), f)),
        );
        self.imp().title.set_label(&title);
        self.imp().names.set_markup(&text);
    }
}

/// Sees the points that show a pattern, counted among those that can be asked for. Says whether there are any to see.
fn see(model: &Model, pattern: usize) -> bool {
    let wanted = {
        let session = model.session().borrow();
        let Some(p) = session.as_ref().and_then(|s| s.patterns().get(pattern).cloned()) else { return false };
        Filter::Pattern(Box::new(p))
    };
    model.fill_filters();
    let row = model.filters().borrow().iter().position(|f| *f == wanted);
    let Some(row) = row else { return false };
    model.filter_by(row);
    model.fill_filters();
    true
}
