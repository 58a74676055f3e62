//! Skins in clearances, ramp angles and obstacles, against all their points.

mod common;

use common::{WHEELS, brute, cross, mesh, near, skinned, words};
use geometry::{DVec2, DVec3};
use mesh::Mesh;
use proptest::prelude::*;
use shape::{Level, Shape};
use stance::{Kind, Stood};

/// A block, two triangles to a side.
fn block(lo: [f64; 3], hi: [f64; 3]) -> Mesh {
    let c: Vec<[f64; 3]> =
        (0..8).map(|i| std::array::from_fn(|k| if i >> k & 1 == 0 { lo[k] } else { hi[k] })).collect();
    let f = [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let t: Vec<[usize; 3]> = f.iter().flat_map(|&[a, b, c, d]| [[a, b, c], [a, c, d]]).collect();
    mesh(&c, &t, &[])
}

const SKIN: &str = "[skin.tub]\nfile = \"tub.obj\"\nunit = \"m\"\n";

#[test]
fn a_block_stands_where_a_block_stands() {
    let tub = block([-0.6, -0.5, 0.12], [1.5, 0.5, 0.6]);
    let body = format!("{WHEELS}{}{SKIN}", cross("bar", 0.0, 400.0));
    let (_, a) = skinned(&body, &[tub]);
    let s = &a.stances[0];
    let low = &s.lowest[0];
    assert_eq!((low.name.as_str(), low.kind, low.unsprung), ("tub", Kind::Skin, false));
    near(low.height, 0.12, 1e-12);
    // 49 CFR 523.2: its front edge is 0.5 m ahead of the hub, 0.12 m over the ground.
    let point = |x: f64, z: f64| (0.3 / x.hypot(0.3 - z)).asin() - ((0.3 - z) / x).atan();
    near(s.approach.as_ref().unwrap().angle, point(0.5, 0.12), 1e-12);
    assert!(s.departure.is_none());
    // The flat underside meets the ramp in the middle.
    let b = s.breakover.as_ref().unwrap();
    near(b.angle, 2.0 * point(1.0, 0.12), 1e-9);
    near(b.at.x, 0.0, 1e-4);
    assert_eq!(b.name, "tub");
    // Nothing is said against it; a limit is.
    assert!(words(&a, Level::NotChecked).iter().all(|w| !w.contains("counted")));
    let (_, a) = skinned(&format!("{body}[limits]\nclearance = 130\n"), &[block([-0.6, -0.5, 0.12], [1.5, 0.5, 0.6])]);
    assert!(words(&a, Level::Look).contains(&"drawn: tub runs nearer to the ground than wanted"));
}

/// Two parts, one of which rides with the front wheel, in a stance that lifts the hubs.
#[test]
fn what_rides_with_a_wheel_keeps_its_height_over_the_road() {
    let mut guard = block([0.8, 0.6, 0.15], [1.2, 0.8, 0.2]);
    guard.parts[0].name = "guard".into();
    let body = format!(
        "{WHEELS}{}[skin.tub]\nfile = \"a\"\nunit = \"m\"\n[skin.guard]\nfile = \"b\"\nunit = \"m\"\nmirror = true\nrides = \"front\"\n\
         [stance.drawn]\n[stance.up]\nwheels = [{{ wheel = \"front\", hub = 40 }}, {{ wheel = \"rear\", hub = 40 }}]\n\
         [obstacle.kerb]\nkerb = 100\n",
        cross("bar", 0.0, 400.0)
    );
    let (_, a) = skinned(&body, &[block([-0.6, -0.5, 0.2], [0.6, 0.5, 0.6]), guard]);
    let find = |s: &Stood, name: &str| s.lowest.iter().find(|l| l.name == name).unwrap().clone();
    for (s, tub) in a.stances.iter().zip([0.2, 0.16]) {
        for name in ["guard", "guard~"] {
            near(find(s, name).height, 0.15, 1e-12);
            assert!(find(s, name).unsprung);
        }
        near(find(s, "tub").height, tub, 1e-12);
        // The drive-over has them too: unsprung or not, they meet the kerb.
        assert!(s.crossings[0].least.as_ref().unwrap().clearance < 0.15);
    }
    // Lowest is the guard, but it is no part of the running clearance: 80 mm are wanted there, 155 here.
    let (_, a) = skinned(
        &format!("{}[limits]\nclearance = 155\n", body.replace("[obstacle.kerb]\nkerb = 100\n", "")),
        &[block([-0.6, -0.5, 0.2], [0.6, 0.5, 0.6]), block([0.8, 0.6, 0.15], [1.2, 0.8, 0.2])],
    );
    assert!(words(&a, Level::Look).iter().all(|w| !w.contains("guard")), "{:?}", words(&a, Level::Look));
}

#[test]
fn parts_have_names_and_missing_meshes_are_told() {
    let corners = [[-0.5, -0.4, 0.2], [0.5, -0.4, 0.2], [0.5, 0.4, 0.2], [-0.5, 0.4, 0.2], [0.0, 0.0, 0.1]];
    let two = mesh(&corners, &[[0, 1, 2], [0, 2, 3], [0, 1, 4]], &[(0, "floor"), (2, "fin")]);
    let body = format!(
        "{WHEELS}{SKIN}[skin.lost]\nfile = \"lost.obj\"\nunit = \"m\"\n[skin.none]\nfile = \"n\"\nunit = \"m\"\n"
    );
    let shape = common::shape(&body).with_skins(&[Ok(two), Err("it is not there".into()), Ok(Mesh::default())]);
    let a = stance::stand(&shape);
    let names: Vec<&str> = a.stances[0].lowest.iter().map(|l| l.name.as_str()).collect();
    assert_eq!(names, ["tub/fin", "tub/floor"]);
    let told = words(&a, Level::NotChecked);
    assert!(told.iter().any(|w| w.contains("without their meshes: lost, none")), "{told:?}");
    let found = shape::skins::findings(&shape, &[]);
    assert!(found.iter().any(|f| f.what.contains("none can't be used: n: its mesh has no triangles")), "{found:?}");
}

/// A random body: a sheet over a grid, a closed skew block, or loose triangles.
#[derive(Clone, Debug)]
struct Body {
    kind: u8,
    heights: Vec<f64>,
    lean: [f64; 3],
}

impl Body {
    fn mesh(&self) -> Mesh {
        let h = |i: usize| self.heights[i % self.heights.len()];
        match self.kind {
            0 => {
                let n = 7;
                let c: Vec<[f64; 3]> = (0..n * n)
                    .map(|k| {
                        let (i, j) = ((k % n) as f64 / 6.0, (k / n) as f64 / 6.0);
                        [3.4 * i - 1.7 + 0.2 * h(k + 3), 1.2 * j - 0.6, 0.25 + 0.15 * h(k)]
                    })
                    .collect();
                let t: Vec<[usize; 3]> = (0..(n - 1) * (n - 1))
                    .flat_map(|k| {
                        let a = k / (n - 1) * n + k % (n - 1);
                        [[a, a + 1, a + n + 1], [a, a + n + 1, a + n]]
                    })
                    .collect();
                // Part of the time a hole in the middle.
                let t = if h(5) > 0.0 { t } else { [&t[..30], &t[40..]].concat() };
                mesh(&c, &t, &[])
            }
            1 => {
                let lean = |p: [f64; 3]| {
                    let [x, y, z] = p;
                    [
                        x + 0.3 * self.lean[0] * z,
                        y + 0.2 * self.lean[1] * x,
                        z + 0.1 * self.lean[2] * x + 0.1 * self.lean[0] * y,
                    ]
                };
                let mut m = block([-1.3, -0.5, 0.3], [1.0 + h(0), 0.5, 0.7]);
                m.vertices.iter_mut().for_each(|v| *v = lean(v.to_array()).into());
                m
            }
            _ => {
                let c: Vec<[f64; 3]> = (0..self.heights.len() / 3)
                    .map(|k| [1.8 * h(3 * k), 0.8 * h(3 * k + 1), 0.5 + 0.35 * h(3 * k + 2)])
                    .collect();
                let t: Vec<[usize; 3]> = (0..c.len() / 3).map(|k| [3 * k, 3 * k + 1, 3 * k + 2]).collect();
                mesh(&c, &t, &[])
            }
        }
    }
}

fn body() -> impl Strategy<Value = Body> {
    (0u8..3, prop::collection::vec(-1.0..1.0f64, 63), [-1.0..1.0f64, -1.0..1.0f64, -1.0..1.0f64])
        .prop_map(|(kind, heights, lean)| Body { kind, heights, lean })
}

/// Places no farther apart than this on the sides of the triangles, in the ground's axes.
fn places(shape: &Shape, s: &Stood, apart: f64) -> Vec<DVec3> {
    let ground = s.ground.unwrap();
    let mut out = Vec::new();
    for skin in &shape.skins.list {
        for t in 0..skin.surface.triangles().len() {
            let c = skin.surface.corners(t);
            for (a, b) in [(c[0], c[1]), (c[1], c[2]), (c[2], c[0])] {
                let steps = (a.distance(b) / apart).ceil() as usize;
                out.extend((0..=steps).map(|k| ground.place(a.lerp(b, k as f64 / steps as f64))));
            }
        }
    }
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, ..ProptestConfig::default() })]

    /// On wheels that stand askew.
    #[test]
    fn lowest_places_and_ramp_angles_are_those_of_all_points(
        b in body(), hubs in [-0.03..0.03f64, -0.03..0.03f64, -0.1..0.1f64], mirror in any::<bool>()
    ) {
        let m = b.mesh();
        prop_assume!(!m.triangles.is_empty());
        let wheels = [("fl", 1000.0, 700.0), ("fr", 1000.0, -700.0), ("r", -1000.0, 0.0)];
        let mut text = String::new();
        for ((name, x, y), h) in wheels.into_iter().zip(hubs) {
            let z = 300.0 + 1000.0 * h;
            text += &format!("[wheel.{name}]\nat = [{x}, {y}, {z:.9}]\nradius = 300\nwidth = 150\nkg = 10\n");
        }
        let (shape, a) = skinned(&format!("{text}{SKIN}mirror = {mirror}\n"), &[m]);
        let s = &a.stances[0];
        let all = places(&shape, s, 0.02);
        let low = all.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
        near(s.lowest[0].height, low, 1e-12);
        // By the definition, at every place.
        let ground = s.ground.unwrap();
        let hub = |k: usize| {
            let p = ground.place(s.wheels[k].hub);
            DVec2::new(p.x, 0.3)
        };
        let front = 0.5 * (hub(0) + hub(1));
        let rear = hub(2);
        let angle = |x: f64, z: f64| {
            let far = x.hypot(z - 0.3);
            (x > 0.0 && far > 0.3).then(|| (z - 0.3).atan2(x) + (0.3 / far).asin())
        };
        // What stands out of the tyre's circle by less than 0.1 mm may be missed.
        let all: Vec<DVec3> = all
            .into_iter()
            .filter(|p| [front, rear].iter().all(|h| !(0.3..0.3001).contains(&h.distance(DVec2::new(p.x, p.z)))))
            .collect();
        let of = |f: &dyn Fn(&DVec3) -> Option<f64>| all.iter().filter_map(f).fold(f64::INFINITY, f64::min);
        let approach = of(&|p| angle(p.x - front.x, p.z));
        let departure = of(&|p| angle(rear.x - p.x, p.z));
        let right = std::f64::consts::FRAC_PI_2;
        // Of two sides that are no steeper than upright.
        let side = |x: f64, z: f64| angle(x, z).filter(|a| *a < right);
        let breakover = of(&|p| Some(side(front.x - p.x, p.z)? + side(p.x - rear.x, p.z)?));
        for (found, dense, word) in
            [(&s.approach, approach, "approach"), (&s.departure, departure, "departure"), (&s.breakover, breakover, "breakover")]
        {
            let none = if word == "breakover" { 2.0 * right } else { right };
            let least = found.as_ref().map_or(none, |g| g.angle);
            if dense < 0.0 {
                // Under the ground: that is told, and no angle is meant.
                prop_assert!(least < 0.0, "{word}: {least}, but a place lies under the ground");
                continue;
            }
            // Places 20 mm apart stray a little, more so where they come near to the tyre's circle.
            prop_assert!(least < dense.min(none) + 1e-9, "{word}: {least} is more than {dense}");
            // Between two of them a side bulges out of the circle by up to 0.17 mm: such a place is not among them.
            let bulges = found.as_ref().is_some_and(|g| {
                let p = ground.place(g.at);
                [front, rear].iter().any(|h| h.distance(DVec2::new(p.x, p.z)) < 0.3002)
            });
            prop_assert!(bulges || least > dense.min(none) - 0.1, "{word}: {least} is less than {dense}");
            if let Some(g) = found {
                // And it is the angle of a place that is there.
                let p = ground.place(g.at);
                let own = match word {
                    "approach" => angle(p.x - front.x, p.z),
                    "departure" => angle(rear.x - p.x, p.z),
                    _ => angle(front.x - p.x, p.z).and_then(|a| Some(a + angle(p.x - rear.x, p.z)?)),
                };
                prop_assert!((own.unwrap() - g.angle).abs() < 1e-7, "{word} {own:?} {g:?}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4, ..ProptestConfig::default() })]

    #[test]
    fn least_clearances_over_an_obstacle_are_those_of_all_points(b in body()) {
        let m = b.mesh();
        let text = format!("{WHEELS}{SKIN}at = [0, 0, 150]\n[obstacle.it]\nprofile = [[0, 0], [300, 80], [900, 0], [1400, 110], [1500, 110], [2000, 50]]\n");
        let (shape, a) = skinned(&text, &[m]);
        let s = &a.stances[0];
        let outline: Vec<DVec2> = places(&shape, s, 0.008).iter().map(|p| DVec2::new(p.x, p.z)).collect();
        let p = [[0.0, 0.0], [0.3, 0.08], [0.9, 0.0], [1.4, 0.11], [1.5, 0.11], [2.0, 0.05]];
        let road = |x: f64| {
            if x <= 0.0 {
                return 0.0;
            }
            p.windows(2)
                .find(|w| x <= w[1][0])
                .map_or(0.05, |w| w[0][1] + (w[1][1] - w[0][1]) * (x - w[0][0]) / (w[1][0] - w[0][0]))
        };
        let found = s.crossings[0].least.as_ref().unwrap();
        if found.clearance > 0.0 {
            let dense = brute(&outline, &road, 0.0, 2.0, 0.05);
            prop_assert!(found.clearance < dense + 2e-4, "{} is more than {dense}", found.clearance);
            prop_assert!(found.clearance > dense - 1e-2, "{} is far less than {dense}", found.clearance);
        }
    }
}
