//! The Log page: the footage, and beside it what a coach needs to log it.

use std::time::Duration;

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::alone::OverPicture;
use super::attach_bar::AttachBar;
use super::board::Board;
use super::court_over::over;
use super::court_panel::CourtPanel;
use super::courtside::CourtsidePage;
use super::cuts_sign;
use super::draw_bar::DrawBar;
use super::line::PointLine;
use super::pad_card::PadCard;
use super::picture_words;
use super::points::PointsPage;
use super::shown::PatternsShown;
use super::what_card::WhatCard;
use crate::gui::kit::handles::{before_drawing, when_moved};
use crate::gui::model::{Event, Model};
use crate::gui::picture::transport::Transport;
use crate::gui::picture::view::FootageView;
use crate::logging::{Action, Key, Meaning};
use crate::session::keeper::Ask;

/// By then a change of the size of text has been laid out.
const AFTER_LAYOUT: Duration = Duration::from_millis(200);

/// Least and largest width of the side column at the usual text size, in pixels: the pad's nine keys with their words.
const COLUMN: (i32, i32) = (276, 340);
/// Height of a line of the usual text, in pixels.
const LINE: i32 = 17;
/// Between the parts of the column, in pixels.
const SPACING: i32 = 6;
/// A window of fewer lines of text is low: the hints go.
const LOW: i32 = 40;

pub mod imp {
    use super::{
        AttachBar, Board, CourtPanel, CourtsidePage, DrawBar, FootageView, OverPicture, PadCard,
        PatternsShown, PointLine, PointsPage, Transport, WhatCard, glib,
    };
    use glib::types::StaticTypeExt;
    use gtk::CompositeTemplate;
    use gtk::subclass::prelude::*;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/log/page.ui")]
    pub struct LogPage {
        #[template_child]
        pub view: TemplateChild<FootageView>,
        #[template_child]
        pub court: TemplateChild<CourtsidePage>,
        #[template_child]
        pub frame: TemplateChild<gtk::Label>,
        #[template_child]
        pub note: TemplateChild<gtk::Entry>,
        #[template_child]
        pub gone: TemplateChild<gtk::Label>,
        #[template_child]
        pub over: TemplateChild<OverPicture>,
        #[template_child]
        pub attach: TemplateChild<AttachBar>,
        #[template_child]
        pub what: TemplateChild<WhatCard>,
        #[template_child]
        pub draw: TemplateChild<DrawBar>,
        #[template_child]
        pub transport: TemplateChild<Transport>,
        #[template_child]
        pub line: TemplateChild<PointLine>,
        #[template_child]
        pub panes: TemplateChild<gtk::Paned>,
        #[template_child]
        pub column: TemplateChild<gtk::ScrolledWindow>,
        #[template_child]
        pub board: TemplateChild<Board>,
        #[template_child]
        pub side_tabs: TemplateChild<gtk::StackSwitcher>,
        #[template_child]
        pub side: TemplateChild<gtk::Stack>,
        #[template_child]
        pub pad: TemplateChild<PadCard>,
        #[template_child]
        pub points: TemplateChild<PointsPage>,
        #[template_child]
        pub shown: TemplateChild<PatternsShown>,
        #[template_child]
        pub measure: TemplateChild<CourtPanel>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for LogPage {
        const NAME: &'static str = "ChangeoverLogPage";
        type Type = super::LogPage;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            FootageView::ensure_type();
            CourtsidePage::ensure_type();
            AttachBar::ensure_type();
            DrawBar::ensure_type();
            WhatCard::ensure_type();
            OverPicture::ensure_type();
            Transport::ensure_type();
            PointLine::ensure_type();
            Board::ensure_type();
            PadCard::ensure_type();
            PointsPage::ensure_type();
            PatternsShown::ensure_type();
            CourtPanel::ensure_type();
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for LogPage {}
    impl WidgetImpl for LogPage {}
    impl BoxImpl for LogPage {}
}

glib::wrapper! {
    /// The Log page.
    pub struct LogPage(ObjectSubclass<imp::LogPage>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl LogPage {
    /// Shows what the model has open.
    pub fn set_up(&self, model: &Model) {
        let imp = self.imp();
        imp.view.show(model.frames());
        self.wire_picture(model);
        imp.court.set_up(model);
        picture_words::keep_gone(&imp.gone, model);
        imp.over.set_up(model);
        imp.attach.set_up(model);
        imp.draw.set_up(model, &imp.view);
        imp.what.set_up(model);
        imp.transport.set_up(model);
        cuts_sign::set_up(&imp.line.imp().work, model);
        imp.line.set_up(model);
        imp.board.set_up(model);
        imp.pad.set_up(model);
        imp.points.set_up(model);
        imp.measure.set_up(model);
        imp.shown.set_up(
            model,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                move || page.imp().side.set_visible_child_name("points")
            ),
        );
        self.wire_note(model);
        self.follow(model);
        self.lay_out(model);
    }

    /// A click plays or pauses, unless the Measure page takes it.
    fn wire_picture(&self, model: &Model) {
        let imp = self.imp();
        imp.view.connect_clicked(glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[weak]
            model,
            move |x, y| {
                let imp = page.imp();
                match imp.view.pixel_at(x, y).filter(|_| imp.measure.takes_clicks()) {
                    Some(at) => imp.measure.click(at),
                    None => model.perform(&Meaning::Do(Action::PlayPause)),
                }
            }
        ));
        imp.view.connect_pointed(glib::clone!(
            #[weak(rename_to = page)]
            self,
            move |at| {
                let imp = page.imp();
                imp.measure.point(at.and_then(|(x, y)| imp.view.pixel_at(x, y)));
            }
        ));
        self.wire_drag();
        self.wire_over(model);
    }

    /// A proposed player can be dragged while the Measure page is seen.
    fn wire_drag(&self) {
        let view = &self.imp().view;
        let pixel = |page: &Self, x: f64, y: f64| page.imp().view.pixel_at(x, y);
        view.connect_dragged(
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                #[upgrade_or]
                false,
                move |x, y| {
                    let scale = page.imp().view.placed().scale;
                    pixel(&page, x, y).is_some_and(|at| page.imp().measure.hold(at, scale))
                }
            ),
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |x, y| {
                    if let Some(at) = pixel(&page, x, y) {
                        page.imp().measure.drag(at);
                    }
                }
            ),
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                move |moved| page.imp().measure.let_go(moved)
            ),
        );
    }

    /// The Measure page draws over the picture.
    fn wire_over(&self, model: &Model) {
        let imp = self.imp();
        imp.view.set_over(glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[weak]
            model,
            move |snapshot, placed| {
                let imp = page.imp();
                over(snapshot, &imp.measure, &model, placed, (imp.view.width(), imp.view.height()));
            }
        ));
        imp.measure.connect_local(
            "redraw",
            false,
            glib::clone!(
                #[weak(rename_to = page)]
                self,
                #[upgrade_or]
                None,
                move |_| {
                    page.imp().view.queue_draw();
                    None
                }
            ),
        );
    }

    /// Goes to the page that marks the court and measures, or back to the pad.
    pub fn toggle_measure(&self) {
        let side = &self.imp().side;
        let there = side.visible_child_name().is_some_and(|n| n == "measure");
        if !there && self.imp().draw.is_visible() {
            self.imp().draw.turn();
        }
        side.set_visible_child_name(if there { "pad" } else { "measure" });
        self.imp().view.grab_focus();
    }

    /// Does what a key means for the proposed players. They are looked at first: the page is opened, and nothing else is done.
    pub fn players(&self, model: &Model, action: Action) {
        if self.imp().side.visible_child_name().is_some_and(|n| n == "measure") {
            model.do_with_players(action);
        } else {
            self.toggle_measure();
        }
    }

    fn follow(&self, model: &Model) {
        let on = |event, show: fn(&Self, &Model)| {
            model.on(
                event,
                glib::clone!(
                    #[weak(rename_to = page)]
                    self,
                    move |m: &Model| show(&page, m)
                ),
            );
        };
        on(Event::Moment, Self::show_frame);
        on(Event::Transport, Self::show_frame);
        on(Event::Changed, |page, m| page.imp().transport.set_visible(!m.is_courtside()));
        on(Event::Footage, |page, _| {
            page.imp().view.grab_focus();
        });
    }

    /// Gives the picture all of the page, with the score, the point and the pad over it; or takes that back.
    pub fn set_alone(&self, alone: bool) {
        let imp = self.imp();
        imp.column.set_visible(!alone);
        imp.line.set_visible(!alone);
        imp.over.set_visible(alone);
        if alone {
            self.add_css_class("alone");
        } else {
            self.remove_css_class("alone");
        }
        for set in [Self::set_margin_start, Self::set_margin_end] {
            set(self, if alone { 0 } else { 6 });
        }
        self.set_margin_top(if alone { 0 } else { 4 });
        imp.view.grab_focus();
    }

    /// Whether the picture has all of the page.
    pub fn is_alone(&self) -> bool {
        self.imp().over.get_visible()
    }

    /// Sends what lies over the picture to the next corner.
    pub fn next_corner(&self) {
        self.imp().over.next_corner();
    }

    /// Zooms the picture in or out, or shows all of it.
    pub fn zoom(&self, larger: Option<bool>) {
        self.imp().view.zoom_to(larger);
    }

    /// Goes to the page beside the footage that has the filter, and opens its menu.
    pub fn open_filter(&self, model: &Model) {
        self.imp().side.set_visible_child_name("points");
        self.imp().points.open_filter(model);
    }

    /// Begins to draw on the picture, or stops. Measuring ends: a click would mean both.
    pub fn draw(&self) {
        let side = &self.imp().side;
        if side.visible_child_name().is_some_and(|n| n == "measure") {
            side.set_visible_child_name("pad");
        }
        self.imp().draw.turn();
    }

    /// Does what a key means while something is drawn. Says whether it means something then.
    pub fn drawing_key(&self, key: &Key) -> bool {
        self.imp().draw.key(key)
    }

    /// Which frame of which file is shown: said while it stands, over a corner of the picture.
    fn show_frame(&self, model: &Model) {
        let text = picture_words::frame(model);
        self.imp().frame.set_visible(text.is_some() && !model.is_playing());
        self.imp().frame.set_label(&text.unwrap_or_default());
    }

    fn wire_note(&self, model: &Model) {
        self.imp().note.connect_activate(glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[weak]
            model,
            move |entry| {
                model.ask(Ask::Note(entry.text().into()));
                page.end_note();
            }
        ));
    }

    /// Opens the note of the current point.
    pub fn begin_note(&self, model: &Model) {
        let note = {
            let session = model.session().borrow();
            let Some(s) = session.as_ref() else { return };
            s.current().and_then(|c| s.view.record.points.get(c)).map(|p| p.note.clone())
        };
        let Some(note) = note else { return model.say("There is no point to write a note on yet.") };
        self.imp().note.set_text(&note);
        self.imp().note.set_visible(true);
        self.imp().note.grab_focus();
    }

    /// Escape in a field: words to search for go first, then the field is left.
    pub fn leave_field(&self) {
        let imp = self.imp();
        if imp.draw.leave_words() {
            return;
        }
        let searching = imp.points.imp().find.focus_child().is_some();
        if !(searching && imp.points.end_search()) {
            self.end_note();
        }
    }

    /// Puts the note's entry away.
    pub fn end_note(&self) {
        self.imp().note.set_visible(false);
        self.imp().view.grab_focus();
    }

    /// Gives the column the room that its text needs, until somebody drags it; and leaves out what can be in a low window.
    fn lay_out(&self, model: &Model) {
        // Not while places are being given.
        let fit = glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[weak]
            model,
            move || before_drawing(move || page.fit(&model))
        );
        let taller = fit.clone();
        self.imp().panes.connect_max_position_notify(move |_| fit());
        self.imp().column.vadjustment().connect_page_size_notify(move |_| taller());
        self.follow_text(model);
        let (page, moved) = (self.downgrade(), self.downgrade());
        when_moved(
            &*self.imp().panes,
            move || page.upgrade().map(|p| p.imp().panes.position()),
            glib::clone!(
                #[weak]
                model,
                move || moved.upgrade().iter().for_each(|p| p.remember(&model))
            ),
        );
    }

    /// Another size of text needs another column.
    fn follow_text(&self, model: &Model) {
        let Some(settings) = gtk::Settings::default() else { return };
        settings.connect_gtk_xft_dpi_notify(glib::clone!(
            #[weak(rename_to = page)]
            self,
            #[weak]
            model,
            move |_| {
                // Not before the text has been laid out anew.
                glib::timeout_add_local_once(AFTER_LAYOUT, move || page.fit(&model));
            }
        ));
    }

    /// Keeps the width of the column in the settings.
    pub fn remember(&self, model: &Model) {
        let panes = &self.imp().panes;
        let column = panes.max_position() - panes.position();
        model.settings().borrow_mut().column = u32::try_from(column).ok();
        model.write_settings();
    }

    /// The column takes the room that the film cannot use, within bounds; `line` is the height of a line of text.
    fn column(&self, most: i32, line: i32) -> i32 {
        let view = &self.imp().view;
        let film = (f64::from(view.height()) * view.shape()) as i32;
        (most - film).clamp(COLUMN.0 * line / LINE, COLUMN.1 * line / LINE)
    }

    fn fit(&self, model: &Model) {
        let imp = self.imp();
        let line = self.create_pango_layout(Some("U")).pixel_size().1.max(1);
        let most = imp.panes.max_position();
        // What was wished in a larger window leaves the footage half of a small one.
        let wished = model.settings().borrow().column.map(|c| (c as i32).min(most / 2));
        imp.panes.set_position(most - wished.unwrap_or_else(|| self.column(most, line)));
        let above = imp.board.height() + imp.side_tabs.height() + 2 * SPACING;
        imp.pad.set_room(imp.column.height() - above, self.height() / line < LOW);
    }
}
