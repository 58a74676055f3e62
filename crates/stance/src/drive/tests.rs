use std::sync::Arc;

use design::ObstacleShape;

use super::*;
use crate::ground::Ground;
use crate::side::Layout;

/// A ramp so steep that the rails scrape along its crest, deepest half way: the depth is the greatest of all poses, known to
/// what a step of the way can hide.
#[test]
fn what_scrapes_is_told_where_it_is_deepest() {
    let text = r#"
[design]
name = "Test"
[section.b]
shape = "box"
width = 50
height = 80
wall = 3
material = "S355J2H"
[point]
b = [900, 320, 240]
c = [-900, 320, 240]
[tube.rail]
section = "b"
path = ["b", "c"]
"#;
    let shape = shape::resolve(Arc::new(design::read(text).unwrap().design)).unwrap();
    let layout = Layout::new(&shape);
    let view = View::new(&layout, &vec![true; layout.things.len()], &[], Ground::new(0.0, 0.0, 0.0));
    let tyre = |x: f64| Tyre { hub: DVec2::new(x, 0.3), loaded: 0.3 };
    let (front, rear) = (tyre(1.2), tyre(-1.2));
    let obstacle = Obstacle {
        name: "it".into(),
        shape: ObstacleShape::Ramp { height: 0.8, angle: 0.42 },
        clearance: 0.0,
        span: 0..0,
    };
    let least = over(&view, &front, &rear, &obstacle).least.expect("the rail counts").clearance;
    // In the middle between the tyres, by hand: the supplement of the ramp's angle is halved there. Hubs stand 0.3 over two lines
    // that meet at the crest with half of it each; the rail's underside is 0.1 under the hubs' line.
    let (half, r): (f64, f64) = (0.21, 0.3);
    let hubs = 1.2 * half.tan() - r / half.cos();
    // Vertical at half of the ramp's slope: the drop square to the rail over the cosine.
    let deepest = (hubs + 0.1) / half.cos();
    assert!(deepest > 0.0 && (least + deepest).abs() < 2e-3, "{least}, by hand {deepest}");
}

/// The bound holds: no pose, in steps of a millimetre, comes nearer than what was found by more than it is known to.
#[test]
fn no_pose_comes_nearer_than_the_least() {
    let text = r#"
[design]
name = "Test"
[section.t]
shape = "round"
od = 30
wall = 2
material = "E355+N"
[section.b]
shape = "box"
width = 50
height = 80
wall = 3
material = "S355J2H"
[point]
a = [1500, 300, 330]
b = [700, 320, 240]
c = [-800, 250, 230]
d = [-1500, 300, 380]
e = [200, 300, 215]
[tube.front]
section = "t"
path = ["a", "b"]
[tube.rail]
section = "b"
path = ["b", "c"]
[tube.rear]
section = "t"
path = ["c", "d"]
[tube.cross]
section = "t"
path = ["e", "e~"]
"#;
    let shape = shape::resolve(Arc::new(design::read(text).unwrap().design)).unwrap();
    let layout = Layout::new(&shape);
    let view = View::new(&layout, &vec![true; layout.things.len()], &[], Ground::new(0.0, 0.0, 0.0));
    let profile = |p: &[[f64; 2]]| ObstacleShape::Profile(p.iter().map(|p| DVec2::new(p[0], p[1])).collect());
    let shapes = [
        ObstacleShape::Hump { length: 3.7, height: 0.1 },
        ObstacleShape::Hump { length: 0.9, height: 0.08 },
        ObstacleShape::Kerb { height: 0.12 },
        ObstacleShape::Ramp { height: 0.6, angle: 0.15 },
        ObstacleShape::Ramp { height: 0.02, angle: 0.6 },
        profile(&[[0.0, 0.0], [0.4, 0.06], [0.8, -0.05], [1.9, 0.09], [2.6, 0.02]]),
        profile(&[[0.0, 0.0], [0.5, -0.1], [1.2, -0.1], [1.7, 0.0]]),
    ];
    for (front, rear) in [(0.32, 0.335), (0.3, 0.26)] {
        let tyre = |x: f64, r: f64| Tyre { hub: DVec2::new(x, r), loaded: r };
        let (front, rear) = (tyre(1.26, front), tyre(-1.25, rear));
        for s in &shapes {
            let obstacle = Obstacle { name: "it".into(), shape: s.clone(), clearance: 0.0, span: 0..0 };
            let found = over(&view, &front, &rear, &obstacle);
            let least = found.least.expect("something counts").clearance;
            assert!(least > 0.0, "{s:?} {least}");
            let road = Road::new(s);
            let drive = Drive { rolling: Rolling::new(&road, front, rear, view.area), view: &view };
            let poses = drive.rolling.poses();
            let (mut at, end) = (poses[0].s, poses[poses.len() - 1].s);
            let mut dense = f64::INFINITY;
            while at < end {
                dense = drive.clearance(&drive.rolling.pose(at), dense).map_or(dense, |f| f.clearance.min(dense));
                at += 1e-3;
            }
            assert!(least < dense + KNOWN, "{s:?}: {least} is more than {dense}");
            // A part moves by at most a millimetre or so between two looks.
            assert!(least > dense - 1e-3, "{s:?}: {least} is less than {dense}");
        }
    }
}
