//! The points that a search finds, for `changeover clips`.

use super::answer::{CliError, complain};
use super::archive::Archive;
use crate::counted::{Counted, Noun};
use crate::facts::PointRef;
use crate::near::Hint;
use crate::pattern::{Answer, Pattern};
use crate::record::printable;
use crate::search::{Chip, Meaning, Search, Vocabulary};

/// What is searched for. A point must match all of it.
#[derive(Debug, clap::Args)]
pub(super) struct Wanted {
    /// Only points that these words describe, in the words of the window: players, shots, directions, score, serve, rally
    /// length, outcome, surface, dates, tags, patterns. Standard error shows how they were understood.
    #[arg(long = "where", value_name = "WORDS")]
    words: Option<String>,
    /// Only points with this tag; may be given again.
    #[arg(long, value_name = "TAG")]
    tag: Vec<String>,
    /// Only points of matches of this player.
    #[arg(long = "player", value_name = "NAME")]
    plays: Option<String>,
}

impl Wanted {
    /// Whether anything is searched for.
    pub(super) const fn is_any(&self) -> bool {
        self.words.is_some() || !self.tag.is_empty() || self.plays.is_some()
    }

    /// The points found, and what they show, in words.
    ///
    /// # Errors
    /// [`CliError`] when a word is not understood.
    pub(super) fn find(
        &self,
        archive: &Archive,
        patterns: &[Pattern],
    ) -> Result<(String, Vec<PointRef>), CliError> {
        let vocabulary = Vocabulary::of(&archive.records, patterns);
        let search = self.search(&vocabulary)?;
        let mut found = Vec::new();
        let mut unknown = 0;
        for (n, record) in archive.records.iter().enumerate() {
            for (place, answer) in search.answers(record) {
                match answer {
                    Answer::Yes => found.push(PointRef { record: n, point: place }),
                    Answer::Unknown => unknown += 1,
                    Answer::No => {}
                }
            }
        }
        complain(&format!("looked for: {search}"));
        if unknown > 0 {
            let points = Counted(unknown, Noun::Point);
            let (lack, are) = (points.lacks(), points.is());
            complain(&format!("{points} {lack} the data to tell, and {are} left out"));
        }
        Ok((search.to_string(), found))
    }

    fn search(&self, vocabulary: &Vocabulary) -> Result<Search, CliError> {
        let mut search = Search::read(self.words.as_deref().unwrap_or_default(), vocabulary);
        for tag in &self.tag {
            search = search.and_tag(tag, vocabulary).map_err(|hint| nothing("tag", tag, &hint))?;
        }
        if let Some(player) = &self.plays {
            search =
                search.and_player(player, vocabulary).map_err(|hint| nothing("player", player, &hint))?;
        }
        let mut unknown: Vec<String> = search.unknown().map(not_understood).collect();
        if let Some(last) = unknown.pop() {
            for word in &unknown {
                complain(word);
            }
            return Err(CliError::Failed(last));
        }
        if search.is_empty() {
            return Err(CliError::Failed(
                "--where is empty: write what the points show, such as \"drop shot break point\"".into(),
            ));
        }
        Ok(search)
    }
}

fn not_understood(chip: &Chip) -> String {
    let hint = match &chip.meaning {
        Meaning::Unknown(hint) => hint.clone(),
        _ => Hint(None),
    };
    let word = printable(&chip.words, 60);
    format!(
        "--where: \"{word}\" is not a tennis word, and not a player, tag, surface, venue or pattern of these records{hint}"
    )
}

fn nothing(what: &str, name: &str, hint: &Hint) -> CliError {
    CliError::Failed(format!("no {what} is called \"{}\" in these records{hint}", printable(name, 60)))
}
