//! Text as a sentence, and the time that is left of some work.

use std::time::Duration;

/// The text as a sentence begins; a file's name stays as it is, also one with spaces.
pub fn capital(text: &str) -> String {
    if begins_with_a_file(text) {
        return text.into();
    }
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

/// The text as a whole sentence.
pub fn sentence(text: &str) -> String {
    let stop = if text.ends_with(['.', '!', '?', ':', '…']) { "" } else { "." };
    format!("{}{stop}", capital(text))
}

/// The time that is left of work that took so long for a part of it, from 0 to 1. `None` while it is too early to tell, and at the end.
pub fn time_left(took: Duration, part: f64) -> Option<String> {
    if took < Duration::from_secs(1) || !(0.005..1.0).contains(&part) {
        return None;
    }
    let left = took.as_secs_f64() * (1.0 - part) / part;
    let minutes = (left / 60.0).round() as u64;
    Some(match (left, minutes) {
        (..10.0, _) => "a few seconds left".into(),
        (..55.0, _) => format!("about {} seconds left", (left / 10.0).round() as u64 * 10),
        (_, ..=1) => "about a minute left".into(),
        (_, ..90) => format!("about {minutes} minutes left"),
        _ => format!("about {} hours left", (left / 3600.0).round() as u64),
    })
}

/// How what is said of a file begins.
const OF_A_FILE: [&str; 6] =
    ["this ", "there is no such file", "the file ", "the folder ", "cannot ", "it is "];

/// Whether a text begins with the name of a file: its first word has a dot or a slash in it, what stands before the
/// first colon or comma ends as names of files do, or what follows the colon is said of files.
fn begins_with_a_file(text: &str) -> bool {
    let first = text.split(char::is_whitespace).next().unwrap_or_default().trim_end_matches(['.', ':', ',']);
    if first.contains(['.', '/']) {
        return true;
    }
    let subject = text.split(": ").next().unwrap_or_default();
    let name = subject.split(", line ").next().unwrap_or_default();
    if name.len() == text.len() {
        return false;
    }
    let about_a_file = |said: &str| OF_A_FILE.iter().any(|of| said.starts_with(of));
    // "this record is read-only: it is open in another window" has no name of a file.
    if !subject.starts_with("this ") && text.split_once(": ").is_some_and(|(_, said)| about_a_file(said)) {
        return true;
    }
    let is_ending = |end: &str| (1..=5).contains(&end.len()) && end.chars().all(char::is_alphanumeric);
    name.contains('/') || name.rsplit_once('.').is_some_and(|(_, end)| is_ending(end))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_notice_is_a_whole_sentence() {
        assert_eq!(sentence("recovered 1 edit"), "Recovered 1 edit.");
        assert_eq!(sentence("a.mp4: it is turned."), "a.mp4: it is turned.");
    }

    #[test]
    fn the_time_that_is_left_is_told_once_it_is_known() {
        let left = |took, part| time_left(Duration::from_secs(took), part);
        assert_eq!(left(0, 0.5), None);
        assert_eq!(left(5, 0.0), None);
        assert_eq!(left(60, 1.0), None);
        assert_eq!(left(5, f64::NAN), None);
        assert_eq!(left(9, 0.9).unwrap(), "a few seconds left");
        assert_eq!(left(10, 0.25).unwrap(), "about 30 seconds left");
        assert_eq!(left(30, 0.35).unwrap(), "about a minute left");
        assert_eq!(left(60, 0.25).unwrap(), "about 3 minutes left");
        assert_eq!(left(3600, 0.25).unwrap(), "about 3 hours left");
    }

    #[test]
    fn a_sentence_begins_with_a_capital_and_a_file_name_stays() {
        assert_eq!(capital("no room. then"), "No room. then");
        assert_eq!(capital("élan"), "Élan");
        assert_eq!(capital("ro/m: cannot save"), "ro/m: cannot save");
        assert_eq!(capital("m.points.json: cannot save"), "m.points.json: cannot save");
        assert_eq!(capital("my final.mp4: cannot save"), "my final.mp4: cannot save");
        assert_eq!(capital("my final.points.json, line 3: x"), "my final.points.json, line 3: x");
        assert_eq!(capital("my folder/a film: cannot save"), "my folder/a film: cannot save");
        assert_eq!(capital("the clips are of 2.5 s. note: x"), "The clips are of 2.5 s. note: x");
        assert_eq!(capital("court one: this is a folder"), "court one: this is a folder");
        assert_eq!(capital("this record is read-only: it is open"), "This record is read-only: it is open");
        assert_eq!(capital("point 3: a let"), "Point 3: a let");
        assert_eq!(capital(""), "");
    }
}
