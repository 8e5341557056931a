//! The open record and what can be done with it, without a toolkit: the record and its keeper, the footage on the match clock,
//! the filter, the settings. The window shows it; tests drive it without a display.
//!
//! `state` is the session: the record as the `keeper`'s thread last reported it, with its footage. `parts` knows which file shows a
//! moment, `looking` which files make a match, `filter` which points are shown, `walking` where a key along the score leads,
//! `play_list` which clips are played one after another, `pictured` which frame stands for a point or a clip in a list.
//! `sheet` says what the score ribbon shows. `correction` turns a corrected score into an edit, `carried` carries a corrected
//! server through the game, `ends` asks from which end a point is served, `score_now` is the score before the first point,
//! `undone` says what an undo changed. `settings`, `cards`, `own` and `recent` are kept between runs, in the `folders` of the
//! user; `traces` finds which of these files show a match, also in the `desktop_list`. `alone` knows files that a sandbox shows without
//! their folder. `library` is what the library page shows, `copying` puts points on the clipboard. `cuts` keeps the cuts found in
//! footage. `stamps` measures how late the coach stamps. `study` asks questions. `sketch` turns strokes over the picture into
//! drawings, `cameras` knows the camera of a moment, `standing` whether marks hold where nobody followed the court. `marking` marks the court step by step, `positions` puts measured places into
//! the record; `measuring` is the page that does both. `proposing` looks for the players in the frames of a point (`seeing` prepares
//! them), `proposed` knows what was found and accepts it.
//! `show` is the lesson that is open on the Show page. `error` holds the errors.

pub mod alone;
pub mod board;
pub mod cameras;
pub mod cards;
pub mod carried;
pub mod copying;
pub mod correction;
pub mod courtside;
pub mod cuts;
pub mod desktop_list;
pub mod each;
pub mod ends;
pub mod error;
pub mod exporting;
pub mod filter;
pub mod folders;
pub mod followed;
pub mod following;
pub mod going;
pub mod keeper;
pub mod kept;
pub mod leading;
pub mod lesson_list;
pub mod library;
pub mod looking;
pub mod marking;
pub mod measuring;
pub mod own;
pub mod parts;
pub mod pass;
pub mod people;
pub mod pictured;
pub mod play_list;
pub mod positions;
pub mod proposed;
pub mod proposing;
pub mod question;
pub mod recent;
pub mod score_now;
#[cfg(feature = "video")]
pub mod seeing;
pub mod settings;
pub mod sheet;
pub mod show;
pub mod sketch;
pub mod stamps;
pub mod standing;
pub mod state;
pub mod study;
pub mod traces;
pub mod undone;
pub mod walking;
pub mod what;
pub mod words;
