//! `changeover library`, from outside.

mod ask;

use ask::{changeover, said, write};

#[test]
fn records_are_listed_with_what_is_missing() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir_all(folder.path().join("club/juniors")).unwrap();
    write(&folder.path().join("club/juniors"));
    let told = said(folder.path(), &["library", "club"]);
    let path = std::path::Path::new("club/juniors/final.points.json").display().to_string();
    let names = "=Holt <b> \"x\" – Okafor --> &amp;";
    assert!(told.starts_with(&format!("{path}\n  {names} · 2–0, 15–0 · 12 points, 8 with tags\n")), "{told}");
    assert!(told.contains("\n  footage missing: "), "{told}");
    assert_eq!(said(folder.path(), &["library", "club", "--find", "holt missing"]), told);
    assert_eq!(said(folder.path(), &["library", "club", "--find", "holt nobody"]), "");
    let json: serde_json::Value =
        serde_json::from_str(&said(folder.path(), &["library", "club", "--json"])).unwrap();
    assert_eq!((&json[0]["record"], &json[0]["players"]), (&path.into(), &names.into()));
    assert_eq!(json[0]["missing"][0]["what"], "footage");
    assert_eq!(said(folder.path(), &["library", ".", "--find", "nothing", "--json"]), "[]\n");
}

#[test]
fn what_cannot_be_read_is_named_and_the_rest_is_listed() {
    let folder = tempfile::tempdir().unwrap();
    write(folder.path());
    std::fs::write(folder.path().join("broken.points.json"), "{").unwrap();
    let out = changeover(folder.path()).args(["library", "."]).assert().code(1);
    let of = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    assert!(of(&out.get_output().stdout).contains("final.points.json\n"));
    assert!(of(&out.get_output().stderr).contains("broken.points.json"));
    let out = changeover(folder.path()).args(["library", "nowhere"]).assert().code(1);
    assert_eq!(of(&out.get_output().stderr), "changeover: nowhere is not there: name folders with records\n");
    let out = changeover(folder.path()).args(["library", "final.points.json"]).assert().code(1);
    assert_eq!(
        of(&out.get_output().stderr),
        "changeover: final.points.json is no folder: name folders with records\n"
    );
}
