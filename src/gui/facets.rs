//! A facet's menu above an answer.

use gtk::prelude::*;

use super::window::named;
use crate::session::study::facets::Facet;

/// A facet's menu, with this choice made. A long name is cut before it makes the column wider.
pub fn menu(facet: &Facet, chosen: usize, then: impl Fn(usize) + 'static) -> gtk::DropDown {
    let labels: Vec<&str> = facet.picks.iter().map(|p| p.label.as_str()).collect();
    let menu = gtk::DropDown::from_strings(&labels);
    menu.set_selected(chosen as u32);
    menu.set_list_factory(menu.factory().as_ref());
    menu.set_factory(Some(&cut_short()));
    menu.set_tooltip_text(Some(facet.name));
    named(menu.upcast_ref(), facet.name);
    menu.connect_selected_notify(move |m| then(m.selected() as usize));
    menu
}

/// The choice as the menu's button has room for it.
fn cut_short() -> gtk::SignalListItemFactory {
    let factory = gtk::SignalListItemFactory::new();
    factory.connect_setup(|_, item| {
        if let Some(item) = item.downcast_ref::<gtk::ListItem>() {
            let label = gtk::Label::builder().xalign(0.0).ellipsize(gtk::pango::EllipsizeMode::End);
            item.set_child(Some(&label.width_chars(14).max_width_chars(16).build()));
        }
    });
    factory.connect_bind(|_, item| {
        let Some(item) = item.downcast_ref::<gtk::ListItem>() else { return };
        let text = item.item().and_downcast::<gtk::StringObject>();
        if let (Some(text), Some(label)) = (text, item.child().and_downcast::<gtk::Label>()) {
            label.set_label(&text.string());
        }
    });
    factory
}
