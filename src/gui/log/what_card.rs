//! The card over the picture that asks, once, what newly opened footage shows. One key answers it; it can be ignored.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use crate::gui::kit::words::{capital, named};
use crate::gui::model::{ANSWERS, Event, Model};
use crate::session::question::{Answer, Question};

pub mod imp {
    use super::glib;
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/what_card.ui")]
    pub struct WhatCard {
        #[template_child]
        pub words: TemplateChild<gtk::Label>,
        #[template_child]
        pub later: TemplateChild<gtk::Button>,
        #[template_child]
        pub answers: TemplateChild<gtk::FlowBox>,
        #[template_child]
        pub hint: TemplateChild<gtk::Label>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for WhatCard {
        const NAME: &'static str = "ChangeoverWhatCard";
        type Type = super::WhatCard;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for WhatCard {}
    impl WidgetImpl for WhatCard {}
    impl BoxImpl for WhatCard {}
}

glib::wrapper! {
    /// What the footage shows, as a question.
    pub struct WhatCard(ObjectSubclass<imp::WhatCard>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl WhatCard {
    /// Asks what the model has open.
    pub fn set_up(&self, model: &Model) {
        let show = glib::clone!(
            #[weak(rename_to = card)]
            self,
            move |m: &Model| {
                let asked = m.session().borrow().as_ref().and_then(|s| s.question().cloned());
                card.set_visible(asked.is_some());
                if let Some(question) = asked {
                    card.show(m, &question);
                }
            }
        );
        model.on(Event::Changed, show.clone());
        model.on(Event::Card, show);
    }

    fn show(&self, model: &Model, question: &Question) {
        let imp = self.imp();
        imp.words.set_label(&question.words());
        while let Some(child) = imp.answers.first_child() {
            imp.answers.remove(&child);
        }
        let likely = question.likely();
        for ((answer, words, meaning), action) in question.answers().into_iter().zip(ANSWERS) {
            let button = button(model, answer, (&model.cap(action), words, meaning));
            if answer == likely {
                button.add_css_class("primary");
                imp.hint.set_label(meaning);
            }
            imp.answers.insert(&button, -1);
        }
        let mut child = imp.answers.first_child();
        while let Some(c) = child {
            // Keys go to the footage, not to the card.
            c.set_focusable(false);
            child = c.next_sibling();
        }
    }
}

/// A button that answers, with its key.
fn button(model: &Model, answer: Answer, (cap, words, meaning): (&str, &str, &str)) -> gtk::Button {
    let inside = gtk::Box::new(gtk::Orientation::Horizontal, 6);
    inside.append(&gtk::Label::builder().label(cap).css_classes(["keycap"]).visible(!cap.is_empty()).build());
    inside.append(&gtk::Label::new(Some(&capital(words))));
    let button = gtk::Button::builder().child(&inside).focus_on_click(false).tooltip_text(meaning).build();
    named(button.upcast_ref(), &format!("{}. {meaning} Key {cap}", capital(words)));
    button.connect_clicked(glib::clone!(
        #[weak]
        model,
        move |_| model.answer(answer)
    ));
    button
}
