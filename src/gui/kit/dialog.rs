//! Dialogs: windows over a window, in its colours, that Escape closes.

use gtk::glib;
use gtk::prelude::*;

/// A dialog over `parent`, with room around its page. It is never larger than the parent; a side of -1 is as long as the
/// page needs.
pub fn dialog(
    parent: &impl IsA<gtk::Window>,
    title: &str,
    page: &impl IsA<gtk::Widget>,
    size: (i32, i32),
) -> gtk::Window {
    let parent = parent.upcast_ref::<gtk::Window>();
    let page = page.upcast_ref::<gtk::Widget>();
    for set in [
        gtk::Widget::set_margin_top,
        gtk::Widget::set_margin_bottom,
        gtk::Widget::set_margin_start,
        gtk::Widget::set_margin_end,
    ] {
        set(page, 18);
    }
    let dialog = gtk::Window::builder()
        .title(title)
        .transient_for(parent)
        .modal(true)
        .default_width(size.0.min(parent.width().max(480)))
        .default_height(size.1.min(parent.height().max(400)))
        .child(page)
        .build();
    let colours = parent.css_classes();
    dialog.set_css_classes(&colours.iter().map(glib::GString::as_str).collect::<Vec<_>>());
    follow_colours(&dialog, parent);
    close_on_escape(&dialog);
    dialog
}

/// Turns of the screen in which a dialog comes to another height at the latest.
const TURNS: u32 = 30;

/// Makes the dialog that holds this widget as high as its page needs now; what was shown or hidden of it changes that.
pub fn fit_height(of: &impl IsA<gtk::Widget>) {
    let Some(dialog) = of.root().and_downcast::<gtk::Window>().filter(WidgetExt::is_mapped) else { return };
    let turns = std::cell::Cell::new(0);
    // A height that is still on its way from the display server replaces the one that is wished: it is wished again.
    dialog.add_tick_callback(move |dialog, _| {
        turns.set(turns.get() + 1);
        if turns.get() > 2 && page_fits(dialog) || turns.get() > TURNS {
            return glib::ControlFlow::Break;
        }
        if !page_fits(dialog) {
            dialog.set_default_size(dialog.default_size().0, -1);
        }
        glib::ControlFlow::Continue
    });
}

/// Whether the page of a dialog has just the height that it needs.
fn page_fits(dialog: &gtk::Window) -> bool {
    dialog.child().is_none_or(|page| {
        let sides = page.margin_start() + page.margin_end();
        let ends = page.margin_top() + page.margin_bottom();
        page.measure(gtk::Orientation::Vertical, page.width() + sides).1 == page.height() + ends
    })
}

/// Gives a dialog the colours of its parent whenever these change: the desktop may change them while it is open.
fn follow_colours(dialog: &gtk::Window, parent: &gtk::Window) {
    let following = parent.connect_css_classes_notify(glib::clone!(
        #[weak]
        dialog,
        move |parent| {
            for class in ["dark", "strong"] {
                if parent.has_css_class(class) {
                    dialog.add_css_class(class);
                } else {
                    dialog.remove_css_class(class);
                }
            }
        }
    ));
    let following = std::cell::Cell::new(Some(following));
    let parent = parent.downgrade();
    dialog.connect_destroy(move |_| {
        if let (Some(parent), Some(following)) = (parent.upgrade(), following.take()) {
            parent.disconnect(following);
        }
    });
}

/// Closes a dialog at Escape.
pub fn close_on_escape(dialog: &gtk::Window) {
    let keys = gtk::EventControllerKey::new();
    keys.connect_key_pressed(glib::clone!(
        #[weak]
        dialog,
        #[upgrade_or]
        glib::Propagation::Proceed,
        move |_, key, _, _| {
            if key != gtk::gdk::Key::Escape {
                return glib::Propagation::Proceed;
            }
            dialog.close();
            glib::Propagation::Stop
        }
    ));
    dialog.add_controller(keys);
}
