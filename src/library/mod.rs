//! The library: all records under the folders that the user names, without opening any of them for editing.
//!
//! [`list`] finds the records, and reads those that are new or have changed since the [`Cache`] was written. [`Listed`] is one
//! record as a list shows it, with what is missing. [`Kept`] holds the records with the facts of their points, so that a search
//! over all of them is answered at once. Nothing here changes a record.

mod cache;
mod entry;
mod kept;
mod list;
mod missing;
mod stamp;
pub mod walk;

pub use cache::Cache;
pub use entry::{Content, Entry, Known};
pub use kept::{Answered, Kept};
pub use list::{Listed, Listing, list};
pub use missing::Missing;
pub use stamp::Stamp;

#[cfg(test)]
mod tests;
