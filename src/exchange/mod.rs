//! Points as tables: what the import and the export of CSV share, so that each reads what the other writes.

mod cell;
mod column;

pub use cell::{
    WINNERS, bare, finish, guarded, outcome, outcome_words, serve_words, server, server_words, tags,
    tags_words, tidy, winner, winner_words,
};
pub use column::{Column, NAMES};
