//! The builder in the window: a pattern is made by choosing, kept, asked for, changed, and never kept while it is wrong.

use gtk::prelude::*;
use gtk::subclass::prelude::*;

use super::builder::{self, Builder};
use super::correct_tests::all;
use crate::gui::kit::picker::Picker;
use crate::gui::ribbon::tests::{five_sets, window_with};
use crate::gui::window::Window;
use crate::gui::window::tests::turn_until;
use crate::pattern::PatternFile;
use crate::session::own::read;

fn told(builder: &Builder) -> String {
    builder.imp().told.label().into()
}

/// The controls of a kind in the form, which is there anew after some changes.
fn in_form<T: IsA<gtk::Widget>>(builder: &Builder) -> Vec<T> {
    all::<T>(&*builder.imp().form)
}

fn press(builder: &Builder, label: &str, which: usize) {
    let buttons = in_form::<gtk::Button>(builder);
    let of = |b: &&gtk::Button| b.label().as_deref() == Some(label);
    buttons.iter().filter(of).nth(which).unwrap_or_else(|| panic!("no {label}")).emit_clicked();
}

/// Chooses a word in one of the form's choices.
fn pick(builder: &Builder, which: usize, word: &str) {
    let choices: Vec<gtk::Widget> = in_form::<gtk::Widget>(builder)
        .into_iter()
        .filter(|w| w.is::<gtk::DropDown>() || w.is::<Picker>())
        .collect();
    if let Some(picker) = choices[which].downcast_ref::<Picker>() {
        let at = picker.names().iter().position(|n| n == word);
        return picker.set_selected(at.unwrap_or_else(|| panic!("no {word}")) as u32);
    }
    let drop = choices[which].downcast_ref::<gtk::DropDown>().unwrap();
    let words = drop.model().and_downcast::<gtk::StringList>().unwrap();
    let at = (0..words.n_items()).find(|i| words.string(*i).as_deref() == Some(word));
    drop.set_selected(at.unwrap_or_else(|| panic!("no {word}")));
}

fn titles(window: &Window) -> Vec<String> {
    window.model().filters().borrow().iter().map(crate::session::filter::Filter::title).collect()
}

#[gtk::test]
fn a_pattern_is_made_by_choosing_kept_and_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, five_sets());
    let path = folder.path().join("config").join("own.patterns.toml");
    window.model().own().borrow_mut().path.clone_from(&path);
    let (dialog, builder) = builder::dialog(window.model(), &window, path.clone(), "");
    dialog.present();
    builder.add(None);
    assert!(told(&builder).contains("\"New pattern\" has no condition"), "{}", told(&builder));
    assert!(!builder.imp().keep.is_sensitive());
    let name = in_form::<gtk::Entry>(&builder).remove(0);
    name.set_text("Break points of the ad court");
    press(&builder, "Add a condition", 0);
    pick(&builder, 3, "ad");
    press(&builder, "Add a condition", 0);
    pick(&builder, 4, "break point");
    assert!(told(&builder).contains(" of 108 points in this match show"), "{}", told(&builder));
    assert!(builder.text().contains("court = \"ad\"\nbreak_point = true\n"), "{}", builder.text());
    builder.imp().keep.emit_clicked();
    assert!(!dialog.is_visible());
    assert_eq!(read(&path).unwrap(), builder.text());
    assert!(
        titles(&window).contains(&"Pattern: Break points of the ad court".into()),
        "{:?}",
        titles(&window)
    );
    let starters = |name: &str| titles(&window).iter().filter(|t| *t == name).count();
    assert_eq!(starters("Pattern: Break point"), 1, "the starters are still there");
    // The next start reads them.
    window.model().set_own(Vec::new());
    window.model().load_own(Some(path));
    turn_until("own patterns", || titles(&window).contains(&"Pattern: Break points of the ad court".into()));
    window.destroy();
}

#[gtk::test]
fn shots_one_after_another_are_chosen_and_negated() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, five_sets());
    let (dialog, builder) =
        builder::dialog(window.model(), &window, folder.path().join("own.patterns.toml"), "");
    builder.add(None);
    press(&builder, "Add a shot", 0);
    press(&builder, "Add a shot", 0);
    let count = || in_form::<gtk::DropDown>(&builder).len() + in_form::<Picker>(&builder).len();
    let before = count();
    press(&builder, "Add a condition", 2);
    assert_eq!(count(), before + 3);
    // won by; first shot; second shot, its striker, then key, is, value.
    pick(&builder, 3, "by the same player");
    pick(&builder, 5, "is not");
    pick(&builder, 6, "lob");
    in_form::<gtk::SpinButton>(&builder)[0].set_value(4.0);
    let want = "sequence = [{}, { within = 4, striker = \"same\", not = { stroke = \"lob\" } }]";
    assert!(builder.text().contains(want), "{}", builder.text());
    assert!(told(&builder).contains(" of 108 points"), "{}", told(&builder));
    dialog.destroy();
    window.destroy();
}

#[gtk::test]
fn text_and_form_follow_each_other_and_mistakes_are_told_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, five_sets());
    let path = folder.path().join("own.patterns.toml");
    let kept = "# mine\n[[pattern]]\nname = \"One\"\nserve = 1\n\n# two\n[[pattern]]\nname = \"Two\"\ncourt = \"ad\"   # left\n";
    std::fs::write(&path, kept).unwrap();
    let (dialog, builder) = builder::dialog(window.model(), &window, path.clone(), kept);
    dialog.present();
    let name = || in_form::<gtk::Entry>(&builder).first().map(|e| e.text().to_string());
    assert_eq!(name().as_deref(), Some("One"));
    builder.choose(1);
    assert_eq!(name().as_deref(), Some("Two"));
    in_form::<gtk::Entry>(&builder)[0].set_text("Too");
    assert!(
        builder.text().starts_with("# mine\n[[pattern]]\nname = \"One\"\nserve = 1\n\n# two\n"),
        "{}",
        builder.text()
    );
    // The text, and the form with it.
    let buffer = builder.imp().text.buffer();
    buffer.set_text(&kept.replace("\"Two\"", "\"Three\""));
    assert_eq!(name().as_deref(), Some("Three"));
    buffer.set_text(&kept.replace("court =", "curt ="));
    assert!(told(&builder).starts_with("own.patterns.toml, line 9, column 1: there is no key \"curt\" here"));
    assert!(told(&builder).ends_with("did you mean \"court\"?"), "{}", told(&builder));
    assert_eq!(name(), None, "the form waits");
    assert!(!builder.imp().keep.is_sensitive());
    assert!(builder.keep().is_err());
    assert_eq!(read(&path).unwrap(), kept, "a mistake is never kept");
    // Closing asks once.
    dialog.close();
    assert!(
        dialog.is_visible() && told(&builder).starts_with("Your changes are not saved"),
        "{}",
        told(&builder)
    );
    dialog.close();
    assert!(!dialog.is_visible());
    window.destroy();
}

#[gtk::test]
fn starters_are_copied_and_removed_and_what_only_text_holds_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, five_sets());
    let (dialog, builder) =
        builder::dialog(window.model(), &window, folder.path().join("own.patterns.toml"), "");
    let starter = PatternFile::starter().unwrap();
    for (n, p) in starter.patterns.iter().enumerate() {
        builder.add(Some(p));
        assert_eq!(builder.imp().at.get(), n);
        assert!(builder.imp().keep.is_sensitive(), "{}: {}", p.name, told(&builder));
    }
    let file = crate::pattern::parse(&builder.text(), "x").unwrap();
    assert_eq!(file.patterns, starter.patterns, "a copy means the same");
    window.model().set_own(file.patterns);
    let patterns = titles(&window).iter().filter(|t| t.starts_with("Pattern: ")).count();
    assert_eq!(patterns, starter.patterns.len(), "a copy takes the place of the one that is built in");
    let missed = starter.patterns.iter().position(|p| p.name == "Drop shot, a condition missed").unwrap();
    builder.choose(missed);
    let said: Vec<String> = in_form::<gtk::Label>(&builder).iter().map(|l| l.label().into()).collect();
    assert_eq!(said, ["The form cannot show every part of this pattern. Change it in the text of the file."]);
    for _ in 0..starter.patterns.len() {
        builder.remove();
    }
    assert!(!builder.text().contains("[[pattern]]"));
    assert!(builder.imp().keep.is_sensitive(), "{}", told(&builder));
    dialog.destroy();
    window.destroy();
}

#[gtk::test]
fn a_broken_file_is_told_of_at_the_start_and_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let window = window_with(&folder, five_sets());
    let path = folder.path().join("own.patterns.toml");
    let broken = "[[pattern]]\nname = \"One\"\nserve = 3\n";
    std::fs::write(&path, broken).unwrap();
    window.model().load_own(Some(path.clone()));
    turn_until("the message", || window.imp().message.text().contains("own.patterns.toml, line 3, column 9"));
    let (dialog, builder) = builder::dialog(window.model(), &window, path.clone(), broken);
    dialog.present();
    assert!(!builder.imp().keep.is_sensitive());
    builder.add(None);
    builder.change(|d| d.name = "other".into());
    assert_eq!(builder.text(), broken, "nothing is added to what cannot be read");
    dialog.close();
    assert_eq!(read(&path).unwrap(), broken);
    window.destroy();
}
