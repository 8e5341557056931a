//! The record of a match: its model, its edits and their inverses, and what keeps it safe on disk.
//!
//! [`Store`] is an open record. [`Store::apply`] writes an [`Edit`] to the journal beside the sidecar, and to the disk, before it
//! returns. [`Store::save`] replaces the sidecar atomically. [`load`] reads and changes nothing; [`check::check`] reports what
//! looks wrong with a record.

//!
//! What can happen to it, and what the program then does:
//!
//! | event | reaction | tested by |
//! |---|---|---|
//! | killed at any moment | the next [`Store::open`] recovers every edit that was acknowledged, and says so | `tests/record_kill.rs` |
//! | the journal is cut, or a line of it damaged | the edits before it are kept; a damaged journal is kept under another name | `store_properties`, `store_faults` |
//! | disk full, failing, read-only | [`Store::trouble`] says so; edits stay in memory and are written as soon as possible; [`Store::move_to`] | `store_faults`, `tests/full_disk.rs` |
//! | journal or folder removed while open | saved again, or [`Store::trouble`] until the folder is back | `store_faults` |
//! | changed by another program | both versions are kept, one under another name | `store_tests` |
//! | only looked at | nothing is written: [`Store::draft`] makes the record at the first edit | `store_faults` |
//! | open in another window | read-only; the message names the process, its computer and since when; this also works without system locks; [`Store::take_over`] once that one has closed | `lock`, `store_tests` |
//! | newer version, unknown field | read-only; the message names it | `store_tests` |
//! | broken | refused; the message names line, field, what was found and what is allowed; never overwritten | `store_tests` |
//! | footage renamed | found by fingerprint: [`footage::relink`] | `footage` |
//! | a name that leads out of its folder, sizes beyond any match | refused | `footage`, `store_tests` |
//! | any bytes at all | read or refused, in bounded time and memory | `tests/fuzz` |
//! | the wall clock jumps | nothing: the clock only names kept files and says since when a lock is held | `files` |

mod against;
pub mod align;
pub mod check;
pub mod consent;
mod counted;
mod court_check;
mod court_marks;
mod disk;
mod document;
mod document_kind;
pub mod edit;
pub mod erase;
mod error;
mod files;
mod finding;
pub mod footage;
mod holder;
mod journal;
mod kind;
mod limits;
mod load;
mod lock;
mod many;
mod measured;
pub mod model;
mod named;
mod partly;
mod person;
mod place;
mod position;
mod read;
mod recover;
mod relative;
mod severity;
mod shared;
pub mod shot;
mod source;
mod star;
pub mod store;
mod strict;
mod struck;
mod unsound;

pub(crate) use crate::system::printable;
pub use court_marks::{Corner, CourtMark, CourtMarks, Dot, FoundBy, Px};
pub(crate) use disk::unnamed;
pub use document::Document;
pub use document_kind::DocumentKind;
pub use edit::{Change, Edit, EditError};
pub use error::RecordError;
pub(crate) use files::{copy_aside, is_beside_name, kept_as, newer_journal, replace};
pub use footage::{find_again, fingerprint, footage_path};
pub use holder::{HeldBy, Holder};
pub(crate) use journal::is_journal;
pub use kind::Kind;
pub use limits::TooMuch;
pub(crate) use limits::{MOST_NAME, MOST_PEOPLE, MOST_POINTS, MOST_SHOTS, MOST_TAGS};
pub use load::{Loaded, load, load_closely, load_whole};
pub(crate) use load::{held_by, hold, load_document};
pub(crate) use lock::Lock;
pub use measured::Cameras;
pub use model::{Backhand, Finish, Footage, Gender, Hand, Logged, MatchInfo, Outcome, Player, Point, Record};
pub use place::Place;
pub use position::{FOUND, Measured, Position, Touch};
pub(crate) use read::{kind_of, to_bytes};
pub use relative::relative;
pub use shared::Shared;
pub use shot::Shot;
pub use source::{Source, Whose};
pub use star::{STAR, is_star};
pub(crate) use store::create_document;
pub use store::{Kept, Store, sidecar_for};
pub use unsound::{Unfit, Unsound};
