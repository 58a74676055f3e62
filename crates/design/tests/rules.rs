//! Rule sets: what is read, what is refused and how, and that the page on them names every key.

use design::rules::keys::{KNOWN, MEASURES, PLACES, TOPS};
use design::rules::{AngleTo, Ask, Faces, Known, Measure, Place, RoleId, Seen, read};

const HEAD: &str = "[rules]\nname = \"Hill club\"\nedition = \"spring\"\nwhose = \"the scrutineer\"\n";
const ROLES: &str = "[role.hoop]\nwords = [\"Main Hoop\"]\nwithout = [\"brace\"]\n[role.brace]\nwords = [\"brace\"]\nmeets = \"hoop\"\n";

fn words(rule: &str) -> String {
    let text = format!("{HEAD}{ROLES}{rule}\n");
    let problems = read(&text).expect_err(rule);
    let rendered = design::render(&problems, "club.toml", &text);
    assert!(rendered.contains("club.toml:"), "{rendered}");
    rendered
}

#[test]
fn every_kind_is_read_in_its_order() {
    let common = "clause = \"1\"\nknown = \"own\"\n";
    let text = format!(
        "{HEAD}units = \"in\"\n{ROLES}\
         [bend.a]\n{common}of = [\"hoop\"]\nradius = 3\nsum_most = 190\n\
         [section.b]\n{common}of = [\"hoop\", \"brace\"]\narea = 0.25\ninertia = 0.02\nsizes = [[\"1 3/4\", 0.095]]\n\
         [angle.c]\n{common}of = [\"brace\"]\nwith = [\"hoop\"]\nseen = \"side\"\nleast = 30\n\
         [distance.d]\n{common}of = [\"hoop\"]\nat = \"foot\"\nto = [\"hoop\"]\nto_at = \"foot\"\nalong = \"y\"\nbetween = \"outsides\"\nleast = 15\n\
         [equal.e]\n{common}of = [\"hoop\"]\nod = 1\nwall = 0.095\nyield = 305\ntensile = 365\nby = [\"energy\"]\n"
    );
    let set = read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "x", &text)));
    assert_eq!(set.rules.iter().map(|r| r.name.as_str()).collect::<Vec<_>>(), ["a", "b", "c", "d", "e"]);
    assert_eq!((set.roles[0].words[0].as_str(), set.roles[1].meets), ("main hoop", Some(RoleId(0))));
    assert!(set.rules.iter().all(|r| r.known == Known::Own));
    let Ask::Section { of, least } = &set.rules[1].ask else { panic!() };
    assert_eq!(of, &[RoleId(0), RoleId(1)]);
    // In square inches and inches to the fourth.
    assert!((least.area.unwrap() / (0.25 * 6.4516e-4) - 1.0).abs() < 1e-12);
    assert!((least.inertia.unwrap() / (0.02 * 0.0254f64.powi(4)) - 1.0).abs() < 1e-12);
    assert_eq!(least.sizes, [[0.04445, 0.002413]]);
    let Ask::Angle { to: AngleTo::Tubes(with), seen, limits, .. } = &set.rules[2].ask else { panic!() };
    assert_eq!((with.as_slice(), *seen, limits.least), (&[RoleId(0)][..], Some(Seen::Side), Some(30f64.to_radians())));
    let Ask::Distance { at, to_at, along, between, .. } = &set.rules[3].ask else { panic!() };
    assert_eq!((*at, *to_at, *along, *between), (Place::Foot, Place::Foot, Some(1), Faces::Outsides));
    let Ask::Equal { by, given, .. } = &set.rules[4].ask else { panic!() };
    assert_eq!((by.as_slice(), given.youngs, given.any_steel), (&[Measure::Energy][..], 200e9, false));
}

#[test]
fn what_is_wrong_is_told_with_its_place() {
    let c = "clause = \"1\"\nknown = \"own\"\n";
    for (rule, says) in [
        (format!("[bend.x]\n{c}of = [\"hop\"]\nradius = 3"), "did you mean `hoop`?"),
        (format!("[bend.x]\n{c}of = [\"hoop\"]"), "bend `x` wants nothing"),
        (format!("[bend.x]\n{c}of = [\"hoop\"]\nsum_least = 190\nsum_most = 180"), "nothing can hold"),
        ("[bend.x]\nof = [\"hoop\"]\nknown = \"own\"\nradius = 3".to_owned(), "clause"),
        ("[bend.x]\nof = [\"hoop\"]\nclause = \"1\"\nknown = \"rumour\"\nradius = 3".to_owned(), "known"),
        (format!("[angle.x]\n{c}of = [\"hoop\"]\nleast = 3"), "measured to nothing, or to two things"),
        (format!("[angle.x]\n{c}of = [\"hoop\"]\nfrom = \"level\"\nwith = [\"brace\"]\nleast = 3"), "or to two things"),
        (
            format!(
                "[angle.x]\n{c}of = [\"hoop\"]\nfrom = \"level\"\nabove = [\"brace\"]\nbelow = [\"brace\"]\nleast = 3"
            ),
            "above and below",
        ),
        (
            format!(
                "[distance.x]\n{c}of = [\"hoop\"]\nat = \"anywhere\"\nto = [\"brace\"]\nto_at = \"anywhere\"\nleast = 3"
            ),
            "from anywhere to anywhere",
        ),
        (
            format!("[equal.x]\n{c}of = [\"hoop\"]\nod = 25\nwall = 13\nyield = 305\ntensile = 365"),
            "more than half of its diameter",
        ),
        (format!("[load.x]\n{c}load = \"roof\""), "load `x` wants nothing"),
        (format!("[load.x]\n{c}load = \"roof\"\nforce = {{ at = 1 }}"), "times"),
        (format!("[room.x]\n{c}of = \"elbow\"\nleast = 3"), "helmet"),
        ("[role.self]\nwords = [\"x\"]\nmeets = \"self\"".to_owned(), "meets itself"),
        ("[role.empty]\nwords = [\" \"]".to_owned(), "holds no words"),
        ("[bends.x]\nof = [\"hoop\"]".to_owned(), "did you mean `bend`?"),
    ] {
        let told = words(&rule);
        assert!(told.contains(says), "{rule}\n{told}");
    }
    assert!(read("[role.x]\nwords = [\"y\"]").is_err(), "no head");
    assert!(read("nonsense = ").is_err());
}

#[test]
fn the_page_names_every_key_and_word() {
    let page = include_str!("../../../docs/rule-sets.md");
    for top in TOPS {
        assert!(page.contains(&format!("[{}", top.name)), "{}", top.name);
        for key in top.table.keys {
            assert!(
                page.contains(&format!("`{}", key.name)) || page.contains(&format!("{} =", key.name)),
                "{}",
                key.name
            );
        }
    }
    for word in KNOWN.iter().chain(MEASURES).chain(PLACES) {
        assert!(page.contains(word), "{word}");
    }
}
