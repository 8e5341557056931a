//! The record of a match: its model, its edits and their inverses, and what keeps it safe on disk.

pub mod edit;
pub mod model;

pub use edit::{Change, Edit, EditError};
pub use model::{Finish, Footage, Hand, MatchInfo, Player, Point, Record};
