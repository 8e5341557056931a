//! Which names a page shows: first names if nothing else is wished.

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
        let mut instead = Vec::new();
        for (n, words) in known.iter().enumerate() {
            let called = match naming {
                Naming::Full => continue,
                Naming::Letters => letter(n),
                Naming::First => first(words, &known),
            };
            instead.push((words.join(" "), called.clone()));
            let last = words[words.len() - 1];
            instead.push((last.to_owned(), called.clone()));
            if naming == Naming::Letters {
                instead.push((words[0].to_owned(), called));
            }
        }
        instead.retain(|(name, called)| name != called);
        instead.sort_by_key(|(name, _)| std::cmp::Reverse(name.chars().count()));
        Self { instead }
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

/// Player A, B … Z, then by number.
fn letter(n: usize) -> String {
    match u8::try_from(n).ok().filter(|n| *n < 26) {
        Some(n) => format!("Player {}", char::from(b'A' + n)),
        None => format!("Player {}", n + 1),
    }
}

fn first(words: &[&str], known: &[Vec<&str>]) -> String {
    let shared = known.iter().filter(|other| other[0] == words[0]).count() > 1;
    match words[words.len() - 1].chars().next().filter(|_| shared && words.len() > 1) {
        Some(initial) => format!("{} {initial}.", words[0]),
        None => words[0].to_owned(),
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
    fn any_text_goes_through() {
        for text in ["", "é Mara", "\u{202e}Mara Holt", "Mara"] {
            shown(&["Mara Holt", "", "  "], Naming::First, text);
        }
    }
}
