//! How much room there is where a file is to be written.

use std::path::Path;

use super::place::folder;

/// How many bytes the user may still write beside `path`; `None` where the system does not tell.
#[cfg(all(target_os = "linux", not(feature = "portable")))]
pub fn free_space(path: &Path) -> Option<u64> {
    let about = rustix::fs::statvfs(folder(path)).ok()?;
    about.f_bavail.checked_mul(about.f_frsize)
}

/// How many bytes the user may still write beside `path`; `None` where the system does not tell.
#[cfg(any(not(target_os = "linux"), feature = "portable"))]
pub fn free_space(path: &Path) -> Option<u64> {
    let _ = folder(path);
    None
}
