//! What is open, and what may be done with it, without a toolkit: the record and its keeper, the footage on the match clock,
//! the filter, what the user set. The window shows it; tests drive it without a display.
//!
//! `state` is the session: a record as the `keeper`'s thread told it last, with its footage. `parts` knows which file shows a
//! moment, `looking` which files make a match, `filter` which points are to be seen, `walking` where a key along the
//! score leads. `sheet` says what the
//! score ribbon shows, `correction` turns a corrected score into an edit, `carried` carries a corrected server through
//! the game, `ends` asks from which end a point is served, `score_now` is the score before the first point, `undone` says what an undo took back. `settings`, `cards`, `own` and `recent` are what is
//! kept between runs, in the `folders` of the user, `traces` what of it shows a match; `stamps` finds out how late the coach presses. `study` asks questions. What can go wrong is in
//! `error`.

pub mod cards;
pub mod carried;
pub mod correction;
pub mod courtside;
pub mod ends;
pub mod error;
pub mod exporting;
pub mod filter;
pub mod folders;
pub mod following;
pub mod going;
pub mod keeper;
pub mod leading;
pub mod looking;
pub mod own;
pub mod parts;
pub mod recent;
pub mod score_now;
pub mod settings;
pub mod sheet;
pub mod stamps;
pub mod state;
pub mod study;
pub mod traces;
pub mod undone;
pub mod walking;
pub mod words;
