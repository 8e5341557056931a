//! Where a record is kept: in memory until the first edit, then at its own place or, if that cannot be written to, at another one.
//! Also takes over a record that another window had open.

use std::io;
use std::path::Path;

use super::{Kept, Refused, write_new};
use crate::record::document::Document;
use crate::record::edit::EditError;
use crate::record::error::RecordError;
use crate::record::files::beside;
use crate::record::journal::Journal;
use crate::record::load::held_by;
use crate::record::lock::{Asked, Lock};
use crate::record::read;
use crate::system::writing;

impl<D: Document> Kept<D> {
    /// A new record in memory, for one that is looked at: nothing is written beside it before the first edit.
    ///
    /// # Errors
    /// [`RecordError::Exists`] when there is one already.
    pub fn draft(path: &Path, mut document: D) -> Result<Self, RecordError> {
        document.upgrade();
        document.sound().map_err(EditError::from)?;
        if path.symlink_metadata().is_ok() {
            return Err(RecordError::Exists { path: path.to_owned(), kind: D::KIND });
        }
        Ok(Self {
            path: path.to_owned(),
            real: path.to_owned(),
            document,
            undo: Vec::new(),
            redo: Vec::new(),
            journal: Journal::new(&beside(path, "journal"), String::new(), D::VERSION),
            on_disk: String::new(),
            offered: None,
            unsaved: 0,
            older: None,
            read_only: None,
            held: false,
            draft: true,
            homeless: false,
            notices: Vec::new(),
            trouble: None,
            lock: None,
        })
    }

    /// Whether the record's folder cannot be written to and edits are only in memory: [`Self::move_to`] saves them elsewhere.
    pub const fn needs_place(&self) -> bool {
        self.homeless && self.unsaved > 0
    }

    /// Creates the file and the lock of a record that is in memory. If its folder cannot be written to, [`Store::trouble`] says so.
    ///
    /// # Errors
    /// [`RecordError::InUse`] and [`RecordError::Exists`] when another program has made the record meanwhile.
    pub(super) fn settle_in(&mut self) -> Result<(), RecordError> {
        if !self.draft {
            return Ok(());
        }
        self.homeless = false;
        let lock = match Lock::ask(&beside(&self.real, "lock")) {
            Asked::Got(lock) => Some(lock),
            Asked::Held(who) => return Err(RecordError::InUse { path: self.path.clone(), who }),
            Asked::Unlocked(lock, why) => {
                self.without_lock(Refused::Unlocked(why));
                Some(lock)
            }
            Asked::None(why) => {
                self.without_lock(Refused::None(why));
                None
            }
        };
        if self.homeless {
            return Ok(());
        }
        match self.make() {
            Ok(()) => {
                self.lock = lock;
                Ok(())
            }
            Err(RecordError::Io { source, .. }) => {
                self.in_memory_only(&source);
                Ok(())
            }
            Err(other) => Err(other),
        }
    }

    /// Saves a record that is in memory. If nothing was logged, there is nothing to save.
    pub(super) fn save_draft(&mut self) -> Result<(), RecordError> {
        if self.unsaved > 0 {
            self.settle_in()?;
        }
        match &self.trouble {
            Some(why) if self.draft => {
                Err(RecordError::io(&self.path, "save it")(io::Error::other(why.clone())))
            }
            _ => Ok(()),
        }
    }

    /// Writes the record for the first time.
    fn make(&mut self) -> Result<(), RecordError> {
        let bytes = read::to_bytes(&self.path, &self.document)?;
        let former = Self::former_journal(&self.path)?;
        write_new(&self.path, D::KIND, &bytes)?;
        self.notices.extend(former);
        self.real = std::fs::canonicalize(&self.path).unwrap_or_else(|_| self.path.clone());
        self.on_disk = read::digest(&bytes);
        self.journal = Journal::new(&beside(&self.real, "journal"), self.on_disk.clone(), D::VERSION);
        self.draft = false;
        self.unsaved = 0;
        self.trouble = None;
        Ok(())
    }

    /// The folder takes no file.
    pub(super) fn in_memory_only(&mut self, why: &io::Error) {
        self.homeless = true;
        self.trouble = Some(format!(
            "the {}'s folder cannot be written to ({}): what you log is only in memory; save {} elsewhere before you close it",
            D::KIND.noun(),
            writing(why),
            D::KIND.the()
        ));
    }

    /// Moves to another place, for a folder that cannot be written to. The record is written there as it is now, and later
    /// edits are saved there. The files at the old place do not change, and neither do the names of the footage.
    ///
    /// # Errors
    /// [`RecordError::Exists`] when there is a file already; [`RecordError`] when it cannot be written. Nothing has
    /// changed then.
    pub fn move_to(&mut self, to: &Path) -> Result<(), RecordError> {
        self.writable()?;
        let mut there = Self::create(to, self.document.clone())?;
        there.undo = std::mem::take(&mut self.undo);
        there.redo = std::mem::take(&mut self.redo);
        let new = std::mem::take(&mut there.notices);
        there.notices = std::mem::take(&mut self.notices);
        there.notices.extend(new);
        *self = there;
        Ok(())
    }

    /// Whether another program holds the record, and nothing else keeps it from being changed.
    pub const fn is_held(&self) -> bool {
        self.held
    }

    /// Opens the record anew where another program held it and holds it no more: with all that was done to it there.
    /// Says whether it did.
    ///
    /// # Errors
    /// [`RecordError`] when the record is broken now, or gone.
    pub fn take_over(&mut self) -> Result<bool, RecordError> {
        if !self.held || held_by(&self.path, D::KIND).is_some() {
            return Ok(false);
        }
        let there = Self::open(&self.path)?;
        let free = !there.held;
        if free {
            *self = there;
        }
        Ok(free)
    }

    /// Replaces a record in memory by the one that another program has written at its place meanwhile.
    ///
    /// # Errors
    /// [`RecordError`] when that one cannot be opened.
    pub fn give_way(&mut self) -> Result<(), RecordError> {
        *self = Self::open(&self.path)?;
        Ok(())
    }
}
