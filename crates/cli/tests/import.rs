//! `new --from`: a drawing as a design, as a person runs it.

mod common;

use std::path::Path;

use common::{folder, run, text};

fn put(dir: &Path, name: &str, text: &str) -> String {
    let file = dir.join(name);
    std::fs::write(&file, text).unwrap();
    file.display().to_string()
}

#[test]
fn two_tables_with_the_shop_of_another_design() {
    let dir = folder("tables");
    let shop = put(&dir, "shop.toml", &design::starter(design::Units::Mm));
    let points = put(&dir, "p.csv", "name,x,y,z\nfl,900,300,0\nfr,900,-300,0\nrl,-900,300,0\nrr,-900,-300,0\n");
    let lines = put(&dir, "l.csv", "from,to,section\nfl,rl,rail\nrr,fr,rail\nfl,fr,brace\nrl,rr,brace\n");
    let new = dir.join("new.toml").display().to_string();
    let out =
        run(&["new", &new, "--from", &points, "--from", &lines, "--with", &shop, "--unit", "mm", "--forward", "x"]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    assert!(text(&out.stdout).contains("3 tubes, 1 of them with a twin"), "{}", text(&out.stdout));
    let made = std::fs::read_to_string(&new).unwrap();
    // The shop came along, its frame did not; the names that the table gives are kept.
    assert!(
        made.contains("[die.hoop45]") && !made.contains("main_hoop") && made.contains("fl = [900, 300, 0]"),
        "{made}"
    );
    let check = run(&["check", &new]);
    assert!(matches!(check.status.code(), Some(0 | 1)), "{}", text(&check.stderr));
    let again = run(&["new", &new, "--from", &points]);
    assert_eq!(again.status.code(), Some(2));
    assert_eq!(std::fs::read_to_string(&new).unwrap(), made, "nothing is written over");
}

#[test]
fn obj_in_inches_with_sizes_and_bends_as_json() {
    let dir = folder("obj");
    let obj = put(&dir, "bar.obj", "g hoop\nv 0 0 0\nv 0 30 0\nv 20 40 0\nl 1 2 3\n");
    let new = dir.join("new.toml").display().to_string();
    let size = "hoop=1.75 x 0.095 in";
    let args =
        ["new", &new, "--from", &obj, "--unit", "in", "--up", "y", "--size", size, "--bend", "hoop=6 in", "--json"];
    let out = run(&args);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let told: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!((&told["tubes"], &told["curves"]), (&1.into(), &0.into()), "{told}");
    let made = std::fs::read_to_string(&new).unwrap();
    assert!(made.contains("units = \"in\"") && made.contains("radius = 6\n") && made.contains("[0, 0, 30]"), "{made}");
}

#[test]
fn what_is_wrong_is_told_and_nothing_is_written() {
    let dir = folder("wrong");
    let new = dir.join("new.toml").display().to_string();
    let table = put(&dir, "t.csv", "x1,y1,z1,x2,y2,z2\n0,0,0,1,b,2\n");
    let obj = put(&dir, "t.obj", "v 0 0 0\nl 1 7\n");
    let step = put(&dir, "t.step", "ISO-10303-21;\n");
    let dxf = put(&dir, "t.dxf", "0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nx\n");
    let good = put(&dir, "g.csv", "x1,y1,z1,x2,y2,z2\n0,0,0,900,0,0\n");
    for (args, words) in [
        (vec!["--from", &table], vec!["t.csv:2", "`b` is no number"]),
        (vec!["--from", &obj], vec!["t.obj", "line 2", "no vertex 7"]),
        (vec!["--from", &step], vec!["t.step", ".dxf"]),
        (vec!["--from", &dxf], vec!["t.dxf", "line 8"]),
        (vec!["--from", "nowhere.dxf"], vec!["nowhere.dxf"]),
        (vec!["--from", &good, "--size", "hoop=40 x 2"], vec!["`hoop`"]),
        (vec!["--from", &good, "--bend", "tube=3 parsec"], vec!["--bend", "parsec"]),
        (vec!["--from", &good, "--up", "w"], vec!["x, y or z"]),
        (vec!["--from", &good, "--within", "-1"], vec!["tolerance"]),
        (vec!["--from", &good, "--from", &dxf], vec!["only tables"]),
        (vec!["--unit", "mm"], vec!["--from"]),
    ] {
        let args: Vec<&str> = ["new", &new].into_iter().chain(args).collect();
        let out = run(&args);
        assert_eq!(out.status.code(), Some(2), "{args:?}: {}", text(&out.stdout));
        for w in words {
            assert!(text(&out.stderr).contains(w), "{args:?}: {}", text(&out.stderr));
        }
        assert!(!Path::new(&new).exists());
    }
}
