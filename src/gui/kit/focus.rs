//! The focus, where what has it goes away.

use gtk::prelude::*;

/// Shows a control or hides it. Where it had the focus, the next control gets it first: GTK would give it to what is around the
/// control, in most pages the handle between two panes.
pub fn show_or_hide(control: &impl IsA<gtk::Widget>, seen: bool) {
    if !seen
        && control.is_focus()
        && control.is_visible()
        && let Some(root) = control.root()
    {
        root.child_focus(gtk::DirectionType::TabForward);
    }
    control.set_visible(seen);
}
