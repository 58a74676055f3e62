//! What can't be stood on: a clear finding each, and the rest still comes.

mod common;

use common::{WHEELS, cross, mesh, shape, skinned, stand, words};
use shape::Level;

#[test]
fn no_wheels_one_wheel_one_axle_and_wheels_on_a_line() {
    let bar = cross("bar", 0.0, 200.0);
    let wheel = |name: &str, x: f64, y: f64| {
        format!("[wheel.{name}]\nat = [{x}, {y}, 300]\nradius = 300\nwidth = 150\nkg = 10\n")
    };
    let axle = format!("{}{}", wheel("l", 0.0, 700.0), wheel("r", 0.0, -700.0));
    for (wheels, told) in [
        (String::new(), "there are no wheels"),
        (wheel("one", 0.0, 0.0), "two wheels or fewer"),
        (axle.clone(), "two wheels or fewer"),
        (format!("{axle}{}", wheel("m", 0.0, 0.0)), "stand on one line"),
    ] {
        let a = stand(&format!("{wheels}{bar}[measure.up]\nfrom = {{ datum = true }}\nto = {{ tube = \"bar\" }}\n"));
        let s = &a.stances[0];
        assert!(s.ground.is_none() && s.lowest.is_empty() && s.crossings.is_empty());
        let list = words(&a, Level::NotChecked);
        assert!(list.iter().any(|w| w.contains(told)), "{told}: {list:?}");
        // What needs no ground is still there.
        assert!(s.mass.mass > 0.0 && a.measures[0].value.is_some());
        assert_eq!(a.rooms.len(), wheels.matches("[wheel").count());
    }
    // Three on one axle but for a hand's width: a ground, and no second axle.
    let a = stand(&format!("{axle}{}{bar}[obstacle.kerb]\nkerb = 100\n", wheel("m", 60.0, 0.0)));
    let s = &a.stances[0];
    assert!(s.ground.is_some() && !s.lowest.is_empty() && !s.angles_taken && s.crossings.is_empty());
    assert!(words(&a, Level::NotChecked).iter().any(|w| w.contains("one axle")));
}

#[test]
fn next_to_no_load() {
    // A wheel can't weigh nothing; four of a milligram and nothing else can be stood on, on springs and tyres too.
    assert!(design::read(&format!("{}{}", common::HEAD, WHEELS.replace("kg = 10", "kg = 0"))).is_err());
    let light = WHEELS
        .replace("kg = 10", "kg = 0.000001\nbump = 50\ndroop = 60\ntyre_rate = 180\nspring = { rate = 16, free = 30 }");
    let a = stand(&format!("{light}[stance.it]\nsprings = true\n[stance.held]\n"));
    for s in &a.stances {
        assert!(s.ground.is_some());
        let loads = s.loads.as_ref().unwrap();
        let sum: f64 = s.wheels.iter().map(|w| w.load.unwrap()).sum();
        assert!((sum - loads.weight).abs() < 1e-9 && loads.weight < 1e-4, "{sum} {}", loads.weight);
        assert!(s.lowest.is_empty() && s.approach.is_none() && s.breakover.is_none());
    }
    assert!(!serde_json::to_string(&a).unwrap().contains("NaN"));
}

/// Whatever can be written: it is refused where it stands, or answered without a panic and without numbers that are none.
#[test]
fn absurd_numbers() {
    let base = format!(
        "{WHEELS}{}[mass.m]\nat = [0, 0, 500]\nkg = 100\nsize = [200, 200, 200]\n[obstacle.hump]\nhump = {{ length = 1500, height = 90 }}\n\
         [obstacle.list]\nprofile = [[0, 0], [500, 100], [900, 0]]\n[stance.it]\nsprings = true\n",
        cross("bar", 0.0, 200.0)
    )
    .replace("kg = 10\n", "kg = 10\nbump = 50\ndroop = 60\nsteer = 20\ntyre_rate = 180\nspring = { rate = 16, free = 80 }\n");
    let numbers = ["1e300", "-1e300", "1e-300", "0", "-1", "1e15", "1e9", "1e5"];
    let (mut answered, mut refused) = (0, 0);
    for what in [
        "at = [1000, ",
        "radius = 300",
        "width = 150",
        "kg = 10\n",
        "bump = 50",
        "droop = 60",
        "steer = 20",
        "tyre_rate = 180",
        "rate = 16",
        "free = 80",
        "kg = 100",
        "size = [200, ",
        "length = 1500",
        "height = 90",
        "[500, 100]",
        "[0, 300, 210]",
    ] {
        assert!(base.contains(what) || what == "[0, 300, 210]", "{what}");
        let digit = what.rfind(|c: char| c.is_ascii_digit()).unwrap();
        let first = what[..=digit].rfind(|c: char| !c.is_ascii_digit()).map_or(0, |i| i + 1);
        for n in numbers {
            let text = base.replacen(what, &format!("{}{n}{}", &what[..first], &what[digit + 1..]), 1);
            let text = format!("{}{text}", common::HEAD);
            let Ok(reading) = design::read(&text) else {
                refused += 1;
                continue;
            };
            let Ok(shape) = shape::resolve(std::sync::Arc::new(reading.design)) else {
                refused += 1;
                continue;
            };
            let a = stance::stand(&shape);
            answered += 1;
            for s in &a.stances {
                let heights = s
                    .lowest
                    .iter()
                    .map(|l| l.height)
                    .chain(s.crossings.iter().filter_map(|c| Some(c.least.as_ref()?.clearance)));
                for h in heights {
                    assert!(h.is_finite(), "{what} {n}: {h}");
                }
            }
        }
    }
    assert!(answered > 20 && refused > 20, "{answered} {refused}");
}

/// A sheet with a hole, one of many triangles, and one that is not there.
#[test]
fn skins_with_holes_and_of_very_many_triangles() {
    let n = 300;
    let corners: Vec<[f64; 3]> = (0..=n)
        .flat_map(|j| {
            (0..=n).map(move |i| {
                let (x, y) = (4.0 * f64::from(i) / f64::from(n) - 2.0, 1.2 * f64::from(j) / f64::from(n) - 0.6);
                // Hammered all over, lowest by far at one place.
                let dent = 0.03 * (-200.0 * ((x - 0.2).powi(2) + y * y)).exp();
                [x, y, 0.25 + 0.002 * (37.0 * x).sin() * (41.0 * y).cos() - dent]
            })
        })
        .collect();
    let at = |i: u32, j: u32| (j * (n + 1) + i) as usize;
    let triangles: Vec<[usize; 3]> = (0..n)
        .flat_map(|j| (0..n).map(move |i| (i, j)))
        .filter(|&(i, j)| !(20..40).contains(&i) || !(20..40).contains(&j))
        .flat_map(|(i, j)| [[at(i, j), at(i + 1, j), at(i + 1, j + 1)], [at(i, j), at(i + 1, j + 1), at(i, j + 1)]])
        .collect();
    let low = corners.iter().map(|c| c[2]).fold(f64::INFINITY, f64::min);
    let body = format!("{WHEELS}[skin.floor]\nfile = \"f\"\nunit = \"m\"\n[obstacle.kerb]\nkerb = 90\n");
    let (shape, a) = skinned(&body, &[mesh(&corners, &triangles, &[])]);
    let s = &a.stances[0];
    assert!((s.lowest[0].height - low).abs() < 1e-12);
    let least = s.crossings[0].least.as_ref().unwrap();
    // The front edge overhangs by a metre and meets the kerb's edge at 0.25 less 0.09, or a little less by a dent.
    assert!(least.clearance > 0.1 && least.clearance < 0.161, "{least:?}");
    assert!(shape.skins.list[0].edges.open > 1200);
}

#[test]
fn a_skin_without_a_mesh_leaves_the_rest() {
    let body = format!("{WHEELS}{}[skin.lost]\nfile = \"f\"\nunit = \"m\"\n", cross("bar", 0.0, 200.0));
    for shape in [shape(&body), shape(&body).with_skins(&[Err("it is not there".into())])] {
        let a = stance::stand(&shape);
        assert_eq!(a.stances[0].lowest[0].name, "bar");
        assert!(words(&a, Level::NotChecked).iter().any(|w| w.ends_with("without their meshes: lost")));
    }
}
