//! The built-in sets can be read, say what they must, and name their sources' figures.

use design::rules::{Ask, Known, read};
use rules::sets::{BUILT_IN, built_in};

#[test]
fn every_built_in_set_is_read() {
    for (name, text) in BUILT_IN {
        let set = read(text).unwrap_or_else(|p| panic!("{name}\n{}", design::render(&p, name, text)));
        assert!(!set.rules.is_empty() && !set.edition.is_empty() && !set.whose.is_empty());
        // Every role is used, and every rule says what it wants.
        assert!(set.rules.iter().all(|r| r.says.is_some()), "{name}");
        assert!(
            set.rules.iter().all(|r| r.known != Known::Own),
            "{name}: a built-in figure has a source or is from memory"
        );
        assert_eq!(built_in(name), Some(set));
    }
    assert_eq!(built_in("nobody's"), None);
}

#[test]
fn student_sections_are_those_of_the_text() {
    // Formula SAE Rules 2026, F.3.4.1.
    let set = built_in("student-racing-2026").expect("it is there");
    let least = |name: &str| match &set.rules.iter().find(|r| r.name == name).expect("it is there").ask {
        Ask::Section { least, .. } => least.clone(),
        other => panic!("{other:?}"),
    };
    for (name, od, wall, area, inertia) in [
        ("hoops", 25.0, 2.0, 173.0, 11320.0),
        ("primary", 25.0, 1.2, 114.0, 8509.0),
        ("supports", 25.0, 1.2, 91.0, 6695.0),
    ] {
        let l = least(name);
        let near = |v: Option<f64>, w: f64| (v.expect("it is said") / w - 1.0).abs() < 1e-12;
        assert!(near(l.od, od * 1e-3) && near(l.wall, wall * 1e-3), "{l:?}");
        assert!(near(l.area, area * 1e-6) && near(l.inertia, inertia * 1e-12), "{l:?}");
    }
}
