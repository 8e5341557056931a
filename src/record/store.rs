//! An open record: what is known of the match, its history, and the files that keep it.

use std::path::{Path, PathBuf};

use super::document::Document;
use super::document_kind::DocumentKind;
use super::edit::EditError;
use super::error::RecordError;
use super::files::{self, beside};
use super::holder::HeldBy;
use super::journal::Journal;
use super::load::{edits, follow, left_alone};
use super::lock::{Asked, Lock};
use super::model::Record;
use super::read::{self, MOST_BYTES};
use super::recover::{Fate, look, recover};
use crate::system::printable;
use crate::system::writing;

pub use super::files::sidecar_for;
pub use super::load::{Loaded, load, load_closely, load_whole};

mod home;

/// No single edit holds more text.
const MOST_EDIT_BYTES: usize = 1 << 20;

/// A record open for editing.
pub type Store = Kept<Record>;

/// A document open for editing: each edit is on disk, in the journal, before [`Kept::apply`] returns.
///
/// Dropping it loses nothing: edits that were not saved stay in the journal, and the next [`Store::open`] finds
/// them.
#[derive(Debug)]
pub struct Kept<D: Document> {
    /// As the user named it.
    path: PathBuf,
    /// With links followed: where the files are.
    real: PathBuf,
    document: D,
    undo: Vec<D::Edit>,
    redo: Vec<D::Edit>,
    journal: Journal,
    /// Digest of the sidecar as last read or written here.
    on_disk: String,
    /// Digest of what a save that failed may have put there all the same.
    offered: Option<String>,
    unsaved: usize,
    /// The version of the sidecar, while it is older than ours.
    older: Option<u32>,
    read_only: Option<String>,
    /// Whether it may not be changed because another program has it open, and for no other reason.
    held: bool,
    /// Whether nothing of it is on the disk yet.
    draft: bool,
    /// Whether its folder takes no file.
    homeless: bool,
    notices: Vec<String>,
    trouble: Option<String>,
    /// Held, not read.
    lock: Option<Lock>,
}

/// Why there is no lock that the system keeps.
enum Refused {
    Held(HeldBy),
    None(std::io::Error),
    Unlocked(std::io::Error),
}

impl<D: Document> Kept<D> {
    /// Writes a new record and opens it.
    ///
    /// # Errors
    /// [`RecordError::Exists`] when there is one already; [`RecordError`] when it cannot be written.
    pub fn create(path: &Path, mut document: D) -> Result<Self, RecordError> {
        document.upgrade();
        document.sound().map_err(EditError::from)?;
        if path.symlink_metadata().is_ok() {
            return Err(RecordError::Exists { path: path.to_owned(), kind: D::KIND });
        }
        let former = Self::former_journal(path)?;
        let bytes = read::to_bytes(path, &document)?;
        write_new(path, D::KIND, &bytes)?;
        let mut store = Self::open(path)?;
        store.notices.extend(former);
        Ok(store)
    }

    /// Keeps the journal of an earlier record with this name under another name. Returns the message for the user.
    fn former_journal(path: &Path) -> Result<Option<String>, RecordError> {
        let old = beside(path, "journal");
        if !old.exists() {
            return Ok(None);
        }
        let kept =
            files::move_aside(&old).map_err(RecordError::io(&old, "keep the journal of a former record"))?;
        Ok(Some(format!("the journal of an earlier record with this name is kept as {}", shown(&kept))))
    }

    /// Opens a record: recovers what an interrupted session left in its journal, and takes the lock. When it may
    /// not be changed, [`Store::read_only`] says why.
    ///
    /// # Errors
    /// [`RecordError`] when there is no record at `path`, or it is broken; the files are then as they were.
    pub fn open(path: &Path) -> Result<Self, RecordError> {
        let real = follow(path, D::KIND)?;
        let (lock, refused) = match Lock::ask(&beside(&real, "lock")) {
            Asked::Got(lock) => (Some(lock), Ok(())),
            Asked::Unlocked(lock, why) => (Some(lock), Err(Refused::Unlocked(why))),
            Asked::Held(who) => (None, Err(Refused::Held(who))),
            Asked::None(why) => (None, Err(Refused::None(why))),
        };
        let journal_path = beside(&real, "journal");
        let seen = look(path, &real, &journal_path, D::KIND)?;
        let parsed = read::parse::<D>(path, &seen.sidecar)?;
        let recovered = recover(parsed.document, &seen);
        let mut store = Self {
            path: path.to_owned(),
            journal: Journal::new(&journal_path, seen.digest.clone(), D::VERSION),
            real,
            document: recovered.document,
            unsaved: recovered.undo.len(),
            undo: recovered.undo,
            redo: Vec::new(),
            on_disk: seen.digest,
            older: parsed.older,
            offered: None,
            held: parsed.read_only.is_none() && matches!(refused, Err(Refused::Held(_))),
            read_only: parsed.read_only,
            draft: false,
            homeless: false,
            notices: Vec::new(),
            trouble: None,
            lock,
        };
        if let Err(refused) = refused {
            store.without_lock(refused);
        }
        store.notices.extend(store.document.notices());
        store.take_up(recovered.fate, recovered.torn, seen.journal.as_deref().unwrap_or_default());
        Ok(store)
    }

    /// Continues with the existing journal, or leaves it alone if the record may only be read.
    fn take_up(&mut self, fate: Fate<D::Edit>, torn: bool, journal: &[u8]) {
        if matches!(fate, Fate::Newer) {
            self.read_only.get_or_insert_with(|| {
                let the = D::KIND.the();
                format!(
                    "a newer version of Changeover left edits in its journal; open {the} with that version"
                )
            });
        }
        if self.read_only.is_some() {
            self.notices.extend(left_alone(D::KIND, &fate));
            self.undo.clear();
        } else {
            files::sweep(&self.real);
            self.tell_recovered(torn);
            self.settle(fate, journal);
        }
    }

    fn without_lock(&mut self, refused: Refused) {
        use std::io::ErrorKind::{PermissionDenied, ReadOnlyFilesystem};
        match refused {
            Refused::Held(who) => {
                self.read_only
                    .get_or_insert(format!("it is open in {who}; close it there to change it here"));
            }
            Refused::None(e) if matches!(e.kind(), PermissionDenied | ReadOnlyFilesystem) => {
                self.in_memory_only(&e);
            }
            Refused::None(e) | Refused::Unlocked(e) => self.notices.push(format!(
                "this folder cannot lock files ({}): do not open this {} twice at the same time",
                writing(&e),
                D::KIND.noun()
            )),
        }
    }

    fn tell_recovered(&mut self, torn: bool) {
        if self.unsaved > 0 {
            let n = edits(self.unsaved);
            self.notices.push(format!("recovered {n} from the journal after an interrupted session"));
        }
        if torn {
            self.notices.push("the last line of the journal is incomplete and is left out".into());
        }
    }

    /// Handles the existing journal according to its fate.
    fn settle(&mut self, fate: Fate<D::Edit>, bytes: &[u8]) {
        let the = D::KIND.the();
        let path = beside(&self.real, "journal");
        let done = match fate {
            Fate::Fresh | Fate::Newer => Ok(()),
            Fate::Resume(found) => {
                self.journal = Journal::resume(&path, &found, bytes, D::VERSION);
                Ok(())
            }
            Fate::Done => self.journal.remove(),
            Fate::Foreign => files::move_aside(&path).map(|kept| {
                self.notices.push(format!(
                    "another program changed {the} after the journal was written; the edits of the journal are not in {the}, but are kept as {}",
                    shown(&kept)
                ));
            }),
            Fate::Damaged { line, kept, left_out } => self.start_over(line, kept, left_out),
        };
        if let Err(e) = done {
            self.trouble = Some(format!("the journal {} cannot be written: {e}", shown(&path)));
        }
    }

    /// Keeps a damaged journal under another name and continues with a new one that holds its good edits.
    fn start_over(&mut self, line: usize, kept: Vec<D::Edit>, left_out: usize) -> std::io::Result<()> {
        let the = D::KIND.the();
        let path = beside(&self.real, "journal");
        let copy = files::copy_aside(&path)?;
        self.notices.push(format!(
            "line {line} of the journal is damaged: {the} has {} from before it and lacks {} from there on; the damaged journal is kept as {}",
            edits(kept.len()),
            edits(left_out),
            shown(&copy)
        ));
        self.journal.rewrite(kept)
    }

    /// The document as it is now.
    pub const fn document(&self) -> &D {
        &self.document
    }

    /// The path it was opened under.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Why it may not be changed, in words; `None` when it may.
    pub fn read_only(&self) -> Option<&str> {
        self.read_only.as_deref()
    }

    /// What the user should be told once: edits recovered, files kept aside. The newest is last.
    pub fn notices(&self) -> &[String] {
        &self.notices
    }

    /// Adds to what the user should be told.
    pub(super) fn tell(&mut self, notice: String) {
        self.notices.push(notice);
    }

    /// Why the last edits are not on disk, in words; `None` when they are. Writing is tried again at the next edit
    /// and at [`Store::save`].
    pub fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }

    /// How many edits are not in the sidecar yet.
    pub const fn unsaved(&self) -> usize {
        self.unsaved
    }

    /// Whether there is an edit to take back.
    pub fn can_undo(&self) -> bool {
        !self.undo.is_empty()
    }

    /// Whether there is an edit to make again.
    pub fn can_redo(&self) -> bool {
        !self.redo.is_empty()
    }

    /// Makes one edit. It is in the journal and on disk when this returns, unless [`Store::trouble`] says why not;
    /// then it is in memory and waits.
    ///
    /// # Errors
    /// [`RecordError::Edit`] when it does not fit, [`RecordError::ReadOnly`]; nothing has changed then.
    pub fn apply(&mut self, edit: D::Edit) -> Result<D::Change, RecordError> {
        self.writable()?;
        self.settle_in()?;
        let text = self.text_of(&edit)?;
        if text.len() > MOST_EDIT_BYTES {
            return Err(EditError::TooLong { found: text.len() }.into());
        }
        let (change, inverse) = self.document.apply(edit)?;
        self.undo.push(inverse);
        self.redo.clear();
        self.note(&text);
        Ok(change)
    }

    /// An edit as the journal holds it.
    fn text_of(&self, edit: &D::Edit) -> Result<String, RecordError> {
        serde_json::to_string(edit)
            .map_err(|e| RecordError::io(&self.path, "write the edit as JSON")(e.into()))
    }

    /// Takes the last edit back; `None` when there is none.
    ///
    /// # Errors
    /// [`RecordError::ReadOnly`].
    pub fn undo(&mut self) -> Result<Option<D::Change>, RecordError> {
        self.writable()?;
        if self.undo.is_empty() {
            return Ok(None);
        }
        self.settle_in()?;
        let Some(edit) = self.undo.pop() else { return Ok(None) };
        let text = self.text_of(&edit)?;
        let (change, inverse) = self.document.put(edit)?;
        self.redo.push(inverse);
        self.note(&text);
        Ok(Some(change))
    }

    /// Makes again the last edit that was taken back; `None` when there is none.
    ///
    /// # Errors
    /// [`RecordError::ReadOnly`].
    pub fn redo(&mut self) -> Result<Option<D::Change>, RecordError> {
        self.writable()?;
        if self.redo.is_empty() {
            return Ok(None);
        }
        self.settle_in()?;
        let Some(edit) = self.redo.pop() else { return Ok(None) };
        let text = self.text_of(&edit)?;
        let (change, inverse) = self.document.put(edit)?;
        self.undo.push(inverse);
        self.note(&text);
        Ok(Some(change))
    }

    fn writable(&self) -> Result<(), RecordError> {
        match &self.read_only {
            Some(why) => {
                Err(RecordError::ReadOnly { path: self.path.clone(), kind: D::KIND, why: why.clone() })
            }
            None => Ok(()),
        }
    }

    /// Writes an edit to the disk; `edit` is its JSON.
    fn note(&mut self, edit: &str) {
        self.unsaved += 1;
        if self.draft {
            return;
        }
        let written = self.journal.edit(edit).and_then(|()| self.journal.flush());
        if self.journal.lost() {
            return self.write_anew();
        }
        match written {
            Ok(()) => (self.trouble, self.homeless) = (None, false),
            Err(e) if self.homeless => self.in_memory_only(&e),
            Err(e) => {
                let why = writing(&e);
                self.trouble = Some(format!(
                    "the last edits are only in memory, because the journal cannot be written ({why}); make room, or save elsewhere"
                ));
            }
        }
        if self.journal.len() > MOST_BYTES / 2 {
            // If it fails, the user's next save reports why.
            let _ = self.save();
        }
    }

    /// The journal was removed. Its edits are in memory, and a save brings them back to the disk.
    fn write_anew(&mut self) {
        let the = D::KIND.the();
        match self.save() {
            Ok(()) => self.notices.push(
                format!("another program removed the journal while {the} was open here; {the} was saved at once, and nothing is lost"),
            ),
            Err(e) => {
                self.trouble = Some(format!(
                    "the last edits are only in memory, because the journal was removed and {the} cannot be saved: {e}; bring the folder back, or save elsewhere"
                ));
            }
        }
    }

    /// Replaces the record by another one, on the disk too, and forgets all history, so that nothing can be brought back.
    pub(super) fn start_afresh(&mut self, document: D) -> Result<(), RecordError> {
        let old = std::mem::replace(&mut self.document, document);
        // Without it a save would leave a record of an older version as it is.
        self.unsaved += 1;
        self.save().inspect_err(|_| self.document = old)?;
        self.undo.clear();
        self.redo.clear();
        Ok(())
    }

    /// Where the record is, links followed.
    pub(super) fn real(&self) -> &Path {
        &self.real
    }

    /// Writes the sidecar: a new file, synced, renamed over the old one; then the journal is emptied.
    ///
    /// # Errors
    /// [`RecordError`] when it cannot be written; the edits are still in memory and, where possible, in the
    /// journal.
    pub fn save(&mut self) -> Result<(), RecordError> {
        let the = D::KIND.the();
        self.writable()?;
        if self.draft {
            return self.save_draft();
        }
        let bytes = read::to_bytes(&self.path, &self.document)?;
        let new = read::digest(&bytes);
        self.keep_strangers_version()?;
        let same = new == self.on_disk || (self.older.is_some() && self.unsaved == 0);
        if same && !self.journal.started() {
            self.unsaved = 0;
            return Ok(());
        }
        self.keep_older_version()?;
        if self.journal.started() {
            // If this fails, the sidecar may still be written; at worst a journal is kept under another name after a crash.
            let _ = self.journal.saving(&new);
        }
        self.offered = Some(new.clone());
        files::replace(&self.real, &bytes).map_err(|e| {
            self.trouble = Some(format!(
                "{the} could not be saved ({}); make room, or save elsewhere; what you logged is kept in memory",
                writing(&e)
            ));
            RecordError::io(&self.path, "save it")(e)
        })?;
        self.on_disk.clone_from(&new);
        self.unsaved = 0;
        self.trouble = None;
        if let Err(e) = self.journal.reset(new) {
            self.notices.push(format!("{the} is saved, but its journal could not be emptied: {e}"));
        }
        Ok(())
    }

    /// A sidecar of an older version is kept as `NAME.points.v1.json` before its upgrade takes its place.
    fn keep_older_version(&mut self) -> Result<(), RecordError> {
        let Some(version) = self.older else { return Ok(()) };
        let kept = files::keep_version(&self.real, version)
            .map_err(RecordError::io(&self.path, "keep it as the older version wrote it"))?;
        self.notices.push(format!(
            "{} had version {version} and is saved as version {}; the old file is kept as {}",
            D::KIND.the(),
            D::VERSION,
            shown(&kept)
        ));
        self.older = None;
        Ok(())
    }

    /// A sidecar that another program has changed meanwhile is kept under another name before ours takes its place.
    fn keep_strangers_version(&mut self) -> Result<(), RecordError> {
        let the = D::KIND.the();
        let now = read::bytes(&self.real, D::KIND, D::KIND.the())?;
        let Some(now) = now.map(|bytes| read::digest(&bytes)) else {
            self.on_disk.clear();
            return Ok(());
        };
        if self.offered.as_ref() == Some(&now) {
            self.on_disk = now;
        } else if now != self.on_disk {
            let kept = files::copy_aside(&self.real)
                .map_err(RecordError::io(&self.path, "keep the version that another program wrote"))?;
            self.notices.push(format!(
                "another program changed {the} while it was open here; that program's version is kept as {}",
                shown(&kept)
            ));
            self.on_disk = now;
        }
        Ok(())
    }
}

impl Store {
    /// The record as it is now.
    pub const fn record(&self) -> &Record {
        self.document()
    }
}

impl<D: Document> Drop for Kept<D> {
    fn drop(&mut self) {
        // The last chance for edits that a full disk did not take; there is nobody left to tell.
        let _ = self.journal.flush();
    }
}

/// Writes a document where there is none.
fn write_new(path: &Path, kind: DocumentKind, bytes: &[u8]) -> Result<(), RecordError> {
    files::create(path, bytes).map_err(|e| match e.kind() {
        std::io::ErrorKind::AlreadyExists => RecordError::Exists { path: path.to_owned(), kind },
        _ => RecordError::io(path, "write a new file")(e),
    })
}

/// Writes a new document.
pub(crate) fn create_document<D: Document>(path: &Path, document: &D) -> Result<(), RecordError> {
    write_new(path, D::KIND, &read::to_bytes(path, document)?)
}

fn shown(path: &Path) -> String {
    printable(&path.file_name().unwrap_or_default().to_string_lossy(), 200)
}

#[cfg(test)]
#[path = "store_tests.rs"]
mod tests;

#[cfg(test)]
#[path = "store_faults.rs"]
mod faults;

#[cfg(test)]
#[path = "store_properties.rs"]
mod properties;
