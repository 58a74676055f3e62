use std::sync::Arc;

use design::ObstacleShape;

use super::*;
use crate::ground::Ground;
use crate::side::Layout;

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
