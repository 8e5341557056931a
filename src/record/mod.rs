//! The record of a match: its model, its edits and their inverses, and what keeps it safe on disk.
//!
//! [`Store`] is an open record: [`Store::apply`] puts an [`Edit`] in the journal beside the sidecar and on the disk
//! before it returns, [`Store::save`] replaces the sidecar at one stroke. [`load`] reads without touching anything;
//! [`check::check`] says what looks wrong with a record.

pub mod check;
pub mod edit;
mod error;
mod files;
pub mod footage;
mod journal;
mod lock;
pub mod model;
mod read;
mod recover;
pub mod shot;
pub mod store;

pub use edit::{Change, Edit, EditError};
pub use error::RecordError;
pub(crate) use error::printable;
pub use footage::{find_again, fingerprint, footage_path};
pub use model::{Backhand, Finish, Footage, Gender, Hand, Logged, MatchInfo, Outcome, Player, Point, Record};
pub use shot::{Place, Shot};
pub use store::{Store, load, sidecar_for};
