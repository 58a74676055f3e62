//! Input that can't be worked with, through the program: it is told in words, and the other answers still come.

use std::path::{Path, PathBuf};
use std::process::Command;

/// Four rails, a mass and a driver.
const FRAME: &str = r#"
[design]
name = "Sedge"
units = "mm"
[section.t]
shape = "round"
od = 40
wall = 3
material = "E355"
[point]
a = [1000, 500, 0]
b = [-1000, 500, 0]
c = [1000, 500, 1300]
d = [-1000, 500, 1300]
[tube.low]
section = "t"
path = ["a", "b"]
mirror = true
[tube.top]
section = "t"
path = ["c", "d"]
mirror = true
[mass.load]
at = [0, 0, 100]
kg = 400
[occupant.driver]
hip = [0, 0, 100]
stature = 1750
kg = 75
"#;
const FRONT: &str = "[wheel.front]\nat = [1200, 700, 0]\nradius = 300\nwidth = 180\nkg = 15\nmirror = true\n";
const REAR: &str = "[wheel.rear]\nat = [-1200, 700, 0]\nradius = 300\nwidth = 180\nkg = 15\nmirror = true\n";
const NOSE: &str = "[skin.nose]\nfile = \"nose.stl\"\nunit = \"mm\"\n";

/// A folder of this test's own.
fn folder(name: &str) -> PathBuf {
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join("bad_input").join(name);
    let _ = std::fs::remove_dir_all(&dir);
    std::fs::create_dir_all(&dir).unwrap();
    dir
}

/// A verb's answer as JSON. A design that is read is answered, whatever there is to mend.
fn ask(dir: &Path, verb: &str) -> serde_json::Value {
    let file = dir.join("a.toml");
    let out = Command::new(env!("CARGO_BIN_EXE_tubewright"))
        .arg(verb)
        .arg(file)
        .arg("--json")
        .output()
        .expect("the program starts");
    assert!(out.status.code().is_some_and(|c| c < 2), "{verb}: {}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap_or_else(|e| panic!("{verb}: {e}"))
}

/// What `check` finds in a design, each finding with its help.
fn found(dir: &Path, text: &str) -> Vec<String> {
    std::fs::write(dir.join("a.toml"), text).unwrap();
    let check = ask(dir, "check");
    let list = check["findings"].as_array().expect("findings");
    list.iter().map(|f| format!("{} ({})", f["what"].as_str().unwrap(), f["help"].as_str().unwrap_or(""))).collect()
}

fn says(found: &[String], words: &str) {
    assert!(found.iter().any(|f| f.contains(words)), "{words}: {found:#?}");
}

/// The answers that do not depend on what is bad: pieces and their mass.
fn pieces_are_there(dir: &Path, count: usize) {
    let cutting = ask(dir, "cutting");
    assert_eq!(cutting["pieces"].as_array().map(Vec::len), Some(count));
    assert!(ask(dir, "shape")["frame"]["mass"].as_f64().is_some_and(|m| m > 1.0));
}

fn stability(dir: &Path) -> Option<f64> {
    ask(dir, "stance")["stance"]["stances"][0]["loads"]["stability_factor"].as_f64()
}

fn attitudes(dir: &Path) -> usize {
    ask(dir, "rollover")["over"]["hard"]["rollover"]["attitudes"].as_array().map_or(0, Vec::len)
}

#[test]
fn without_wheels_there_is_no_ground_but_it_rolls_over_on_its_tubes() {
    let dir = folder("no_wheels");
    says(
        &found(&dir, FRAME),
        "there are no wheels, so there is no ground (draw the wheels, or put the frame on stands",
    );
    assert_eq!(stability(&dir), None);
    assert!(attitudes(&dir) >= 4);
    pieces_are_there(&dir, 4);
}

#[test]
fn one_axle_holds_no_ground_but_it_rolls_over() {
    let dir = folder("one_axle");
    says(&found(&dir, &format!("{FRAME}{FRONT}")), "two wheels or fewer hold no ground (draw the other wheels");
    assert_eq!(stability(&dir), None);
    assert!(attitudes(&dir) >= 4);
    pieces_are_there(&dir, 4);
}

#[test]
fn a_centre_of_gravity_outside_everything_hard_rests_nowhere_but_has_loads() {
    let dir = folder("centre");
    let text = format!("{FRAME}{FRONT}{REAR}");
    let high = text.replace("at = [0, 0, 100]", "at = [0, 0, 9000]");
    says(
        &found(&dir, &high),
        "the centre of gravity lies outside of everything hard, so it rests nowhere (check the mass",
    );
    assert_eq!(attitudes(&dir), 0);
    // Half the track over the height of the centre: 700 / h.
    let factor = stability(&dir).expect("loads");
    assert!(factor > 0.0 && factor < 0.2, "{factor}");
    pieces_are_there(&dir, 4);
    std::fs::write(dir.join("a.toml"), &text).unwrap();
    assert!(attitudes(&dir) >= 4 && stability(&dir).is_some_and(|f| f > 1.0));
}

#[test]
fn an_occupant_outside_the_frame_is_told_and_lies_on_the_ground_on_that_side() {
    let dir = folder("occupant");
    let text = format!("{FRAME}{FRONT}{REAR}").replace("hip = [0, 0, 100]", "hip = [0, 1500, 100]");
    let list = found(&dir, &text);
    says(&list, "driver sits wholly outside the frame");
    // Two attitudes lie on that side, told apart by a number.
    assert!(
        list.iter()
            .any(|f| f.starts_with("on its left side") && f.contains("the upper arm of driver touches hard ground")),
        "{list:#?}"
    );
    assert!(attitudes(&dir) >= 4 && stability(&dir).is_some());
    pieces_are_there(&dir, 4);
}

#[test]
fn an_opening_that_is_not_flat_is_told_and_the_flat_one_still_judged() {
    let dir = folder("opening");
    let bent = "[opening.bent]\nedge = [\"c\", \"d\", \"b~\", \"c~\"]\n";
    let side = "[opening.side]\nedge = [\"a\", \"b\", \"d\", \"c\"]\n";
    let list = found(&dir, &format!("{FRAME}{FRONT}{REAR}{bent}{side}"));
    says(
        &list,
        "opening bent is not flat: a person passes it as it lies in the plane that fits best, and a corner lies off that (divide it into flat openings",
    );
    let over = ask(&dir, "rollover");
    let rooms = over["over"]["hard"]["rooms"].as_array().expect("attitudes");
    assert!(rooms.len() >= 4);
    let mut whole = 0;
    for room in rooms {
        // As large as it is drawn, 2 m by 1.3 m, where the ground leaves all of it.
        let side = room["ways"].as_array().expect("ways out").iter().find(|w| w["opening"] == "side");
        let area = side.and_then(|w| w["area"].as_f64()).expect("an area");
        assert!(area < 2.6 + 1e-9, "{area}");
        whole += usize::from((area - 2.6).abs() < 1e-9);
    }
    assert!(whole > 0);
    assert!(stability(&dir).is_some());
    pieces_are_there(&dir, 4);
}

#[test]
fn an_empty_skin_is_told_and_what_was_not_held_against_it() {
    let dir = folder("empty");
    std::fs::write(dir.join("nose.stl"), "").unwrap();
    let list = found(&dir, &format!("{FRAME}{FRONT}{REAR}{NOSE}"));
    says(&list, "skin nose can't be used: nose.stl: the file is empty (mend the file or its name");
    says(&list, "not counted in clearances, ramp angles and obstacles, without their meshes: nose");
    assert!(attitudes(&dir) >= 4 && stability(&dir).is_some());
    pieces_are_there(&dir, 4);
}

type Corner = [f32; 3];

/// A binary STL: 80 bytes of header, a count, and for each triangle a normal, three corners and two bytes.
fn stl(triangles: &[[Corner; 3]]) -> Vec<u8> {
    let mut out = vec![0; 80];
    out.extend((triangles.len() as u32).to_le_bytes());
    for t in triangles {
        out.extend([0; 12]);
        t.as_flattened().iter().for_each(|x| out.extend(x.to_le_bytes()));
        out.extend([0; 2]);
    }
    out
}

#[test]
fn a_mesh_with_holes_is_told_and_its_distances_still_come() {
    let dir = folder("holes");
    // A box over the rails without two of its faces that meet at an edge.
    let v = |i: usize| [[-100., 100.][i >> 2], [-100., 100.][i >> 1 & 1], [1500., 1700.][i & 1]];
    let faces = [[0, 1, 3], [0, 3, 2], [4, 6, 7], [4, 7, 5], [0, 4, 5], [0, 5, 1], [2, 3, 7], [2, 7, 6]];
    std::fs::write(dir.join("nose.stl"), stl(&faces.map(|f| f.map(v)))).unwrap();
    let list = found(&dir, &format!("{FRAME}{FRONT}{REAR}{NOSE}hard = true\n"));
    says(&list, "the mesh of skin nose has edges that are not between two triangles of one side: 8 open");
    let skin = &ask(&dir, "shape")["skins"][0];
    assert_eq!(skin["edges"]["open"], 8);
    // From the box's corner (y 100, z 1500) to the axis of the top rail (y 500, z 1300), less its radius.
    let least = skin["tubes"].as_array().unwrap().iter().map(|t| t["distance"].as_f64().unwrap());
    let (least, wanted) = (least.fold(f64::INFINITY, f64::min), 0.4f64.hypot(0.2) - 0.02);
    assert!((least - wanted).abs() < 1e-7, "{least}");
    assert!(attitudes(&dir) >= 4 && stability(&dir).is_some());
    pieces_are_there(&dir, 4);
}

#[test]
fn a_million_triangles_are_reviewed_whole() {
    let dir = folder("million");
    let at = |i: u32, j: u32| {
        let height = 1500.0 + 20.0 * (i as f32 * 0.05).sin() * (j as f32 * 0.07).cos();
        [-1000.0 + 2.0 * i as f32, -500.0 + 2.0 * j as f32, height]
    };
    let squares =
        (0..1000).flat_map(|i| (0..500).map(move |j| [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)]));
    let triangles: Vec<_> = squares.flat_map(|[a, b, c, d]| [[a, b, c], [a, c, d]]).collect();
    std::fs::write(dir.join("nose.stl"), stl(&triangles)).unwrap();
    // One run that works everything out: the file is large.
    std::fs::write(dir.join("a.toml"), format!("{FRAME}{FRONT}{REAR}{NOSE}gap = 400\n")).unwrap();
    let check = ask(&dir, "check");
    assert_eq!(check["summary"]["pieces"], 4);
    let list = check["findings"].as_array().unwrap();
    let find = |words: &str| list.iter().find(|f| f["what"].as_str().unwrap().contains(words)).expect(words);
    // All round the rim: 2 × (1000 + 500).
    find("the mesh of skin nose has edges that are not between two triangles of one side: 3000 open");
    // Its troughs at 1480 mm over the rail's crown at 1320 mm; the grid misses the trough by at most
    // 20 × (0.05² + 0.07²) / 8 mm.
    let near = find("comes nearer to nose than its gap")["measured"]["value"].as_f64().unwrap();
    assert!(near > 0.16 - 1e-6 && near < 0.16 + 2e-5, "{near}");
    std::fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn hard_parts_that_enclose_no_room_are_told_and_the_mass_is_still_there() {
    let dir = folder("flat");
    let load = "[design]\nname = \"Sedge\"\nunits = \"mm\"\n[mass.load]\nat = [0, 0, 0]\nkg = 400\n";
    let nose = format!("{load}{NOSE}hard = true\n");
    let told = |words: &str, list: Vec<String>| {
        says(&list, words);
        says(&list, "there are no wheels, so there is no ground");
        assert_eq!(attitudes(&dir), 0);
        let laden = ask(&dir, "shape")["laden"]["mass"].as_f64().unwrap();
        assert!((laden - 400.0).abs() < 1e-9, "{laden}");
    };
    // All in one plane.
    let flat = [[500., 500., 0.], [500., -500., 0.], [-500., 0., 0.]];
    std::fs::write(dir.join("nose.stl"), stl(&[flat])).unwrap();
    told("everything hard lies in one plane: nothing can go over (add tubes, wheels or masses", found(&dir, &nose));
    // All on one line.
    std::fs::write(dir.join("nose.stl"), stl(&[[[500., 0., 0.], [0., 0., 0.], [-500., 0., 0.]]])).unwrap();
    let list = found(&dir, &nose);
    says(&list, "skin nose can't be used: nose.stl: ");
    told("nothing hard to stand on: give tubes, wheels or masses with extents", list);
    // Points alone.
    told("nothing hard to stand on", found(&dir, load));
}

/// The frame's ends joined, so that it is one piece.
const CROSS: &str = "[tube.up]\nsection = \"t\"\npath = [\"a\", \"c\"]\nmirror = true\n[tube.across]\nsection = \"t\"\npath = [\"c\", \"c~\"]\n[tube.back]\nsection = \"t\"\npath = [\"d\", \"d~\"]\n[tube.rear]\nsection = \"t\"\npath = [\"b\", \"d\"]\nmirror = true\n";
const HELD: &str = "held = [{ at = \"a\" }, { at = \"a~\" }, { at = \"b\" }, { at = \"b~\" }]\n";

#[test]
fn sets_of_loads_without_their_places() {
    let dir = folder("sets");
    let sets = "[strength]\nmass = 1000\nsets = [\"student-frame\", \"touring-cage\", \"work-machine\"]\n";
    let found = found(&dir, &format!("{FRAME}{CROSS}{sets}"));
    says(&found, "touring-cage: main rollbar, sideways");
    says(&found, "no tube has the role `main hoop` (give the hoop behind the seat the `role` \"main hoop\"");
    says(&found, "belt anchors is not checked");
    pieces_are_there(&dir, 10);
}

#[test]
fn loads_without_support_and_very_many_of_them() {
    let dir = folder("loads");
    let push = |k: usize, held: &str| {
        format!("[load.l{k}]\nforces = [{{ at = \"c\", force = [{}, 0, -100] }}]\n{held}", k % 100)
    };
    let many: String = (0..999).map(|k| push(k, HELD)).collect();
    let found = found(&dir, &format!("{FRAME}{CROSS}{many}{}", push(999, "")));
    says(&found, "load l999 is not checked: nothing holds it");
    says(&found, "of 999 loads only the 24 with the most used tubes");
    pieces_are_there(&dir, 10);
    assert_eq!(ask(&dir, "strength")["strength"]["cases"].as_array().map(Vec::len), Some(999));
}

#[test]
fn tubes_of_no_or_wildly_different_stiffness() {
    let dir = folder("stiffness");
    let load = format!("[load.l]\nforces = [{{ at = \"c\", force = [0, 100, -100] }}]\n{HELD}");
    let soft = "[material.soft]\nyield = 1\ntensile = 2\nelongation = 20\nsource = \"none\"\nyoungs = 1e-9\n[section.s]\nshape = \"round\"\nod = 40\nwall = 3\nmaterial = \"soft\"\n";
    let brace = "[tube.brace]\nsection = \"s\"\npath = [\"a\", \"c~\"]\n";
    let text = format!("{FRAME}{CROSS}{load}{soft}{brace}");
    let file = dir.join("a.toml");
    // Next to no stiffness is refused where it is written.
    std::fs::write(&file, &text).unwrap();
    let out = Command::new(env!("CARGO_BIN_EXE_tubewright")).arg("strength").arg(&file).output().expect("it starts");
    let words = String::from_utf8_lossy(&out.stderr);
    assert!(out.status.code() == Some(2) && words.contains("`youngs` of material `soft` is 1e-9 MPa"), "{words}");
    // A wire of rubber between steel tubes is worked out, and balances.
    let wire = text
        .replace("1e-9", "1000")
        .replace("od = 40\nwall = 3\nmaterial = \"soft\"", "od = 6\nwall = 0.5\nmaterial = \"soft\"");
    std::fs::write(&file, wire).unwrap();
    let strength = ask(&dir, "strength");
    for case in strength["strength"]["cases"].as_array().unwrap() {
        assert!(case["residual"].as_f64().is_some_and(|r| r < 1e-6), "{case}");
    }
    pieces_are_there(&dir, 11);
}
