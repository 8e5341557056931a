//! The line of balls in Pango's markup: what was seen in bold, what is estimated with a question mark, the ball that keys go
//! to underlined. Of a long rally the middle is left out. Pure.

use gtk::glib;

use crate::logging::line::Line;
use crate::record::printable;

/// So many letters of a word, or of a name, are shown.
const LETTERS: usize = 24;

/// What is said of one ball, of a fault, or of the end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Its number, if it is a ball.
    pub ball: Option<usize>,
    /// About how many letters it takes.
    pub letters: usize,
    /// In Pango's markup.
    pub markup: String,
    /// The same without markup.
    pub plain: String,
}

/// The parts of a line: who in plain letters, what was seen in bold ones, what is estimated with a question mark.
pub fn parts(line: &Line) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    for s in &line.said {
        // A long name leaves room for the shots.
        let brief = printable(&s.text, LETTERS);
        let text = glib::markup_escape_text(&brief);
        let letters = brief.chars().count() + 3;
        let (between, part) = match parts.last_mut() {
            Some(part) if !s.strong => (
                if part.markup.ends_with("</b>") || part.markup.ends_with("</i>") { ", " } else { " " },
                part,
            ),
            _ => {
                parts.push(Part { ball: s.ball, letters, markup: text.into(), plain: s.text.clone() });
                continue;
            }
        };
        part.letters += letters;
        let (open, close) = if s.estimated { ("<i>", "?</i>") } else { ("<b>", "</b>") };
        for piece in [between, open, &text, close] {
            part.markup.push_str(piece);
        }
        for piece in [between, &s.text, if s.estimated { "?" } else { "" }] {
            part.plain.push_str(piece);
        }
    }
    parts
}

/// The parts in Pango's markup: each ball can be chosen, the one that keys go to is underlined, and filled where it was
/// chosen. Of a long rally the middle is left out, but for what is marked.
pub fn markup(parts: &[Part], goes_to: Option<usize>, chosen: bool, room: usize) -> String {
    let marked = marked(parts, goes_to);
    let one = |(i, part): (usize, &Part)| {
        let text = match part.ball {
            Some(n) => format!("<a href=\"{n}\">{}</a>", part.markup),
            None => part.markup.clone(),
        };
        match (Some(i) == marked, chosen) {
            (false, _) => text,
            (true, false) => format!("<u>{text}</u>"),
            (true, true) => format!("<span background=\"#f2cf45\" color=\"#20252a\">▸ {text}</span>"),
        }
    };
    let mut line: Vec<String> = Vec::new();
    let mut next = 0;
    for i in shown(parts, marked.unwrap_or(parts.len().saturating_sub(1)), room) {
        line.extend((i != next).then(|| "…".into()));
        line.push(one((i, &parts[i])));
        next = i + 1;
    }
    line.extend((next != parts.len()).then(|| "…".into()));
    line.join(" · ")
}

fn marked(parts: &[Part], goes_to: Option<usize>) -> Option<usize> {
    parts.iter().rposition(|p| p.ball.is_some() && p.ball == goes_to)
}

/// Leaves out the last thing that is said of the marked part. Returns whether there was one.
pub fn shorten(parts: &mut [Part], goes_to: Option<usize>) -> bool {
    let at = marked(parts, goes_to).unwrap_or(parts.len().saturating_sub(1));
    let Some(part) = parts.get_mut(at) else { return false };
    let said = part.markup.strip_suffix(", …").unwrap_or(&part.markup);
    let Some((rest, _)) = said.rsplit_once(", ") else { return false };
    part.markup = format!("{rest}, …");
    true
}

/// All of the parts without markup, for a tooltip and a screen reader.
pub fn plain(parts: &[Part]) -> String {
    parts.iter().map(|p| p.plain.as_str()).collect::<Vec<_>>().join(" · ")
}

/// Which parts have room: the marked one, the last, the first two, then those nearest to the marked one.
fn shown(parts: &[Part], marked: usize, room: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by_key(|i| (*i != marked, *i + 1 != parts.len(), *i > 1, i.abs_diff(marked)));
    let mut letters = 0;
    let mut fits = |i: &usize| {
        letters += parts[*i].letters;
        letters <= room || *i == marked
    };
    let mut kept: Vec<usize> = order.into_iter().take_while(|i| fits(i)).collect();
    kept.sort_unstable();
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logging::line::Segment;

    fn of(words: &[&str]) -> Vec<Part> {
        let part = |(n, w): (usize, &&str)| Part {
            ball: Some(n),
            letters: w.len(),
            markup: (*w).to_owned(),
            plain: (*w).to_owned(),
        };
        words.iter().enumerate().map(part).collect()
    }

    #[test]
    fn what_was_seen_is_bold_and_what_is_estimated_asks() {
        let segment = |text: &str, strong, estimated| Segment {
            text: text.into(),
            strong,
            cursor: false,
            estimated,
            ball: Some(0),
        };
        let said = vec![
            segment("Holt & co", true, false),
            segment("deep", false, false),
            segment("behind", false, true),
        ];
        let parts = parts(&Line { said, next: String::new() });
        assert_eq!(parts[0].markup, "Holt &amp; co <b>deep</b>, <i>behind?</i>");
        assert_eq!(parts.len(), 1);
        assert_eq!(plain(&parts), "Holt & co deep, behind?");
    }

    #[test]
    fn a_long_name_leaves_room_for_the_shots() {
        let name = "Maximiliana-Alexandra Holt-Featherstone";
        let said =
            Segment { text: name.into(), strong: true, cursor: false, estimated: false, ball: Some(0) };
        let parts = parts(&Line { said: vec![said], next: String::new() });
        let brief = "Maximiliana-Alexandra Ho…";
        assert_eq!((parts[0].markup.as_str(), parts[0].letters), (brief, brief.chars().count() + 3));
        assert_eq!(plain(&parts), name, "a tooltip has all of it");
    }

    #[test]
    fn a_shot_without_room_is_said_in_fewer_words() {
        let mut all = of(&["Holt serves <b>wide</b>", "Okafor <b>deep</b>, <i>behind?</i>, <b>left</b>"]);
        assert!(shorten(&mut all, Some(1)));
        assert_eq!(all[1].markup, "Okafor <b>deep</b>, <i>behind?</i>, …");
        assert!(shorten(&mut all, Some(1)) && !shorten(&mut all, Some(1)));
        assert_eq!(all[1].markup, "Okafor <b>deep</b>, …");
        assert!(!shorten(&mut all, Some(0)) && !shorten(&mut [], None));
    }

    #[test]
    fn the_line_marks_the_ball_that_keys_go_to() {
        let all = of(&["serves", "returns", "deep"]);
        assert_eq!(
            markup(&all, Some(2), false, 240),
            "<a href=\"0\">serves</a> · <a href=\"1\">returns</a> · <u><a href=\"2\">deep</a></u>"
        );
        assert!(markup(&all, Some(0), true, 240).contains("▸ <a href=\"0\">"));
    }

    #[test]
    fn a_long_rally_leaves_its_middle_out() {
        let all = of(&["Holt forehand deep"; 40]);
        let kept = shown(&all, 39, 240);
        assert!(kept.starts_with(&[0, 1]) && kept.ends_with(&[38, 39]) && kept.len() < 15, "{kept:?}");
        assert!(shown(&all, 20, 240).contains(&20));
        assert_eq!(markup(&all, Some(39), false, 240).matches('…').count(), 1);
        assert_eq!(shown(&all[..3], 2, 240), [0, 1, 2]);
        assert_eq!(shown(&all, 20, 10), [20], "the ball that keys go to is always there");
    }
}
