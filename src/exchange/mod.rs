//! Points as tables: what the import and the export of CSV share, so that each reads what the other writes.

mod cell;
mod column;
mod seen;
mod shots;

pub use cell::{
    LOGGED, MISSES, UNRETURNED, WINNERS, bare, finish, guarded, logged_words, miss_words, one, outcome,
    outcome_words, serve_words, server, server_words, side, side_words, tags, tags_words, tidy, winner,
    winner_words,
};
pub use column::{Column, NAMES};
pub use seen::{COURTS, ENDS, YES, tag_of, tag_of_words, word_of};
pub use shots::{shots, shots_words};
