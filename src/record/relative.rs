//! How a file is named from a folder.

use std::path::{Component, Path, PathBuf};

use super::footage::{name_path, name_text};

/// How `file`, named from the folder `home`, is named from the folder `base`; with slashes. Both folders must be
/// absolute and without `..`; when they share nothing, the answer is absolute.
pub fn relative(home: &Path, file: &str, base: &Path) -> String {
    let target: PathBuf = home.join(name_path(file));
    let (to, from): (Vec<Component<'_>>, Vec<Component<'_>>) =
        (target.components().collect(), base.components().collect());
    let shared = to.iter().zip(&from).take_while(|(a, b)| a == b).count();
    if shared == 0 {
        return name_text(&target);
    }
    let up = from[shared..].iter().map(|_| "..".to_owned());
    let down = to[shared..].iter().map(|c| name_text(c.as_os_str().as_ref()));
    up.chain(down).collect::<Vec<_>>().join("/")
}
