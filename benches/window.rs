//! The yardstick for the start of the window: a GTK window with one label and nothing else.

use gtk::prelude::*;

fn main() -> gtk::glib::ExitCode {
    // `cargo bench` itself passes `--bench`: then there is nothing to do.
    if std::env::args().any(|word| word == "--bench") {
        println!("run benches/against-mpv.py FOOTAGE");
        return gtk::glib::ExitCode::SUCCESS;
    }
    let app = gtk::Application::builder().application_id("invalid.example.Yardstick").build();
    app.connect_activate(|app| {
        let label = gtk::Label::new(Some("yardstick"));
        gtk::ApplicationWindow::builder().application(app).title("Yardstick").child(&label).build().present();
    });
    app.run()
}
