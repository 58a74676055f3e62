//! The exchange files: meshes closed and of the right volume, tables whole, drawings at 1:1.

use std::collections::HashMap;
use std::sync::{Arc, OnceLock};

use packet::exchange::mesh::Fineness;
use packet::exchange::{self, csv, flat, mesh};
use packet::sheet::{Identity, templates};
use review::Review;
use shape::End;

/// Our demonstration design, worked out once.
fn gorse() -> &'static Review {
    static REVIEW: OnceLock<Review> = OnceLock::new();
    REVIEW.get_or_init(|| of(include_str!("../../../examples/gorse.toml")))
}

fn of(text: &str) -> Review {
    let design = design::read(text).unwrap_or_else(|p| panic!("{p:?}")).design;
    review::review(Arc::new(design), cutting::Detail::SHEET).unwrap_or_else(|p| panic!("{p:?}"))
}

fn id() -> Identity {
    Identity {
        file: "gorse.toml".into(),
        hash: "0".repeat(64),
        skins: Vec::new(),
        date: "2026-01-01".into(),
        version: "0".into(),
        link: None,
    }
}

fn text(files: &[packet::File], path: &str) -> String {
    let f = files.iter().find(|f| f.path == path).unwrap_or_else(|| panic!("no {path}"));
    String::from_utf8(f.bytes.clone()).unwrap()
}

/// Reads RFC 4180 text.
fn rows(text: &str) -> Vec<Vec<String>> {
    let mut out = vec![vec![String::new()]];
    let mut quoted = false;
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        let row = out.last_mut().unwrap();
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                row.last_mut().unwrap().push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => row.push(String::new()),
            '\r' if !quoted => {}
            '\n' if !quoted => out.push(vec![String::new()]),
            _ => row.last_mut().unwrap().push(c),
        }
    }
    assert_eq!(out.pop(), Some(vec![String::new()]), "the last line must end");
    out
}

/// Every edge belongs to two triangles that run along it in opposite ways, and the inside is inside.
fn assert_closed(b: &mesh::Body) {
    let mut edges = HashMap::<(u32, u32), usize>::new();
    for t in &b.triangles {
        for (i, j) in [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])] {
            *edges.entry((i, j)).or_default() += 1;
        }
    }
    for (&(i, j), &n) in &edges {
        assert_eq!((n, edges.get(&(j, i))), (1, Some(&1)), "{}: edge {i} {j}", b.name);
    }
    assert!(b.volume() > 0.0, "{}", b.name);
    assert!(b.points.iter().all(|p| p.is_finite()), "{}", b.name);
}

#[test]
fn meshes_are_closed_and_face_outward() {
    mesh::frame(gorse(), Fineness::FILE).iter().for_each(assert_closed);
}

#[test]
fn box_tubes_with_sharp_corners_make_closed_meshes() {
    for (corner, wall) in [(0.0, 3.0), (3.0, 3.0), (2.0, 3.0), (6.0, 3.0)] {
        let r = of(&format!(
            "[design]\nname = \"B\"\nunits = \"mm\"\n[section.b]\nshape = \"box\"\nwidth = 40\nheight = 60\nwall = {wall}\n\
             corner = {corner}\nmaterial = \"S355J2H\"\n[point]\na = [0, 0, 0]\nb = [500, 0, 0]\nc = [250, 0, 0]\n\
             d = [350, 300, 80]\n[tube.first]\nsection = \"b\"\npath = [\"a\", \"b\"]\n[tube.second]\nsection = \"b\"\n\
             path = [\"c\", \"d\"]\n"
        ));
        let bodies = mesh::frame(&r, Fineness::FILE);
        assert_eq!(bodies.len(), 2);
        for (b, p) in bodies.iter().zip(&r.cutting.pieces) {
            assert_closed(b);
            assert!((b.volume() / p.volume - 1.0).abs() < 1e-3, "corner {corner}: {} {}", b.volume(), p.volume);
        }
    }
}

#[test]
fn meshes_hold_the_volumes_of_their_pieces() {
    let r = gorse();
    let bodies = mesh::frame(r, Fineness::FILE);
    assert_eq!(bodies.len(), r.cutting.pieces.len() + r.shape.plates.len());
    for (b, p) in bodies.iter().zip(&r.cutting.pieces) {
        assert_eq!(b.name, p.name);
        let off = b.volume() / p.volume - 1.0;
        // Chords lie inside the outer wall, so a mesh is short of its piece, by 0.07 % round the tube and less along it.
        assert!(off.abs() < 1e-3, "{}: {:.4} %", p.name, off * 100.0);
    }
    for (b, p) in bodies[r.cutting.pieces.len()..].iter().zip(&r.shape.plates) {
        assert_eq!(b.name, p.name);
        // A polygon of 96 sides is 0.07 % short of its hole.
        let holes: f64 = p.holes.iter().map(|(_, d)| std::f64::consts::PI * d * d / 4.0).sum();
        let more = b.volume() / p.thickness - p.area;
        assert!((-1e-9 * p.area..=1e-9 * p.area + 7.2e-4 * holes).contains(&more), "{}: {more}", p.name);
        assert_eq!(more > 1e-7 * p.area, holes > 0.0, "{}", p.name);
    }
}

#[test]
fn finer_meshes_come_nearer_to_their_volumes() {
    let r = gorse();
    let finer = |k: usize| Fineness {
        sagitta: Fineness::FILE.sagitta / (k * k) as f64,
        round: Fineness::FILE.round * k,
        side: Fineness::FILE.side * k,
        wall: Fineness::FILE.wall * k,
    };
    let off = |fine: Fineness| -> Vec<f64> {
        mesh::frame(r, fine).iter().zip(&r.cutting.pieces).map(|(b, p)| b.volume() / p.volume - 1.0).collect()
    };
    let (once, twice, four) = (off(finer(1)), off(finer(2)), off(finer(4)));
    for (k, p) in r.cutting.pieces.iter().enumerate() {
        // Flats stray from curves by the square of their size.
        for (coarse, fine) in [(once[k], twice[k]), (twice[k], four[k])] {
            assert!((3.8..4.2).contains(&(coarse / fine)), "{}: {coarse:e} {fine:e}", p.name);
        }
    }
}

#[test]
fn cut_faces_stand_on_the_profiles_fibres() {
    let r = gorse();
    let mut seen = 0;
    for (b, p) in mesh::frame(r, Fineness::FILE).iter().zip(&r.cutting.pieces) {
        let t = &r.shape.tubes[p.tube];
        let points: std::collections::HashSet<[i64; 3]> =
            b.points.iter().map(|q| (*q * 1e9).round().to_array().map(|v| v as i64)).collect();
        let near = |q: geometry::DVec3| {
            let c = (q * 1e9).round().to_array().map(|v| v as i64);
            (0..27).any(|k| points.contains(&[c[0] + k % 3 - 1, c[1] + k / 3 % 3 - 1, c[2] + k / 9 - 1]))
        };
        for end in End::BOTH {
            let out = t.outward(end).t;
            let frame = if end == End::Start { t.frames[0] } else { t.outward(end) };
            let fibres = &p.end(end).profile.fibres;
            // By a place where either end's cut goes from tube to tube the mesh has stations of its own.
            let by = |round: f64| {
                p.ends.iter().any(|e| {
                    let near = |f: &&cutting::Fibre| (f.round - round).abs() < 2e-4;
                    let mut hosts = e.profile.fibres.iter().filter(near).map(|f| f.host);
                    let first = hosts.next();
                    hosts.any(|h| Some(h) != first)
                })
            };
            // Every fifteenth degree has both a fibre and a station.
            for k in 0..24 {
                let round = t.outline.perimeter() * f64::from(k) / 24.0;
                let Some(f) = fibres.iter().find(|f| (f.round - round).abs() < 1e-12) else { continue };
                if by(round) || matches!(p.size, design::SectionShape::Box { .. }) {
                    continue;
                }
                let at = t.outline.point(t.outline.station(round));
                assert!(near(frame.place(at) + out * f.outer), "{} {} {k}: outside", p.name, end.word());
                let at = t.bore.point(t.bore.station(t.bore.perimeter() * f64::from(k) / 24.0));
                assert!(near(frame.place(at) + out * f.inner), "{} {} {k}: inside", p.name, end.word());
                seen += 1;
            }
        }
    }
    assert!(seen > 4000, "{seen}");
}

/// Whether a tube is its own mirror image: its ends stand at the same x and z, either side of the middle.
fn crosses(r: &Review, name: &str) -> bool {
    let p = r.cutting.pieces.iter().find(|p| p.name == name).unwrap();
    let [a, b] = [p.ends[0].at, p.ends[1].at];
    (a.x - b.x).abs() < 1e-9 && (a.z - b.z).abs() < 1e-9 && (a.y + b.y).abs() < 1e-9
}

#[test]
fn twins_are_mirror_images() {
    let r = gorse();
    let bodies = mesh::frame(r, Fineness::FILE);
    let box_of = |b: &mesh::Body| {
        let first = (b.points[0], b.points[0]);
        b.points.iter().fold(first, |m, p| (m.0.min(*p), m.1.max(*p)))
    };
    let mut pairs = 0;
    for (b, p) in bodies.iter().zip(&r.cutting.pieces) {
        let Some(first) = &p.twin_of else { continue };
        let (a, q) = bodies.iter().zip(&r.cutting.pieces).find(|(b, _)| b.name == *first).unwrap();
        // Twins that meet a tube of one side only are not cut alike.
        let alike = |n: &str| r.cutting.pieces.iter().any(|p| p.twin_of.as_deref() == Some(n.trim_end_matches('~')));
        if p.ends.iter().chain(&q.ends).flat_map(|e| &e.to).any(|n| !alike(n) && !crosses(r, n)) {
            continue;
        }
        assert!(
            (a.volume() / b.volume() - 1.0).abs() < 1e-4,
            "{first} {} {} {} {}",
            a.volume(),
            b.volume(),
            a.points.len(),
            b.points.len()
        );
        let ((alo, ahi), (blo, bhi)) = (box_of(a), box_of(b));
        for (x, y) in [(alo.x, blo.x), (ahi.x, bhi.x), (alo.z, blo.z), (ahi.z, bhi.z), (alo.y, -bhi.y), (ahi.y, -blo.y)]
        {
            assert!((x - y).abs() < 1e-6, "{first}: {x} {y}");
        }
        pairs += 1;
    }
    assert!(pairs > 20, "{pairs}");
}

#[test]
fn tables_have_a_row_for_everything() {
    let r = gorse();
    let pieces = rows(&csv::pieces(r));
    assert_eq!(pieces.len(), 1 + r.cutting.pieces.len());
    assert!(pieces.iter().all(|row| row.len() == pieces[0].len()));
    let names: Vec<&str> = pieces[1..].iter().map(|row| row[1].as_str()).collect();
    assert!(names.iter().zip(&r.cutting.pieces).all(|(n, p)| *n == p.name));
    let bends: Vec<&cutting::BendPlan> = r.cutting.pieces.iter().filter_map(|p| p.bends.as_ref()).collect();
    let lra = rows(&csv::bends_lra(r));
    assert_eq!(lra.len(), 1 + bends.iter().map(|b| b.bends.len() + 1).sum::<usize>());
    let xyz = rows(&csv::bends_xyz(r));
    assert_eq!(xyz.len(), 1 + bends.iter().map(|b| b.corners.len()).sum::<usize>());
}

#[test]
fn tables_are_in_the_units_of_the_design() {
    let r = of("[design]\nname = \"Q\"\nunits = \"in\"\n[section.t]\nshape = \"round\"\nod = 1.5\nwall = 0.12\n\
                material = \"S355J2H\"\n[point]\na = [0, 0, 0]\nb = [20, 0, 0]\n\
                [tube.t]\nsection = \"t\"\npath = [\"a\", \"b\"]\n");
    let table = rows(&csv::pieces(&r));
    let column = |name: &str| table[0].iter().position(|c| c == name).unwrap_or_else(|| panic!("{:?}", table[0]));
    assert_eq!(table[1][column("blank (in)")], "20.0000");
    assert_eq!(table[1][column("start left long (in)")], "0.0000");
}

#[test]
fn templates_are_as_wide_as_the_tube_is_round() {
    let r = gorse();
    let files = exchange::files(r, &id()).unwrap();
    let mut seen = 0;
    let stems = exchange::stems(r.cutting.pieces.iter().map(|p| p.name.as_str()));
    for (p, stem) in r.cutting.pieces.iter().zip(stems) {
        for end in End::BOTH {
            let path = format!("templates/{stem}-{}", end.word());
            if !templates::needed(p.end(end)) {
                assert!(files.iter().all(|f| !f.path.starts_with(&format!("{path}."))));
                continue;
            }
            let svg = text(&files, &format!("{path}.svg"));
            let width: f64 = svg.split("width=\"").nth(1).unwrap().split("mm").next().unwrap().parse().unwrap();
            assert!((width - templates::perimeter(&p.size) * 1e3).abs() < 1e-3, "{path}: {width}");
            let strip = &flat::template(p, end).lines[0];
            assert!(strip.closed && strip.points.len() == p.end(end).profile.fibres.len() + 3);
            let dxf = text(&files, &format!("{path}.dxf"));
            assert!(dxf.contains("AC1015") && dxf.ends_with("EOF\n"));
            let lines: Vec<&str> = dxf.lines().collect();
            let mut handles: Vec<&str> = lines.chunks(2).filter(|t| t[0] == "  5").map(|t| t[1]).collect();
            // The last one of the header says where free handles begin.
            let all = handles.len();
            handles.sort_unstable();
            handles.dedup();
            assert_eq!(handles.len(), all, "{path}");
            seen += 1;
        }
    }
    assert!(seen > 100, "{seen}");
}

#[test]
fn the_same_design_gives_the_same_bytes() {
    let r = of(include_str!("../../../examples/gorse.toml"));
    let later = Identity { date: "2027-12-31".into(), ..id() };
    assert_eq!(exchange::files(&r, &later).unwrap(), exchange::files(gorse(), &id()).unwrap());
}

#[test]
fn no_two_drawings_share_a_file() {
    let names = ["rail", "rail~", "rail-twin", "Rail", "RAIL", "Rail~", "rail_twin"];
    let stems = exchange::stems(names);
    assert_eq!(stems, ["rail", "rail.twin", "rail-twin", "Rail.2", "RAIL.3", "Rail.twin.2", "rail_twin"]);
    // A tube and a twin whose names were once written alike.
    let r = of("[design]\nname = \"T\"\nunits = \"mm\"\n[section.t]\nshape = \"round\"\nod = 40\nwall = 3\n\
                material = \"S355J2H\"\n[point]\na = [0, 200, 0]\nb = [500, 200, 0]\nc = [0, 0, 300]\nd = [400, 0, 300]\n\
                [tube.a]\nsection = \"t\"\npath = [\"a\", \"b\"]\nmirror = true\n\
                start = { cut = \"plane\", plane = { point = \"a\", normal = [1, 0, 1] } }\n\
                [tube.a-twin]\nsection = \"t\"\npath = [\"c\", \"d\"]\n\
                start = { cut = \"plane\", plane = { point = \"c\", normal = [1, 0, 1] } }\n");
    let files = exchange::files(&r, &id()).unwrap();
    let mut paths: Vec<&str> = files.iter().map(|f| f.path.as_str()).collect();
    paths.sort_unstable();
    let all = paths.len();
    paths.dedup();
    assert_eq!(paths.len(), all);
    assert_eq!(paths.iter().filter(|p| p.starts_with("templates/")).count(), 6);
}

#[test]
fn holes_go_through_plates() {
    let plate = |holes: &str| {
        let r = of(&format!(
            "[design]\nname = \"P\"\nunits = \"mm\"\n[section.t]\nshape = \"round\"\nod = 40\nwall = 3\nmaterial = \"S355J2H\"\n\
             [point]\na = [0, 200, 0]\nb = [500, 200, 0]\n[tube.t]\nsection = \"t\"\npath = [\"a\", \"b\"]\n\
             [plate.p]\nthickness = 5\nmaterial = \"S355J2H\"\nmirror = true\nholes = [{holes}]\noutline = {{ origin = \"a\", \
             x = [1, 0, 0], y = [0, 0.6, 0.8], corners = [[0, 0], [50, 0], [100, 0], [100, 80], [50, 20], [0, 80]] }}\n"
        ));
        let bodies = mesh::frame(&r, Fineness::FILE);
        let [_, p, twin] = &bodies[..] else { panic!("{}", bodies.len()) };
        assert_closed(p);
        assert_closed(twin);
        assert!((p.volume() / twin.volume() - 1.0).abs() < 1e-12);
        p.volume() / 5e-9
    };
    let whole = 0.5 * (80.0 + 20.0) * 100.0;
    // A polygon of 96 sides.
    let round = |d: f64| 0.25 * d * d * 48.0 * (std::f64::consts::TAU / 96.0).sin();
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-6, "{a} {b}");
    near(plate(""), whole);
    near(
        plate("{ at = [10, 20], d = 12 }, { at = [50, 10], d = 8 }, { at = [89, 40], d = 20 }"),
        whole - round(12.0) - round(8.0) - round(20.0),
    );
    // Over the edge, beyond it, and over another hole: what is no hole of its own is left out.
    near(
        plate(
            "{ at = [10, 20], d = 12 }, { at = [98, 10], d = 8 }, { at = [50, 40], d = 9 }, { at = [15, 20], d = 5 }",
        ),
        whole - round(12.0),
    );
}

#[test]
fn a_frame_without_pieces_is_an_empty_scene() {
    let r = of("[design]\nname = \"E\"\nunits = \"mm\"\n[section.t]\nshape = \"round\"\nod = 40\nwall = 3\n\
                material = \"S355J2H\"\n[point]\na = [0, 0, 0]\nb = [500, 0, 0]\n\
                [tube.t]\nsection = \"t\"\npath = [\"a\", \"b\"]\nprovisional = true\n");
    let files = exchange::files(&r, &id()).unwrap();
    let bytes = |path: &str| &files.iter().find(|f| f.path == path).unwrap().bytes;
    let glb = bytes("frame.glb");
    assert_eq!(&glb[..4], b"glTF");
    assert_eq!(u32::from_le_bytes(glb[8..12].try_into().unwrap()) as usize, glb.len());
    let doc: serde_json::Value = serde_json::from_slice(&glb[20..]).unwrap();
    assert_eq!(doc["scenes"], serde_json::json!([{ "name": "frame" }]));
    assert!(doc.get("nodes").is_none());
    assert_eq!(bytes("frame.stl").len(), 84);
    assert_eq!(rows(&text(&files, "pieces.csv")).len(), 1);
}

#[test]
fn each_load_that_is_worked_out_has_a_deck() {
    let r = of(include_str!("../../../examples/gorse.toml"));
    let files = exchange::files(&r, &id()).unwrap();
    let decks: Vec<_> = files.iter().filter(|f| f.path.starts_with("decks/")).collect();
    assert!(decks.len() >= 3);
    assert_eq!(decks.len(), r.strength.cases.len());
    for c in &r.strength.cases {
        let line = format!("** case: {} (", c.name);
        let has = |f: &&&packet::File| f.path.ends_with(".inp") && String::from_utf8_lossy(&f.bytes).contains(&line);
        let deck = decks.iter().find(has).unwrap_or_else(|| panic!("no deck for {}", c.name));
        let text = String::from_utf8_lossy(&deck.bytes);
        let head: Vec<&str> = text.lines().take(3).collect();
        assert!(head[0].contains("CalculiX") && head[1].contains("Left out: yielding, buckling"), "{head:?}");
        assert!(text.contains("*CLOAD") || text.contains("*BOUNDARY"));
    }
}

/// A box tube on the mitred corner of two of its like, in their plane.
#[test]
fn a_piece_without_a_solid_is_told() {
    let text = r#"
[design]
name = "Corner"
[section.rail]
shape = "box"
width = 60
height = 40
wall = 3
material = "S355"
[point]
a = [0, 0, 0]
b = [1000, 0, 0]
c = [1000, 800, 0]
d = [1600, -500, 0]
[tube.one]
section = "rail"
path = ["a", "b"]
[tube.two]
section = "rail"
path = ["b", "c"]
[tube.cross]
section = "rail"
path = ["b", "d"]
"#;
    let files = exchange::files(&of(text), &id()).unwrap();
    let held = |path: &str| files.iter().find(|f| f.path == path).map(|f| String::from_utf8_lossy(&f.bytes));
    assert!(held("step/one.step").is_some() && held("step/two.step").is_some());
    // If a solid of it is made one day, nothing is told.
    let told = held(exchange::WITHOUT_SOLID);
    assert_eq!(held("step/cross.step").is_none(), told.is_some());
    let frame = held("frame.step").unwrap();
    if let Some(told) = told {
        assert!(told.starts_with("cross: ") && told.ends_with('\n') && told.lines().count() == 1, "{told}");
        assert!(frame.contains("without cross: "));
    }
    assert!(exchange::files(gorse(), &id()).unwrap().iter().all(|f| f.path != exchange::WITHOUT_SOLID));
}
