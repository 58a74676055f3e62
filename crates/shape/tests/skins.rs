//! Tubes against skins, by closed forms.

mod common;

use common::{HEAD, shape};
use geometry::DVec3;
use mesh::Mesh;
use shape::skins::{Near, distances, findings};
use shape::{Level, Shape};

/// A binary-free way to a mesh: the text of an OBJ.
fn mesh(corners: &[[f64; 3]], faces: &[Vec<usize>]) -> Mesh {
    let mut obj = String::from("o panel\n");
    for [x, y, z] in corners {
        obj += &format!("v {x:?} {y:?} {z:?}\n");
    }
    for f in faces {
        obj += &f.iter().fold("f".to_owned(), |s, i| s + &format!(" {}", i + 1));
        obj.push('\n');
    }
    mesh::read(obj.as_bytes()).unwrap()
}

/// A block from -1 to 1, six squares, normals outward.
fn block() -> Mesh {
    let c: Vec<[f64; 3]> = (0..8).map(|i| [i & 1, i >> 1 & 1, i >> 2].map(|b| 2.0 * b as f64 - 1.0)).collect();
    let f = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    mesh(&c, &f.map(|f| f.to_vec()))
}

/// A square of side 4 in the plane z = 0, in 2 × 20 × 20 triangles, facing up.
fn sheet() -> Mesh {
    let n = 20;
    let at = |k: usize| 4.0 * k as f64 / n as f64 - 2.0;
    let c: Vec<[f64; 3]> = (0..=n).flat_map(|j| (0..=n).map(move |i| [at(i), at(j), 0.0])).collect();
    let f: Vec<Vec<usize>> = (0..n * n)
        .map(|k| {
            let a = k / n * (n + 1) + k % n;
            vec![a, a + 1, a + n + 2, a + n + 1]
        })
        .collect();
    mesh(&c, &f)
}

/// A ball of radius 1 by longitude and latitude, and how far its facets stray inward.
fn ball() -> (Mesh, f64) {
    let (n, m) = (96, 192);
    let mut c = Vec::new();
    for i in 0..=n {
        let (s, z) = (std::f64::consts::PI * i as f64 / n as f64).sin_cos();
        for j in 0..m {
            let (y, x) = (std::f64::consts::TAU * j as f64 / m as f64).sin_cos();
            c.push([s * x, s * y, z]);
        }
    }
    let f = (0..n * m).map(|k| {
        let (i, j) = (k / m, k % m);
        let (a, b) = (i * m + j, i * m + (j + 1) % m);
        vec![a, a + m, b + m, b]
    });
    // Half a step round along each way, at most.
    let step = std::f64::consts::PI / n as f64;
    (mesh(&c, &f.collect::<Vec<_>>()), step * step / 4.0)
}

fn with(body: &str, skin: &str, m: &Mesh) -> Shape {
    shape(&format!("{body}\n[skin.body]\nfile = \"body.obj\"\n{skin}\n")).with_skins(&[Ok(m.clone())])
}

fn one(s: &Shape, tube: &str) -> Near {
    distances(s).into_iter().find(|n| n.tube == tube).unwrap()
}

const R: f64 = 0.0381 / 2.0;

#[test]
fn outside_and_inside_of_a_block() {
    // Half a metre to the side, and beside an edge: root of two times 0.2.
    let s = with(
        "[point]\na = [-500, 1500, 100]\nb = [600, 1500, 200]\nc = [-500, 1200, 1200]\nd = [500, 1200, 1200]\ne = [0, -300, 0]\nf = [0, 300, 0]\n\
         [tube.side]\nsection = \"t\"\npath = [\"a\", \"b\"]\n[tube.edge]\nsection = \"t\"\npath = [\"c\", \"d\"]\n\
         [tube.within]\nsection = \"b\"\npath = [\"e\", \"f\"]\n",
        "unit = \"m\"",
        &block(),
    );
    assert!((one(&s, "side").distance - (0.5 - R)).abs() < 1e-12);
    assert!((one(&s, "edge").distance - (0.2 * 2f64.sqrt() - R)).abs() < 1e-12);
    // The box tube's flat ends are nearest to the walls: 0.7; its section of 50 x 80 leaves 0.96 above.
    let n = one(&s, "within");
    assert!((n.distance - 0.7).abs() < 1e-12 && n.at.y.abs() == 1.0, "{n:?}");
    assert!(findings(&s, &distances(&s)).is_empty());
}

#[test]
fn inside_a_ball() {
    let (m, stray) = ball();
    let s = with(
        "[point]\na = [300, 0, 100]\nb = [-300, 0, 100]\nc = [0, 600, 0]\nd = [0, 300, 0]\n\
         [tube.flat]\nsection = \"t\"\npath = [\"a\", \"b\"]\n[tube.out]\nsection = \"t\"\npath = [\"c\", \"d\"]\n",
        "unit = \"m\"",
        &m,
    );
    for (tube, reach) in [("flat", 0.3f64.hypot(0.1)), ("out", 0.6)] {
        let off = 1.0 - reach - R - one(&s, tube).distance;
        assert!((0.0..stray).contains(&off), "{tube} {off} {stray}");
    }
}

/// The sheet tilted by 30 degrees about y, moved, in inches: heights over a plane are dot products.
#[test]
fn over_a_tilted_plane_that_is_placed_and_mirrored() {
    let s = with(
        "[point]\na = [100, 400, 300]\nb = [-200, 500, 300]\n\
         [tube.left]\nsection = \"t\"\npath = [\"a\", \"b\"]\nmirror = true\n",
        "unit = \"ft\"\nturn = [0, 30, 0]\nat = [0, 450, 100]\nmirror = true\ngap = 100",
        &sheet(),
    );
    // Turned about y by 30 degrees, z goes to (sin 30, 0, cos 30).
    let n = DVec3::new(0.5, 0.0, 0.75f64.sqrt());
    let o = DVec3::new(0.0, 0.45, 0.1);
    let h = [DVec3::new(0.1, 0.4, 0.3), DVec3::new(-0.2, 0.5, 0.3)].map(|p| (p - o).dot(n));
    let want = h[0].min(h[1]) - R;
    for (tube, skin) in [("left", "body"), ("left~", "body~")] {
        let d = distances(&s);
        let near = d.iter().find(|x| x.tube == tube && x.skin == skin).unwrap();
        assert!((near.distance - want).abs() < 1e-12, "{near:?} {want}");
        assert!(want < 0.1, "nearer than its gap");
        // The shortest way is square to the sheet.
        let shift = near.shift.unwrap();
        assert!((shift.length() - (0.1 - want)).abs() < 5e-5 && shift.normalize().dot(n) > 1.0 - 1e-9, "{near:?}");
    }
    assert!(s.skins.list[1].name == "body~" && s.skins.list[1].edges.open == 80);
}

/// Turns go about x, then y, then z, of the frame's fixed axes.
#[test]
fn the_order_of_turns() {
    let m = mesh(&[[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]], &[vec![0, 1, 2]]);
    // y up, z forward to z up, x forward, as the page says.
    let s = with(
        "[point]\na=[0,0,0]\nb=[0,0,9]\n[tube.t]\nsection=\"t\"\npath=[\"a\",\"b\"]",
        "unit = \"m\"\nturn = [90, 0, 90]",
        &m,
    );
    let v = s.skins.list[0].surface.vertices();
    assert!((v[1] - DVec3::Y).length() < 1e-15 && (v[2] - DVec3::X).length() < 1e-15, "{v:?}");
}

/// A bent tube under a sheet: the arc's top is 0.1 under it; and the same through it by half its radius.
#[test]
fn bends_and_tubes_that_come_through() {
    let hoop = "[point]\na = [0, -400, -900]\nb = [0, -400, -100]\nc = [0, 400, -100]\nd = [0, 400, -900]\n\
                [tube.hoop]\nsection = \"t\"\npath = [\"a\", \"b\", \"c\", \"d\"]\nbend_radius = 400\n";
    let s = with(hoop, "unit = \"m\"", &sheet());
    let n = one(&s, "hoop");
    // The chords lie up to 0.02 mm within the arc.
    assert!((n.distance - (0.1 - R)).abs() < 2.1e-5 && n.at.y.abs() < 0.02, "{n:?}");
    // The sheet comes down to 10 mm over the axis, 9.05 within the surface; then to 60 mm under its top.
    let s = with(hoop, "unit = \"m\"\nat = [0, 0, -90]", &sheet());
    let n = one(&s, "hoop");
    assert!((n.distance - (0.01 - R)).abs() < 2.1e-5 && !n.crosses, "{n:?}");
    let shift = n.shift.unwrap();
    assert!((shift + DVec3::Z * (R - 0.01)).length() < 5e-5, "{shift}");
    let s = with(hoop, "unit = \"m\"\nat = [0, 0, -160]\ngap = 5", &sheet());
    let n = one(&s, "hoop");
    assert!(n.crosses && (n.distance + R).abs() < 1e-9, "{n:?}");
    let shift = n.shift.unwrap();
    assert!((shift + DVec3::Z * (0.06 + R + 0.005)).length() < 7e-5, "{shift}");
    let found = findings(&s, &distances(&s));
    let f = &found[found.len() - 1];
    assert_eq!((f.level, f.what.as_str()), (Level::Mend, "hoop comes through body, its middle too"));
    assert!(f.help.as_deref().unwrap().contains("down"), "{f:?}");
}

#[test]
fn files_that_are_missing_or_short_of_a_part_are_told_and_the_rest_still_comes() {
    let text = "[point]\na = [0, 0, 500]\nb = [500, 0, 500]\n[tube.bar]\nsection = \"t\"\npath = [\"a\", \"b\"]\n\
                [skin.one]\nfile = \"one.stl\"\nunit = \"m\"\n[skin.two]\nfile = \"two.stl\"\nunit = \"m\"\nparts = [\"roof\"]\n\
                [skin.three]\nfile = \"3.obj\"\nunit = \"m\"\nparts = [\"panel\"]\n";
    let bare = shape(text);
    let f = findings(&bare, &distances(&bare));
    assert!(f.len() == 3 && f.iter().all(|f| f.level == Level::NotChecked), "{f:?}");
    let s = bare.with_skins(&[Err("it is not there".into()), Ok(sheet()), Ok(sheet())]);
    let d = distances(&s);
    assert!(d.len() == 1 && (d[0].distance - (0.5 - R)).abs() < 1e-12);
    let f = findings(&s, &d);
    let said: Vec<(Level, &str)> = f.iter().map(|f| (f.level, f.what.as_str())).collect();
    assert_eq!(said[0], (Level::Mend, "skin one can't be used: one.stl: it is not there"));
    assert_eq!(said[1], (Level::Mend, "skin two can't be used: two.stl: it has no part `roof`; it has panel"));
    assert_eq!(said[2].0, Level::Note);
    assert!(said[2].1.contains("80 open"), "{said:?}");
    assert!(HEAD.contains("38.1"));
}

/// Corners of a part's outline reach as far as all its corners do, whichever way it is seen and turned.
#[test]
fn outlines_hold_the_extremes_and_little_else() {
    let text = "[point]\na = [0, 0, 500]\nb = [500, 0, 500]\n[tube.bar]\nsection = \"t\"\npath = [\"a\", \"b\"]\n";
    for (m, most) in [(block(), 12), (sheet(), 80), (ball().0, 1500)] {
        let s = with(text, "unit = \"m\"\nturn = [10, 20, 30]\nmirror = true", &m);
        for skin in &s.skins.list {
            for k in 0..60 {
                let f = |n: f64| (f64::from(k) * n + 0.2).sin();
                // Near y, and any way.
                let lean = if k % 2 == 0 { 0.1 } else { 3.0 };
                let across = DVec3::new(lean * f(1.0), 1.0, lean * f(2.0)).normalize();
                let edges: Vec<[DVec3; 2]> = skin.outline(0, across).collect();
                assert!(edges.len() <= most, "{} edges", edges.len());
                let (u, v) = across.any_orthonormal_pair();
                for a in 0..24 {
                    let (sin, cos) = (f64::from(a) * 0.2618).sin_cos();
                    let d = u * cos + v * sin;
                    let reach = |p: &DVec3| p.dot(d);
                    let all = skin.surface.vertices().iter().map(reach).fold(f64::NEG_INFINITY, f64::max);
                    let own = edges.iter().flatten().map(reach).fold(f64::NEG_INFINITY, f64::max);
                    assert!((all - own).abs() < 1e-12, "{all} {own}");
                }
            }
        }
    }
}
