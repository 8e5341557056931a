//! How a file is named from a folder.

use std::path::{Component, Path, PathBuf};

use super::footage::{name_path, name_text};

/// How `file`, named from the folder `home`, is named from the folder `base`; with slashes. Both folders must be
/// absolute and without `..`; when they share nothing, the answer is absolute. `..` at the start of `file` leads out of `home`, in
/// which no link is; behind a folder's name it stays, because a link may be there.
pub fn relative(home: &Path, file: &str, base: &Path) -> String {
    let named = name_path(file);
    let (mut home, mut rest): (&Path, &Path) = (home, &named);
    while let (Ok(inner), Some(outer)) = (rest.strip_prefix(".."), home.parent()) {
        (home, rest) = (outer, inner);
    }
    let target: PathBuf = home.join(rest);
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
