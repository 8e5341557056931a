//! A point as a row of a list: number, score and time above; its last shot, its end and its tags below.

use gtk::prelude::*;

use crate::facts::{PointFacts, ball_of, players, score_of};
use crate::gui::kit::small_pictures::with_picture;
use crate::gui::kit::words::{DOUBT, label};
use crate::near::has;
use crate::record::Record;
use crate::tennis::Side;
use crate::time::MatchTime;

/// A row of the list of points.
#[derive(Debug, Clone)]
pub struct Row {
    pub point: usize,
    pub score: String,
    pub text: String,
    pub when: String,
    pub winner: Option<Side>,
    /// Who won, for a screen reader.
    pub who: String,
    /// What speaks against the score here.
    pub doubts: Vec<String>,
}

impl Row {
    /// Whether it has all the words that were typed, in what it shows.
    pub fn has(&self, typed: &str) -> bool {
        let text = format!(
            "{} {} {} {} {} {}",
            self.point + 1,
            self.score,
            self.text,
            self.when,
            self.who,
            self.doubts.join(" ")
        );
        has(typed, &text)
    }
}

/// What a screen reader says of a point, and what speaks against it.
pub fn spoken(point: String, doubts: &[String]) -> String {
    if doubts.is_empty() { point } else { format!("{point}; contradiction: {}", doubts.join("; ")) }
}

/// A point as a row.
pub fn row_of(record: &Record, f: &PointFacts, doubts: Vec<String>) -> Row {
    let last = f.shots.len().checked_sub(1).map(|n| ball_of(record, f, n));
    let finish = f.finish.map(|x| x.words().to_owned());
    let words = last.into_iter().chain(finish).chain((!f.tags.is_empty()).then(|| tags(f)));
    let start = record.points.get(f.number).and_then(|p| p.start);
    Row {
        point: f.number,
        score: score(record, f),
        text: words.collect::<Vec<_>>().join(" · "),
        when: start.map(MatchTime::short).unwrap_or_default(),
        winner: f.winner,
        who: f.winner.map_or_else(
            || "winner not known".into(),
            |side| format!("{} wins", record.about_at(f.number).side_name(side)),
        ),
        doubts,
    }
}

/// Games and score, the server's first, and who serves; in points of many matches who plays, and the score that was seen.
fn score(record: &Record, f: &PointFacts) -> String {
    match (players(record, f), score_of(record, f)) {
        (Some(who), Some(score)) => format!("{who}  {score}"),
        (Some(who), None) => who,
        (None, score) => score.unwrap_or_else(|| "–".into()),
    }
}

fn tags(f: &PointFacts) -> String {
    f.tags.iter().cloned().collect::<Vec<_>>().join(", ")
}

/// A small picture; beside it number and score above; below how it ended, its tags, and the time.
pub fn row_widget() -> gtk::Box {
    let outer = gtk::Box::new(gtk::Orientation::Vertical, 1);
    let top = gtk::Box::new(gtk::Orientation::Horizontal, 8);
    let number = label("", &["quiet"]);
    number.set_width_chars(3);
    number.set_xalign(1.0);
    let score = label("", &[]);
    score.set_xalign(0.0);
    score.set_hexpand(true);
    score.set_ellipsize(gtk::pango::EllipsizeMode::End);
    for child in [&label("", &["side-a"]), &number, &score] {
        top.append(child);
    }
    let below = gtk::Box::new(gtk::Orientation::Horizontal, 8);
    let tags = label("", &["quiet"]);
    tags.set_xalign(0.0);
    tags.set_hexpand(true);
    tags.set_margin_start(22);
    tags.set_ellipsize(gtk::pango::EllipsizeMode::End);
    below.append(&tags);
    below.append(&label("", &["quiet"]));
    outer.append(&top);
    outer.append(&below);
    with_picture(&outer)
}

/// Fills a row, but for its picture.
pub fn fill_row(widget: &gtk::Widget, row: &Row) {
    let labels = |w: &gtk::Widget| {
        std::iter::successors(w.first_child(), gtk::prelude::WidgetExt::next_sibling)
            .filter_map(|c| c.downcast::<gtk::Label>().ok())
            .collect::<Vec<_>>()
    };
    let Some(words) = widget.last_child() else { return };
    let (Some(top), Some(below)) = (words.first_child(), words.last_child()) else { return };
    if let [mark, number, score] = &labels(&top)[..] {
        let (shape, class) = match row.winner {
            Some(Side::A) => ("●", "side-a"),
            Some(Side::B) => ("□", "side-b"),
            None => ("·", "quiet"),
        };
        mark.set_label(shape);
        mark.set_css_classes(&[class]);
        number.set_label(&(row.point + 1).to_string());
        score.set_label(&row.score);
    }
    if let Some(item) = widget.parent() {
        let point = format!("Point {}, {}, {}, {}", row.point + 1, row.score, row.who, row.text);
        let spoken = spoken(point, &row.doubts);
        item.update_property(&[gtk::accessible::Property::Label(&spoken)]);
    }
    if let [tags, when] = &labels(&below)[..] {
        when.set_label(&row.when);
        let doubted = (!row.doubts.is_empty()).then(|| format!("{DOUBT} contradiction"));
        let text = doubted.iter().chain(Some(&row.text).filter(|t| !t.is_empty()));
        tags.set_label(&text.map(String::as_str).collect::<Vec<_>>().join(", "));
        tags.set_css_classes(&[if doubted.is_some() { "wrong" } else { "quiet" }]);
        tags.set_tooltip_text(Some(&doubted.map_or_else(|| row.text.clone(), |_| row.doubts.join("\n"))));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::facts;
    use crate::record::{Finish, Logged, Player, Point, Shot};
    use crate::tennis::stroke::{Miss, Wing};

    #[test]
    fn a_row_tells_the_last_shot_and_how_the_point_ended() {
        let mut record = Record::default();
        (record.about.a, record.about.b) = (Player::named("Holt"), Player::named("Okafor"));
        let backhand = Shot { wing: Some(Wing::Backhand), ..Shot::default() };
        record.points = [Point {
            shots: vec![Shot::default(), Shot::default(), backhand],
            logged: Some(Logged::Every),
            finish: Some(Finish::UnforcedError),
            miss: Some(Miss::Wide),
            winner: Some(Side::B),
            tags: ["net".to_owned()].into(),
            ..Point::default()
        }]
        .into();
        let row = row_of(&record, &facts(&record)[0], Vec::new());
        assert_eq!(row.text, "Holt backhand, wide · unforced error · net");
        let two_games = crate::facts::tests::record("AAAAB");
        let behind = row_of(&two_games, &facts(&two_games)[4], Vec::new());
        assert_eq!(behind.score, "0–1 0–0, Okafor serves", "games and points are the server's first");
        assert_eq!(row.who, "Okafor wins");
        assert!(row.has("backhand okafor") && row.has("") && !row.has("forehand"));
    }
}
