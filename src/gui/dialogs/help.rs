//! The help: a guide to a first match, and the keys, both made from the table of actions and the key card.

use gtk::glib;
use gtk::prelude::*;

use crate::gui::kit::dialog::dialog;
use crate::gui::model::Model;
use crate::logging::{Action, KeyCard};

/// Shows the help at one of its pages, `keys` or `guide`.
pub fn show(model: &Model, parent: &impl IsA<gtk::Window>, page: &str) {
    let Some(card) = model.key_card() else { return };
    let pages = gtk::Stack::builder().vexpand(true).build();
    let names = model.side_names();
    pages.add_titled(&scrolled(&keys(&card, [&names[0], &names[1]])), Some("keys"), "Keys");
    pages.add_titled(&scrolled(&guide(&card)), Some("guide"), "A first match");
    pages.set_visible_child_name(page);
    let tabs = gtk::StackSwitcher::builder().stack(&pages).halign(gtk::Align::Center).build();
    let all = gtk::Box::new(gtk::Orientation::Vertical, 14);
    all.append(&tabs);
    all.append(&pages);
    dialog(parent, &format!("Help; keys: {}", card.name()), &all, (1120, 640)).present();
}

fn scrolled(child: &impl IsA<gtk::Widget>) -> gtk::ScrolledWindow {
    gtk::ScrolledWindow::builder().child(child).focusable(true).build()
}

/// Watch, log, pad, balls, score, window, tags: in columns of about the same length.
const COLUMNS: [usize; 7] = [0, 1, 2, 0, 2, 1, 2];

fn keys(card: &KeyCard, names: [&str; 2]) -> gtk::FlowBox {
    let columns = gtk::FlowBox::builder()
        .selection_mode(gtk::SelectionMode::None)
        .column_spacing(30)
        .min_children_per_line(1)
        .max_children_per_line(3)
        .build();
    let places: Vec<gtk::Box> = (0..3).map(|_| gtk::Box::new(gtk::Orientation::Vertical, 18)).collect();
    for place in &places {
        let child = gtk::FlowBoxChild::builder().child(place).focusable(false).build();
        columns.append(&child);
    }
    for (i, (title, rows)) in card.help(names).iter().enumerate() {
        places[COLUMNS.get(i).copied().unwrap_or_default()].append(&group(title, rows));
    }
    columns
}

fn group(title: &str, rows: &[(String, String)]) -> gtk::Grid {
    let grid = gtk::Grid::builder().column_spacing(14).row_spacing(3).valign(gtk::Align::Start).build();
    let heading = gtk::Label::builder().label(title).xalign(0.0).css_classes(["heading"]).build();
    grid.attach(&heading, 0, 0, 2, 1);
    for (i, (keys, what)) in rows.iter().enumerate() {
        let keys = gtk::Label::builder().label(keys.replace("  or  ", "\n")).xalign(1.0).yalign(0.0);
        let keys = keys.justify(gtk::Justification::Right).css_classes(["caps"]).build();
        let what =
            gtk::Label::builder().label(what).xalign(0.0).yalign(0.0).wrap(true).max_width_chars(34).build();
        grid.attach(&keys, 0, i as i32 + 1, 1, 1);
        grid.attach(&what, 1, i as i32 + 1, 1, 1);
    }
    grid
}

/// What to do, in order, for a first match; where the files are; care.
fn guide(card: &KeyCard) -> gtk::Box {
    let page = gtk::Box::new(gtk::Orientation::Vertical, 6);
    for (heading, lines) in text(|a| card.cap(a)) {
        let heading = gtk::Label::builder().label(heading).xalign(0.0).css_classes(["heading"]).build();
        heading.set_margin_top(10);
        page.append(&heading);
        for text_of in lines {
            let line = gtk::Label::builder().xalign(0.0).wrap(true).max_width_chars(90).build();
            line.set_markup(&text_of);
            page.append(&line);
        }
    }
    page
}

/// The guide's lines on the Study page.
fn study(k: impl Fn(Action) -> String) -> Vec<String> {
    vec![
        format!(
            "{} goes to the Study page. Choose a question above the answer, and which points under Filter. {} goes back.",
            k(Action::RoomStudy),
            k(Action::RoomLog)
        ),
        format!(
            "Every number, dot and court cell is a list of clips. Arrows go from one to the next. Its clips are listed below \
             the footage, and the score ribbon dims the other points. {} or a click plays them, {} stops. {} makes the \
             footage large.",
            k(Action::PlayMatching),
            k(Action::ClearFilter),
            k(Action::LargeFootage)
        ),
        "The line through a rate shows where it may really lie; the dashed mark is the rate of the other points. Points that \
         lack the data count as unknown, never as no. Where there are too few points, the answer says so."
            .to_owned(),
    ]
}

/// What to do, in order, to log a match.
fn log_text(k: impl Fn(Action) -> String) -> Vec<String> {
    vec![
        format!(
            "1. {} opens the footage: one file, or all the files of one match at once. {} asks who played and who \
             served first, in singles or doubles.",
            k(Action::Open),
            k(Action::MatchDetails)
        ),
        format!(
            "2. {} plays and pauses, {} and {} step one frame back and on, {} and {} change the speed.",
            k(Action::PlayPause),
            k(Action::FrameBack),
            k(Action::FrameForward),
            k(Action::Slower),
            k(Action::Faster)
        ),
        format!(
            "3. The court pad is nine keys, laid out as the half of the court in which the ball lands: {} is away from the \
             camera on its left, {} toward it on its right. Press where the serve lands, which starts the point, then \
             where each ball lands; with Shift it was a backhand. {}: a ball that you did not see. A fault: {}.",
            k(Action::PadUpLeft),
            k(Action::PadDownRight),
            k(Action::UnknownBall),
            k(Action::Fault)
        ),
        format!(
            "4. What a ball was: the keys below the pad, after its own. {} takes a ball out, {} chooses an earlier one: the \
             next pad key says where that one landed.",
            k(Action::BallOut),
            k(Action::BallBack)
        ),
        format!(
            "5. How the point ended: {} ace, {} winner; the next ball was missed: {} forced error, {} unforced error. The \
             winner follows, and with it score, server and ends. Who logs no balls presses {} as the first serve is struck, \
             and the winner when it is over: {} for the first-named player, {} for the second.",
            k(Action::FinishAce),
            k(Action::FinishWinner),
            k(Action::FinishForced),
            k(Action::FinishUnforced),
            k(Action::PointStart),
            k(Action::WinnerA),
            k(Action::WinnerB)
        ),
        format!(
            "6. Something went wrong: {} undoes, as often as you like. {} and {} move the start or end of the current \
             point to the frame shown. A point that you missed: go there and log it; it goes where it belongs.",
            k(Action::Undo),
            k(Action::StartHere),
            k(Action::EndHere)
        ),
        format!(
            "7. A game was not recorded, another player served, a point was replayed, somebody retired: {} corrects the \
             score at the current point. Where that cannot be, it says so there, and changes nothing else.",
            k(Action::Correct)
        ),
        format!(
            "8. Afterwards: {} and {} go from point to point. {} chooses a tag or a pattern, {} goes to the next point \
             that shows it, {} plays them all.",
            k(Action::PointBack),
            k(Action::PointForward),
            k(Action::Filter),
            k(Action::MatchForward),
            k(Action::PlayMatching)
        ),
    ]
}

/// The guide's headings and lines, in Pango's markup, with the keys of a card.
fn text(key: impl Fn(Action) -> String) -> [(&'static str, Vec<String>); 5] {
    let k = |a| match key(a) {
        none if none.is_empty() => "(no key)".to_owned(),
        cap => format!("<b>{}</b>", glib::markup_escape_text(&cap)),
    };
    let log = log_text(k);
    let court = vec![
        format!(
            "{} starts a match without footage. The match clock runs with the wall clock, and the keys above stamp its \
             moment. Opened again, it goes on. Film if you can: the camera need not know of it.",
            k(Action::LogWithout)
        ),
        format!(
            "Later, put the film into the record's folder and attach it with {}. Choose a point, go to the frame where it \
             starts, and press {}: all points then lie in the film. {} takes it back.",
            k(Action::AttachFootage),
            k(Action::PointStart),
            k(Action::Undo)
        ),
    ];
    let files = vec![
        "Beside the footage, named after its first file: NAME.points.json holds everything; NAME.points.journal holds \
         each edit until the next save; NAME.points.lock is there while it is open. The footage itself is never changed."
            .to_owned(),
        format!(
            "Each edit is on the disk before the screen shows it. After a power cut the next start goes on from there. {} \
             saves, and so does leaving with {}.",
            k(Action::Save),
            k(Action::Quit)
        ),
    ];
    let care = vec![
        "Everything stays on this computer: no network, no account.".to_owned(),
        "Ask the players, and for minors their parents, before you film and before you hand a clip on. Note under Players \
         who agreed, and until when the footage may be kept; when that day has passed you are reminded at opening."
            .to_owned(),
        "Numbers from a handful of points say little. How much to train, and anything that hurts, is for the coach in \
         person and for a doctor."
            .to_owned(),
    ];
    [
        ("Log a first match", log),
        ("Study: questions and their clips", study(k)),
        ("Courtside, without footage", court),
        ("What is written, and where", files),
        ("Care", care),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logging::card::BUILT_IN;

    #[test]
    fn the_guide_names_the_keys_of_the_card() {
        let card = KeyCard::parse(BUILT_IN).unwrap();
        let all: String = text(|a| card.cap(a)).iter().flat_map(|(_, lines)| lines.clone()).collect();
        for action in [
            Action::PointStart,
            Action::WinnerA,
            Action::Undo,
            Action::PlayMatching,
            Action::RoomStudy,
            Action::LogWithout,
            Action::AttachFootage,
            Action::Quit,
        ] {
            assert!(all.contains(&format!("<b>{}</b>", card.cap(action))), "{action:?}");
        }
        assert!(!all.contains("<b></b>"), "an action without a key");
    }
}
