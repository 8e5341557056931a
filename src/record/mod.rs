//! The record of a match: its model, its edits and their inverses, and what keeps it safe on disk.
//!
//! [`Store`] is an open record: [`Store::apply`] puts an [`Edit`] in the journal beside the sidecar and on the disk
//! before it returns, [`Store::save`] replaces the sidecar at one stroke. [`load`] reads without touching anything;
//! [`check::check`] says what looks wrong with a record.

//!
//! What may befall it, and what then happens:
//!
//! | befalls | happens | shown by |
//! |---|---|---|
//! | killed at any moment | the next [`Store::open`] recovers all that was acknowledged, and says so | `tests/record_kill.rs` |
//! | the journal is cut, or a line of it damaged | the edits before it are kept, a damaged one is kept aside | `store_properties`, `store_faults` |
//! | disk full, failing, read-only | [`Store::trouble`] says so; edits go on in memory and are tried again; [`Store::move_to`] | `store_faults`, `tests/full_disk.rs` |
//! | journal or folder taken away while open | saved anew, or [`Store::trouble`] until the folder is back | `store_faults` |
//! | changed by another program | both versions are kept, one aside | `store_tests` |
//! | looked at only | nothing is written: [`Store::draft`] makes the record at the first edit | `store_faults` |
//! | open in another window | read-only, naming the process, its computer and since when; also without system locks; [`Store::take_over`] once that one has closed | `lock`, `store_tests` |
//! | newer version, unknown field | read-only, naming it | `store_tests` |
//! | broken | refused, naming line, field, what was found and what is allowed; never overwritten | `store_tests` |
//! | footage renamed | found by fingerprint: [`footage::relink`] | `footage` |
//! | a name that leads out of its folder, sizes beyond any match | refused | `footage`, `store_tests` |
//! | any bytes at all | read or refused, in bounded time and memory | `tests/fuzz` |
//! | the wall clock jumps | nothing: it only marks files kept aside and says since when a lock is held | `files` |

mod against;
pub mod align;
pub mod check;
pub mod consent;
mod counted;
mod disk;
pub mod edit;
pub mod erase;
mod error;
mod files;
pub mod footage;
mod holder;
mod journal;
mod kind;
mod limits;
mod load;
mod lock;
mod many;
pub mod model;
mod named;
mod printable;
mod read;
mod recover;
mod severity;
mod shared;
pub mod shot;
mod source;
pub mod store;
mod strict;
mod struck;

pub(crate) use disk::unnamed;
pub use edit::{Change, Edit, EditError};
pub use error::RecordError;
pub(crate) use files::{copy_aside, is_beside_name, kept_as, newer_journal};
pub use footage::{find_again, fingerprint, footage_path};
pub use holder::{HeldBy, Holder};
pub(crate) use journal::is_journal;
pub use kind::Kind;
pub use limits::TooMuch;
pub(crate) use limits::{MOST_NAME, MOST_POINTS, MOST_TAGS};
pub use load::{Loaded, load, load_closely, load_whole};
pub(crate) use load::{held_by, hold};
pub(crate) use lock::Lock;
pub use model::{Backhand, Finish, Footage, Gender, Hand, Logged, MatchInfo, Outcome, Player, Point, Record};
pub(crate) use printable::printable;
pub(crate) use read::{is_record, to_bytes};
pub use shared::Shared;
pub use shot::{Place, Shot};
pub use source::{Source, Whose};
pub use store::{Store, sidecar_for};
