//! The program as a person runs it.

mod common;

use std::path::Path;

use common::{folder, run, text};

fn example(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name).display().to_string()
}

#[test]
fn the_starter_checks_clean_in_both_units_and_is_never_written_over() {
    let dir = folder("starter");
    for units in ["mm", "in"] {
        let file = dir.join(format!("{units}.toml")).display().to_string();
        let out = run(&["new", &file, "--units", units]);
        assert!(out.status.success(), "{}", text(&out.stderr));
        let check = run(&["check", &file]);
        assert_eq!(check.status.code(), Some(0), "{}{}", text(&check.stdout), text(&check.stderr));
        assert!(!text(&check.stdout).contains("to look at"), "{}", text(&check.stdout));
        let before = std::fs::read(&file).unwrap();
        let again = run(&["new", &file]);
        assert_eq!(again.status.code(), Some(2));
        assert!(text(&again.stderr).contains("exists already"));
        assert_eq!(std::fs::read(&file).unwrap(), before);
    }
}

#[test]
fn check_says_by_its_exit_status_whether_something_must_be_mended() {
    let dir = folder("status");
    let file = dir.join("a.toml");
    let name = file.display().to_string();
    std::fs::write(&file, design::starter(design::Units::Mm)).unwrap();
    assert_eq!(run(&["check", &name]).status.code(), Some(0));
    // Two tubes through one another.
    let crossed = r#"
[design]
name = "X"
[section.t]
shape = "round"
od = 38
wall = 2
material = "E355+N"
[point]
a = [0, -500, 0]
b = [0, 500, 0]
c = [-500, 0, 0]
d = [500, 0, 0]
[tube.one]
section = "t"
path = ["a", "b"]
[tube.two]
section = "t"
path = ["c", "d"]
"#;
    std::fs::write(&file, crossed).unwrap();
    let out = run(&["check", &name]);
    assert_eq!(out.status.code(), Some(1), "{}", text(&out.stdout));
    assert!(text(&out.stdout).contains("two runs into one without a joint"), "{}", text(&out.stdout));
    std::fs::write(&file, "[design]\nname = 3\n").unwrap();
    let out = run(&["check", &name]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("a.toml:2:8"), "{}", text(&out.stderr));
}

#[test]
fn what_can_not_be_read_is_said_and_nothing_else() {
    let dir = folder("unread");
    let missing = run(&["check", &dir.join("none.toml").display().to_string()]);
    assert_eq!(missing.status.code(), Some(2));
    assert!(text(&missing.stderr).contains("can't read"), "{}", text(&missing.stderr));
    let latin = dir.join("latin.toml");
    std::fs::write(&latin, b"[design]\nname = \"caf\xe9\"\n").unwrap();
    let out = run(&["shape", &latin.display().to_string()]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("line 2: not UTF-8"), "{}", text(&out.stderr));
    assert!(out.stdout.is_empty());
}

#[test]
fn every_verb_speaks_json() {
    let gorse = example("gorse.toml");
    for verb in ["shape", "cutting", "stock", "strength", "check"] {
        let out = run(&[verb, &gorse, "--json"]);
        assert!(out.status.code().is_some_and(|c| c < 2), "{verb}: {}", text(&out.stderr));
        let value: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap_or_else(|e| panic!("{verb}: {e}"));
        assert!(value.is_object(), "{verb}");
    }
    for list in ["--materials", "--sections"] {
        let out = run(&["shape", list, "--json"]);
        let value: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
        assert!(value.as_array().is_some_and(|a| a.len() > 5), "{list}");
    }
}

#[test]
fn a_slip_in_a_piece_s_name_is_met_with_the_right_one() {
    let out = run(&["cutting", &example("gorse.toml"), "--piece", "main_hop"]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("did you mean `main_hoop`?"), "{}", text(&out.stderr));
    let out = run(&["cutting", &example("gorse.toml"), "--piece", "main_hoop"]);
    assert!(text(&out.stdout).contains("over long points"), "{}", text(&out.stdout));
}

#[test]
fn help_has_an_example_for_each_verb() {
    for verb in ["new", "shape", "cutting", "stock", "strength", "check", "packet"] {
        let out = text(&run(&[verb, "--help"]).stdout);
        assert!(out.contains("Example") && out.contains(&format!("tubewright {verb}")), "{verb}: {out}");
    }
}

/// A bad skin is told with its name, its file and what is wrong, and the rest of the review still comes.
#[test]
fn bad_mesh_files_are_told_and_the_rest_still_comes() {
    let dir = folder("skins");
    let body = "\n[skin.nose]\nfile = \"body/nose.stl\"\nunit = \"mm\"\n";
    let file = dir.join("a.toml");
    std::fs::write(&file, design::starter(design::Units::Mm) + body).unwrap();
    let name = file.display().to_string();
    let check = || {
        let out = run(&["check", &name]);
        assert_eq!(out.status.code(), Some(1), "{}", text(&out.stderr));
        let out = text(&out.stdout);
        assert!(out.contains("pieces") && out.contains("skin nose can't be used: body/nose.stl: "), "{out}");
        out
    };
    assert!(check().contains("no such file"));
    std::fs::create_dir_all(dir.join("body/nose.stl")).unwrap();
    assert!(check().contains("it is no file"));
    std::fs::remove_dir(dir.join("body/nose.stl")).unwrap();
    let mut stl = vec![0u8; 84];
    stl[83] = 0xff;
    std::fs::write(dir.join("body/nose.stl"), &stl).unwrap();
    assert!(check().contains("claims 4278190080 triangles"));
    stl[83] = 0;
    std::fs::write(dir.join("body/nose.stl"), &stl).unwrap();
    assert!(check().contains("it holds no triangle"));
    #[cfg(unix)]
    {
        std::fs::remove_file(dir.join("body/nose.stl")).unwrap();
        std::os::unix::fs::symlink(example("gorse/body.obj"), dir.join("body/nose.stl")).unwrap();
        assert!(check().contains("a link out of the design's folder"));
    }
    // A good one, of whatever format its ending claims.
    std::fs::remove_file(dir.join("body/nose.stl")).unwrap();
    std::fs::copy(example("gorse/body.obj"), dir.join("body/nose.stl")).unwrap();
    let out = run(&["shape", &name, "--json"]);
    let value: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(value["skins"][0]["triangles"], 640);
    assert!(value["skins"][0]["tubes"][0]["distance"].is_f64());
}

/// The packet says which mesh files it rests on.
#[test]
fn the_packet_names_the_files_of_skins_with_their_hashes() {
    let dir = folder("hashes");
    let out = run(&["packet", &example("gorse.toml"), "--out", &dir.display().to_string()]);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let json: serde_json::Value = serde_json::from_slice(&std::fs::read(dir.join("packet.json")).unwrap()).unwrap();
    let skins = json["design"]["skins"].as_array().unwrap();
    assert_eq!(skins.len(), 1);
    assert_eq!(skins[0]["file"], "gorse/body.obj");
    assert_eq!(skins[0]["sha256"].as_str().map(str::len), Some(64));
    assert_eq!(json["skins"].as_array().map(Vec::len), Some(3));
    // And what it says of strength, collapse not run.
    let cases = json["strength"]["cases"].as_array().unwrap();
    // Six loads, and eight attitudes at rest.
    assert_eq!(cases.len(), 6 + 8);
    assert!(cases.iter().all(|c| c["residual"].as_f64().unwrap() < 1e-9 && c["crushed"].is_null()));
    assert_eq!(json["strength"]["depth"], "full");
    assert!(json["strength"]["rig"]["torsion"].as_f64().unwrap() > 0.0);
    assert!(json["not_checked"].as_array().unwrap().iter().all(|n| n != "strength"));
}

/// Tumbles get into the packet where they are asked for, the same ones each time.
#[test]
fn a_packet_with_tumbles_is_the_same_again() {
    let made = |name: &str| {
        let dir = folder(name);
        let out = run(&["packet", &example("wren.toml"), "--tumbles", "40", "--out", &dir.display().to_string()]);
        assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
        std::fs::read(dir.join("packet.json")).unwrap()
    };
    let first = made("tumbles");
    let json: serde_json::Value = serde_json::from_slice(&first).unwrap();
    assert_eq!(json["rollover"]["tumbled"]["tumbles"]["runs"], 40);
    assert!(first == made("tumbles_again"), "two packets of one design and seed differ");
}

#[test]
fn stance_tells_heights_loads_and_obstacles_and_says_what_it_lacks() {
    let out = run(&["stance", &example("gorse.toml")]);
    assert!(out.status.success(), "{}", text(&out.stderr));
    let said = text(&out.stdout);
    for word in
        ["laden: ", "static stability factor T/2h", "ramp breakover", "road_hump", "rail_over_ground", "licensed"]
    {
        assert!(said.contains(word), "{word}: {said}");
    }
    assert!(!said.contains("NaN"));
    let out = run(&["stance", &example("wren.toml"), "--json"]);
    let json: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    let stances = json["stance"]["stances"].as_array().expect("stances");
    assert_eq!(stances.len(), 3);
    assert!(stances[0]["loads"]["stability_factor"].as_f64().expect("a number") > 1.0);
    // Without wheels: said, and nothing else lost.
    let dir = folder("no_wheels");
    let file = dir.join("a.toml").display().to_string();
    std::fs::write(&file, design::starter(design::Units::Mm)).unwrap();
    let out = run(&["stance", &file]);
    assert!(out.status.success());
}

/// The words of a line, however far apart.
fn words(line: &str) -> Vec<String> {
    line.split_whitespace().map(str::to_owned).collect()
}

#[test]
fn check_says_how_near_the_loads_come_to_their_limits() {
    let said = text(&run(&["check", &example("gorse.toml")]).stdout);
    let line = said.lines().find(|l| l.contains("nearest to its limit of use")).expect("it is said");
    assert!(line.starts_with("14 loads worked out, none over a limit"), "{line}");
    assert!(line.contains("front_hoop under roof_corner"), "{line}");
    // Without loads there is nothing to say.
    let file = folder("unloaded").join("a.toml").display().to_string();
    std::fs::write(&file, design::starter(design::Units::Mm)).unwrap();
    assert!(!text(&run(&["check", &file]).stdout).contains("limit of use"));
}

#[test]
fn strength_tells_cases_rigs_and_advice_in_the_units_of_the_file() {
    for (name, force, moment, stiffness, load) in [
        ("gorse.toml", "force N", "bending N m", "N m/°", "roof_corner"),
        ("wren.toml", "force lbf", "bending lbf ft", "lbf ft/°", "hoop_down"),
    ] {
        let out = run(&["strength", &example(name)]);
        assert!(out.status.success(), "{}", text(&out.stderr));
        let said = text(&out.stdout);
        for word in [
            stiffness,
            load,
            "it is",
            "moves most",
            "most used",
            "buckles at",
            "natural frequencies",
            "tubes to add",
            "missed least",
            "--details",
            "licensed engineer",
        ] {
            assert!(said.contains(word), "{name}, {word}: {said}");
        }
        assert!(!said.contains("NaN") && !said.contains("out of balance"), "{said}");
        // One load alone has the same figures, and everything of it.
        let alone = text(&run(&["strength", &example(name), "--load", load]).stdout);
        let whole = text(&run(&["strength", &example(name), "--details"]).stdout);
        for word in [force, moment, "held at", "out of balance", "tubes to add", "licensed engineer"] {
            assert!(alone.contains(word) && whole.contains(word), "{name}, {word}: {alone}");
        }
        assert!(!alone.contains("natural frequencies"), "{alone}");
        let first = |s: &str| s.lines().find(|l| l.trim_start().starts_with(load)).map(words);
        assert_eq!(first(&alone), first(&said));
        let line = |s: &str| s.lines().skip_while(|l| !l.starts_with(load)).nth(1).map(str::to_owned);
        assert!(line(&alone).is_some_and(|l| l.contains("moves most")), "{alone}");
        assert_eq!(line(&alone), line(&whole));
    }
    let out = run(&["strength", &example("gorse.toml"), "--load", "bmp"]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("did you mean `bump`?"), "{}", text(&out.stderr));
    // Without a load: said, and the rest still comes.
    let file = folder("no_load").join("a.toml").display().to_string();
    std::fs::write(&file, design::starter(design::Units::Mm)).unwrap();
    let out = run(&["strength", &file]);
    assert!(out.status.success());
    assert!(text(&out.stdout).contains("no load is given") && text(&out.stdout).contains("natural frequencies"));
}

/// A curve from a file, told by number of bends and written down as a tube; the file keeps its comments.
#[test]
fn a_curve_becomes_a_tube() {
    let dir = folder("curve");
    let file = dir.join("a.toml");
    let design = "# ours\n[design]\nname = \"x\" # the name\n[section.t]\nshape = \"round\"\nod = 40\nwall = 2\nmaterial = \"E355\"\n\
                  [die.d]\nod = 40\nradius = 120\ngrip = 100\nbetween = 50\n[curve.roof]\nfile = \"lines/roof.csv\" # from the wall\n";
    std::fs::write(&file, design).unwrap();
    let name = file.display().to_string();
    let out = run(&["check", &name]);
    assert!(
        text(&out.stdout).contains("curve roof can't be used: lines/roof.csv: there is no such file"),
        "{}",
        text(&out.stdout)
    );
    std::fs::create_dir_all(dir.join("lines")).unwrap();
    std::fs::write(dir.join("lines/roof.csv"), "0;0;0\n400;0;x\n").unwrap();
    let out = run(&["shape", &name, "--curve", "roof"]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("lines/roof.csv: line 2: `x` is no number"), "{}", text(&out.stderr));
    std::fs::write(dir.join("lines/roof.csv"), "x;y;z\n0;0;0\n400;0;150\n800;0;200\n1200;0;150\n1600;0;0\n").unwrap();
    let out = run(&["shape", &name, "--curve", "roof", "--within", "1/4 in"]);
    let told = text(&out.stdout);
    assert!(
        out.status.success() && told.contains("Curve roof by number of bends") && told.contains("tolerance 6.35 mm"),
        "{told}"
    );
    let json = run(&["shape", &name, "--curve", "roof", "--json", "--bends", "2"]);
    let value: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    assert_eq!(value["bent"]["answer"]["tries"][2]["bends"], 2);
    assert_eq!(value["bent"]["bends"].as_array().unwrap().len(), 2);
    assert_eq!(std::fs::read_to_string(&file).unwrap(), design, "nothing is written unasked");
    for (asked, words) in [
        (vec!["--curve", "rof"], "did you mean `roof`?"),
        (vec!["--curve", "roof", "--die", "e"], "there is no die `e`"),
        (vec!["--curve", "roof", "--within", "3 kg"], "`--within 3 kg`"),
        (vec!["--curve", "roof", "--within", "0"], "more than 0"),
        (vec!["--curve", "roof", "--write", "--tube", "1 a"], "can't be the name of a point"),
        (vec!["--curve", "roof", "--write", "--section", "s"], "section `s`"),
        (vec!["--write"], "--curve"),
    ] {
        let out = run(&[vec!["shape", &name], asked.clone()].concat());
        let err = text(&out.stderr);
        assert!(out.status.code() == Some(2) && err.contains(words), "{asked:?}: {err}");
    }
    let out = run(&["shape", &name, "--curve", "roof", "--write", "--tube", "crown"]);
    assert!(text(&out.stdout).contains("as tube crown: "), "{}", text(&out.stdout));
    let after = std::fs::read_to_string(&file).unwrap();
    assert!(
        after.starts_with("# ours\n[design]\nname = \"x\" # the name\n") && after.contains("# from the wall"),
        "{after}"
    );
    assert!(after.contains("[tube.crown]\nsection = \"t\"\npath = [\"crown_start\", \"crown_1\""), "{after}");
    let out = run(&["shape", &name, "--json"]);
    let value: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!(value["curves"][0]["followed"][0]["tube"], "crown");
}
