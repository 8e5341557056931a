//! The court picture of an answer: each cell a list of clips, with its numbers, the darker the more points it has.

use gtk::glib;
use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::cells::Cells;
use super::court_draw::{Court, is_boxes, stand};
use super::model::{StudyModel, Told};
use super::outside::{capital, named, scale};
use super::widgets::{empty, text};
use crate::session::study::found::Found;
use crate::session::study::spot::{Part, Spot};
use crate::summary::study::CourtMap;
use crate::tennis::stroke::ServeTo;

pub mod imp {
    use std::cell::Cell;

    use gtk::subclass::prelude::*;
    use gtk::{CompositeTemplate, glib};

    use super::Cells;

    #[derive(Default, CompositeTemplate)]
    #[template(file = "../../../ui/study/court.ui")]
    pub struct CourtPicture {
        #[template_child]
        pub title: TemplateChild<gtk::Label>,
        #[template_child]
        pub shots: TemplateChild<gtk::DropDown>,
        #[template_child]
        pub body: TemplateChild<gtk::Box>,
        #[template_child]
        pub seen: TemplateChild<gtk::Label>,
        #[template_child]
        pub beside: TemplateChild<gtk::Box>,
        pub cells: Cells,
        /// Set while the program itself fills the menu.
        pub filling: Cell<bool>,
    }

    #[glib::object_subclass]
    impl ObjectSubclass for CourtPicture {
        const NAME: &'static str = "ChangeoverCourtPicture";
        type Type = super::CourtPicture;
        type ParentType = gtk::Box;

        fn class_init(klass: &mut Self::Class) {
            klass.bind_template();
        }

        fn instance_init(obj: &glib::subclass::InitializingObject<Self>) {
            obj.init_template();
        }
    }

    impl ObjectImpl for CourtPicture {}
    impl WidgetImpl for CourtPicture {}
    impl BoxImpl for CourtPicture {}
}

glib::wrapper! {
    /// Where the shots of an answer landed.
    pub struct CourtPicture(ObjectSubclass<imp::CourtPicture>)
        @extends gtk::Box, gtk::Widget,
        @implements gtk::Accessible, gtk::Buildable, gtk::ConstraintTarget, gtk::Orientable;
}

impl CourtPicture {
    /// Shows the court pictures of this study.
    pub fn set_up(&self, study: &StudyModel) {
        named(self.imp().shots.upcast_ref(), "Which shot the court shows");
        for told in [Told::Answered, Told::Map] {
            study.on(
                told,
                glib::clone!(
                    #[weak(rename_to = court)]
                    self,
                    move |study| court.show(study)
                ),
            );
        }
        study.on(
            Told::Chosen,
            glib::clone!(
                #[weak(rename_to = court)]
                self,
                move |study| court.cells().mark(study.spot())
            ),
        );
        self.imp().shots.connect_selected_notify(glib::clone!(
            #[weak(rename_to = court)]
            self,
            #[weak]
            study,
            move |menu| {
                if !court.imp().filling.get() {
                    study.show_map(menu.selected() as usize);
                }
            }
        ));
    }

    /// The numbers that take the focus.
    pub fn cells(&self) -> &Cells {
        &self.imp().cells
    }

    fn show(&self, study: &StudyModel) {
        let imp = self.imp();
        let Some(answered) = study.answered() else { return };
        let f = &answered.found;
        let focus = self.cells().place();
        self.cells().clear();
        empty(&imp.body);
        empty(&imp.beside);
        self.set_visible(!f.maps.is_empty() && !f.points.is_empty());
        let shown = study.map().min(f.maps.len().saturating_sub(1));
        let Some(map) = f.maps.get(shown) else { return };
        self.fill_menu(f, shown);
        imp.body.append(&self.court(study, shown, f));
        let seen = if is_boxes(map) {
            imp.body.append(&thirds());
            "Where it landed, as the server sees it: the deuce court on the left, the net below."
        } else {
            "Where it landed, as the player who struck it sees it: the net below."
        };
        let note = if map.note.is_empty() { String::new() } else { format!(" {}.", capital(&map.note)) };
        imp.seen.set_label(&format!("{seen}{note}"));
        let beside = [(false, "place unknown"), (true, map.outside_means.as_str())];
        let beside = beside.map(|(known, words)| (Spot::NoCell { map: shown, known }, words));
        let some = beside.iter().filter(|(spot, _)| spot.count(f) > 0);
        let line: Vec<_> = some
            .map(|(s, words)| self.cells().chip(study, *s, &format!("{}: {{}}", capital(words)), f))
            .collect();
        for chip in &line {
            imp.beside.append(chip);
        }
        self.cells().line(line);
        self.cells().restore(focus);
        self.cells().mark(study.spot());
    }

    fn fill_menu(&self, f: &Found, shown: usize) {
        let imp = self.imp();
        let shots: Vec<String> = f.maps.iter().map(|m| capital(&m.ball)).collect();
        imp.title.set_label(shots.get(shown).map_or("", String::as_str));
        imp.title.set_visible(shots.len() == 1);
        imp.shots.set_visible(shots.len() > 1);
        imp.filling.set(true);
        let there = imp.shots.model().and_downcast::<gtk::StringList>();
        let same = there.is_some_and(|l| {
            l.n_items() as usize == shots.len()
                && (0..).zip(&shots).all(|(n, s)| l.string(n).as_deref() == Some(s))
        });
        if !same {
            let shots: Vec<&str> = shots.iter().map(String::as_str).collect();
            imp.shots.set_model(Some(&gtk::StringList::new(&shots)));
        }
        imp.shots.set_selected(shown as u32);
        imp.filling.set(false);
    }

    fn court(&self, study: &StudyModel, n: usize, f: &Found) -> gtk::Overlay {
        let map = &f.maps[n];
        let boxes = is_boxes(map);
        let grid = gtk::Grid::builder().row_homogeneous(true).column_homogeneous(true).build();
        grid.update_property(&[gtk::accessible::Property::Label(&format!("Court: {}", map.ball))]);
        let mut placed: Vec<((i32, i32), [gtk::Button; 2])> = Vec::new();
        for cell in 0..map.cells.len() {
            let (of_cell, both) = self.cell(study, (n, cell), f);
            let (column, row) = stand(map.cells[cell].at);
            grid.attach(&of_cell, column, row, 1, 1);
            placed.push(((row, column), both));
        }
        placed.sort_by_key(|(place, _)| *place);
        // For the arrow keys: of each row of the court first the numbers of points, then those won.
        for row in placed.chunks(if boxes { 6 } else { 3 }) {
            for n in 0..2 {
                self.cells().line(row.iter().map(|(_, both)| both[n].clone()).collect());
            }
        }
        let overlay = gtk::Overlay::builder().child(&drawn(map)).build();
        overlay.add_overlay(&grid);
        overlay.set_measure_overlay(&grid, true);
        overlay
    }

    /// The numbers of a cell: points, and those won.
    fn cell(
        &self,
        study: &StudyModel,
        (map, cell): (usize, usize),
        f: &Found,
    ) -> (gtk::Box, [gtk::Button; 2]) {
        let tally = &f.maps[map].cells[cell].tally;
        let spot = |part| Spot::Cell { map, cell, part };
        let label =
            |words: String, class: &str| gtk::Label::builder().label(words).css_classes([class]).build();
        let all = label(tally.points.len().to_string(), "strong");
        let won = label(format!("{} won", tally.won.len()), "small");
        let both = [
            self.cells().cell(study, spot(Part::Points), &all, f),
            self.cells().cell(study, spot(Part::Won), &won, f),
        ];
        let of_cell =
            gtk::Box::builder().orientation(gtk::Orientation::Vertical).margin_top(4).margin_bottom(4);
        let of_cell = of_cell.valign(gtk::Align::Center).build();
        for button in &both {
            button.add_css_class("court-cell");
            button.set_tooltip_text(Some(&capital(&spot(Part::Points).title(f))));
            of_cell.append(button);
        }
        (of_cell, both)
    }
}

/// The court behind the numbers.
fn drawn(map: &CourtMap) -> gtk::DrawingArea {
    let court = Court::of(map);
    let area = gtk::DrawingArea::builder().css_classes(["plot"]).hexpand(true).build();
    area.set_content_height(((if court.boxes { 92.0 } else { 190.0 }) * scale()) as i32);
    area.set_draw_func(move |area, cr, width, height| {
        let ink = area.style_context().color();
        // A fault of the drawing surface is cairo's to report.
        let _ = court.draw(cr, ink, (f64::from(width), f64::from(height)));
    });
    area
}

/// The words of the boxes' thirds, below them.
fn thirds() -> gtk::Grid {
    let grid = gtk::Grid::builder().column_homogeneous(true).build();
    let words = ServeTo::WORDS.map(|w| w.0);
    for (column, word) in words.into_iter().chain(words.into_iter().rev()).enumerate() {
        grid.attach(&centred(word), column as i32, 0, 1, 1);
    }
    grid
}

fn centred(word: &str) -> gtk::Label {
    let label = text(word, &["quiet", "small"]);
    label.set_xalign(0.5);
    label
}
