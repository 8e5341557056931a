//! Which names a page shows: first names if nothing else is wished.

use crate::lesson::Lesson;
use crate::lesson::texts::{NOTES, each_text};

/// How people are named.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Naming {
    /// By the first word of their name; with the first letter of the last one where two share it.
    #[default]
    First,
    /// As Player A, Player B and so on.
    Letters,
    /// As they are written.
    Full,
}

/// Names that may stand in the texts of a lesson, and what is written instead.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Names {
    /// What is looked for, the longest first, and what is put there.
    instead: Vec<(String, String)>,
}

impl Names {
    /// For these people, each named once, in their order.
    pub fn of(people: &[String], naming: Naming) -> Self {
        let mut known: Vec<Vec<&str>> = Vec::new();
        for person in people {
            let words: Vec<&str> = person.split_whitespace().collect();
            if !words.is_empty() && !known.contains(&words) {
                known.push(words);
            }
        }
        let called = match naming {
            Naming::Full => return Self::default(),
            Naming::Letters => letters(&known),
            Naming::First => (0..known.len()).map(|n| first(n, &known)).collect(),
        };
        // Whole names stay among them also where they are shown as they are: no other name is looked for within them.
        let mut instead: Vec<(String, String)> =
            known.iter().map(|words| words.join(" ")).zip(called.iter().cloned()).collect();
        for (words, called) in known.iter().zip(&called).filter(|(words, _)| words.len() > 1) {
            let first_too = naming == Naming::Letters;
            for word in words.iter().rev().take(1).chain(words.iter().take(usize::from(first_too))) {
                // A single letter may be any word.
                if word.chars().filter(|c| c.is_alphabetic()).count() > 1 {
                    add(&mut instead, &known, word, called);
                }
            }
        }
        instead.sort_by_key(|(name, _)| std::cmp::Reverse(name.chars().count()));
        Self { instead }
    }

    /// The lesson with its texts and those of its talk so changed; the coach's notes stay.
    pub fn lesson(&self, lesson: &Lesson) -> Lesson {
        let mut named = lesson.clone();
        each_text(&mut named, &mut |field, text| {
            if field != NOTES {
                *text = self.shown(text);
            }
        });
        named
    }

    /// The text with the names as they are shown. Only whole words are replaced.
    pub fn shown(&self, text: &str) -> String {
        let mut out = String::with_capacity(text.len());
        let (mut rest, mut before) = (text, None);
        while let Some(c) = rest.chars().next() {
            let starts = !before.is_some_and(char::is_alphanumeric);
            let hit = self.instead.iter().filter(|_| starts).find(|(name, _)| {
                let after = rest.strip_prefix(name.as_str()).map(|r| r.chars().next());
                after.is_some_and(|c| !c.is_some_and(char::is_alphanumeric))
            });
            let taken = if let Some((name, called)) = hit {
                out.push_str(called);
                name.len()
            } else {
                out.push(c);
                c.len_utf8()
            };
            before = rest[..taken].chars().next_back();
            rest = &rest[taken..];
        }
        out
    }
}

/// Adds a part of a name, unless it is the whole name of somebody. Where two people share it, nobody is named by it.
fn add(instead: &mut Vec<(String, String)>, known: &[Vec<&str>], word: &str, called: &str) {
    if known.iter().any(|words| words[..] == [word]) {
        return;
    }
    match instead.iter_mut().find(|(name, _)| name == word) {
        Some((_, other)) if other != called => "a player".clone_into(other),
        Some(_) => {}
        None => instead.push((word.to_owned(), called.to_owned())),
    }
}

/// Player A, B … Z, then by number. Who has such a name already keeps it.
fn letters(known: &[Vec<&str>]) -> Vec<String> {
    let letter = |n: usize| match u8::try_from(n).ok().filter(|n| *n < 26) {
        Some(n) => format!("Player {}", char::from(b'A' + n)),
        None => format!("Player {}", n + 1),
    };
    let taken: Vec<String> = known.iter().map(|words| words.join(" ")).collect();
    let most = 2 * known.len() + 26;
    let has_one = |name: &String| (0..most).any(|n| letter(n) == *name);
    let mut free = (0..).map(letter).filter(|l| !taken.contains(l));
    taken
        .iter()
        .map(|name| if has_one(name) { Some(name.clone()) } else { free.next() })
        .map(Option::unwrap_or_default)
        .collect()
}

/// The first word of a name. Who shares it has as many letters of the last word as tell them apart; else the name stays whole.
fn first(n: usize, known: &[Vec<&str>]) -> String {
    let words = &known[n];
    let others =
        || known.iter().enumerate().filter(|(i, other)| *i != n && other[0] == words[0]).map(|(_, o)| o);
    if words.len() == 1 || others().next().is_none() {
        return words[0].to_owned();
    }
    let last = words[words.len() - 1];
    let same = |some: &str, other: &[&str]| other.len() > 1 && other[other.len() - 1].starts_with(some);
    let ends = last.char_indices().map(|(at, _)| at).skip(1);
    match ends.map(|end| &last[..end]).find(|some| !others().any(|other| same(some, other))) {
        Some(some) => format!("{} {some}.", words[0]),
        None => words.join(" "),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(people: &[&str], naming: Naming, text: &str) -> String {
        let people: Vec<String> = people.iter().map(|&p| p.to_owned()).collect();
        Names::of(&people, naming).shown(text)
    }

    #[test]
    fn first_names_stand_for_whole_names_and_last_ones() {
        let people = ["Mara Holt", "Ada Okafor"];
        let text = "Mara Holt–Okafor 2–1: Holt's drop shot, Holtz, unHolt, (Ada Okafor)";
        assert_eq!(
            shown(&people, Naming::First, text),
            "Mara–Ada 2–1: Mara's drop shot, Holtz, unHolt, (Ada)"
        );
        assert_eq!(
            shown(&people, Naming::Letters, "Mara beats Ada Okafor; Holt"),
            "Player A beats Player B; Player A"
        );
        assert_eq!(shown(&people, Naming::Full, text), text);
    }

    #[test]
    fn a_pseudonym_of_one_word_stays() {
        assert_eq!(shown(&["Fox"], Naming::First, "Fox–Holt"), "Fox–Holt");
    }

    #[test]
    fn two_of_one_first_name_are_told_apart() {
        assert_eq!(shown(&["Ada Holt", "Ada Okafor"], Naming::First, "Holt, Ada Okafor"), "Ada H., Ada O.");
    }

    #[test]
    fn a_name_within_another_is_nobody_else() {
        let people = ["Holt Quibble", "Holt"];
        let text = "Holt Quibble serves, Holt wins; Quibble";
        assert_eq!(shown(&people, Naming::Letters, text), "Player A serves, Player B wins; Player A");
        assert_eq!(shown(&people, Naming::First, text), "Holt Q. serves, Holt wins; Holt Q.");
        assert_eq!(
            shown(&["Anna", "Anna B."], Naming::First, "Anna B. wins, Anna serves"),
            "Anna B. wins, Anna serves"
        );
        // Those who share a part of their names are not told apart by it.
        let sisters = ["Ada Holt", "Bea Holt"];
        assert_eq!(shown(&sisters, Naming::First, "Holt, Ada Holt, Bea Holt"), "a player, Ada, Bea");
        assert_eq!(shown(&["Ada Holt", "Ada Hill"], Naming::First, "Ada Holt, Ada Hill"), "Ada Ho., Ada Hi.");
    }

    #[test]
    fn players_without_a_name_keep_their_letters() {
        let people = ["Player B", "Player A", "Mara Holt"];
        let text = "Player A serves; A winner of Player B; Mara";
        assert_eq!(shown(&people[..2], Naming::First, text), text);
        assert_eq!(shown(&people, Naming::Letters, text), "Player A serves; A winner of Player B; Player C");
    }

    proptest::proptest! {
        /// What is said of one is never said of another.
        #[test]
        fn two_people_are_never_called_the_same(
            people in proptest::collection::vec("(Ann|Bo|Cy|Player)( (A|B|Holt|Hill|Bo|Ann))?", 2..5),
            naming in proptest::sample::select(vec![Naming::First, Naming::Letters, Naming::Full]),
        ) {
            let names = Names::of(&people, naming);
            for (a, b) in people.iter().zip(people.iter().skip(1)) {
                let same = a == b;
                proptest::prop_assert_eq!(names.shown(a) == names.shown(b), same, "{:?}: {} {}", people, a, b);
            }
        }
    }

    #[test]
    fn a_lesson_is_named_but_for_the_coachs_notes() {
        let chapter = crate::lesson::Chapter { title: "Holt serves".into(), notes: "Holt is tired".into() };
        let parts = vec![crate::lesson::Part::Chapter(chapter)];
        let lesson = Lesson { title: "Mara Holt".into(), parts, ..Lesson::default() };
        let named = Names::of(&["Mara Holt".to_owned()], Naming::First).lesson(&lesson);
        let crate::lesson::Part::Chapter(chapter) = &named.parts[0] else { panic!("a chapter") };
        let said = [&named.title, &chapter.title, &chapter.notes].map(String::as_str);
        assert_eq!(said, ["Mara", "Mara serves", "Holt is tired"]);
    }

    #[test]
    fn any_text_goes_through() {
        for text in ["", "é Mara", "\u{202e}Mara Holt", "Mara"] {
            shown(&["Mara Holt", "", "  "], Naming::First, text);
        }
    }
}
