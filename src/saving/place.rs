//! Where a path leads: its folder, and whether it names the same file as another path, through hard and symbolic links and
//! regardless of upper and lower case.

use std::path::Path;

/// Whether both are there and are one file.
#[cfg(all(unix, not(feature = "portable")))]
pub(super) fn same(a: &Path, b: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let place = |path: &Path| path.metadata().ok().map(|about| (about.dev(), about.ino()));
    place(a).is_some_and(|a| Some(a) == place(b))
}

/// Whether both are there and are one file. Hard links are not seen through.
#[cfg(any(not(unix), feature = "portable"))]
pub(super) fn same(a: &Path, b: &Path) -> bool {
    let place = |path: &Path| path.canonicalize().ok();
    place(a).is_some_and(|a| Some(a) == place(b))
}

/// The folder that a file is in; the current one when none is named.
pub fn folder(path: &Path) -> &Path {
    path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."))
}
