//! The engine, set up as it is here, against mechanics that can be worked out by hand.

use glam::{DMat3, DVec3};
use std::sync::atomic::AtomicBool;
use tumble::{Ball, Body, Ended, Ranges, Refused, Settings, Start, one, tumble};

/// A uniform block with its centre of gravity moved up or down.
fn block(size: DVec3, shift: f64) -> Body {
    let hull = (0..8).map(|k| {
        let s = |bit: usize| if k >> bit & 1 == 0 { -0.5 } else { 0.5 };
        size * DVec3::new(s(0), s(1), s(2))
    });
    let sq = size * size;
    Body {
        hull: hull.collect(),
        centre: DVec3::Z * shift,
        mass: 700.0,
        inertia: DMat3::from_diagonal(DVec3::new(sq.y + sq.z, sq.x + sq.z, sq.x + sq.y) * (700.0 / 12.0)),
        up: DVec3::Z,
        room: Vec::new(),
    }
}

const STILL: Start = Start {
    heading: 0.0,
    velocity: DVec3::ZERO,
    spin: DVec3::ZERO,
    drop: 0.0,
    roll: 0.0,
    pitch: 0.0,
    friction: 0.9,
    slope: 0.0,
    bounce: 0.0,
};

/// Up at the end, in the body's axes.
fn up(body: &Body, start: &Start) -> DVec3 {
    match one(body, start).unwrap().ended {
        Ended::AtRest(up) => up,
        Ended::Moving => panic!("still moving"),
    }
}

#[test]
fn it_goes_over_an_edge_when_its_energy_says_so() {
    // Turning about the edge that it stands on, a block goes over if I ω²/2 > m g (r - h): conservation of energy.
    let size = DVec3::new(3.0, 1.5, 1.0);
    for shift in [-0.2, 0.0, 0.2] {
        let body = block(size, shift);
        let h = size.z / 2.0 + shift;
        let r = h.hypot(size.y / 2.0);
        let about_edge = body.inertia.col(0).x + body.mass * r * r;
        let limit = (2.0 * body.mass * 9.80665 * (r - h) / about_edge).sqrt();
        for (part, over) in [(0.96, false), (1.04, true)] {
            let rate = part * limit;
            // Rolling to the right, about the right lower edge: the centre of gravity moves with it. It sets out a
            // degree on its way, so that the other edge is off the ground.
            let (high, out) = rotated(h, size.y / 2.0, AWAY);
            let rate = (rate * rate - 2.0 * body.mass * 9.80665 * (high - h) / about_edge).sqrt();
            let s = Start {
                roll: AWAY,
                spin: DVec3::X * rate,
                velocity: DVec3::new(0.0, -high, out) * rate,
                friction: 1.5,
                ..STILL
            };
            let ends = up(&body, &s);
            assert_eq!(ends.z < 0.5, over, "shift {shift}, {part} of the limit: up is {ends}");
        }
    }
}

/// A little over a degree.
const AWAY: f64 = 0.02;

/// Height and horizontal distance of the centre of gravity from the edge, turned by `a`.
fn rotated(h: f64, half: f64, a: f64) -> (f64, f64) {
    (h * a.cos() + half * a.sin(), half * a.cos() - h * a.sin())
}

#[test]
fn let_go_beyond_its_balance_it_goes_over_and_short_of_it_it_comes_back() {
    // A rigid block balances on its edge at atan(T / 2h) (static stability: tan = T/2h).
    for (size, shift) in [(DVec3::new(3.0, 1.5, 1.0), 0.0), (DVec3::new(2.0, 1.4, 1.2), 0.3)] {
        let body = block(size, shift);
        let balance = (size.y / 2.0 / (size.z / 2.0 + shift)).atan();
        for side in [-1.0, 1.0] {
            for (off, over) in [(-0.02, false), (0.02, true)] {
                let s = Start { roll: side * (balance + off), friction: 1.5, heading: 1.0, ..STILL };
                assert_eq!(up(&body, &s).z < 0.5, over, "{size} {shift} {side} {off}");
            }
        }
    }
}

#[test]
fn it_slides_as_far_as_friction_lets_it() {
    // v² / 2 μ g, flat on its widest side.
    let body = block(DVec3::new(3.0, 2.0, 0.2), 0.0);
    for (speed, friction) in [(5.0f64, 0.5f64), (10.0, 0.8)] {
        let s = Start { velocity: DVec3::X * speed, friction, ..STILL };
        let run = one(&body, &s).unwrap();
        let time = speed / (friction * 9.80665);
        assert!((run.time - time - 0.5).abs() < 0.04, "{} s is not {time} s and a half", run.time);
        assert!((up(&body, &s) - DVec3::Z).length() < 1e-3);
    }
}

const RANGES: Ranges =
    Ranges { speed: [3.0, 20.0], spin: [1.0, 8.0], friction: [0.4, 0.9], slope: [0.0, 0.35], bounce: [0.0, 0.3] };

const SIX: [DVec3; 6] = [DVec3::Z, DVec3::NEG_Z, DVec3::Y, DVec3::NEG_Y, DVec3::X, DVec3::NEG_X];

fn all(body: &Body, runs: u32, seed: u64) -> tumble::Tumbles {
    tumble(body, &SIX, &Settings { runs, seed, ranges: RANGES, soft: 0.05 }, &|_| (), &AtomicBool::new(false)).unwrap()
}

#[test]
fn sides_that_are_alike_are_reached_alike() {
    // A body that is its own mirror image, thrown to either side as often: left and right are equal but for chance. With
    // n in both, their difference has a standard deviation of √n.
    let t = all(&block(DVec3::new(1.4, 1.2, 1.0), 0.0), 1500, 3);
    assert_eq!(t.ended.iter().sum::<u32>() + t.elsewhere + t.moving, 1500);
    let (left, right) = (f64::from(t.ended[2]), f64::from(t.ended[3]));
    assert!((left - right).abs() < 4.0 * (left + right).sqrt(), "{:?}", t.ended);
    // The lower a rest, the more often it is reached: it takes less to fall into and more to leave.
    assert!(t.ended[0] + t.ended[1] > t.ended[2] + t.ended[3], "{:?}", t.ended);
    assert!(t.ended[2] + t.ended[3] > t.ended[4] + t.ended[5], "{:?}", t.ended);
    assert!(f64::from(t.elsewhere + t.moving) < 0.02 * 1500.0, "{} {}", t.elsewhere, t.moving);
}

#[test]
fn a_low_centre_of_gravity_brings_it_back_on_its_feet() {
    let size = DVec3::new(1.4, 1.2, 1.0);
    let [low, middle, high] = [-0.3, 0.0, 0.3].map(|shift| all(&block(size, shift), 600, 5).ended[0]);
    assert!(low > middle && middle > high, "{low} {middle} {high}");
}

#[test]
fn the_same_seed_gives_the_same_tumbles_on_any_number_of_cores() {
    let body = block(DVec3::new(3.0, 1.5, 1.0), 0.0);
    let one_core = rayon::ThreadPoolBuilder::new().num_threads(1).build().unwrap();
    let a = all(&body, 60, 11);
    assert_eq!(a, one_core.install(|| all(&body, 60, 11)));
    assert_ne!(a, all(&body, 60, 12));
}

#[test]
fn somebodys_room_is_watched() {
    // A ball that looks out of the roof is touched whenever the car goes over, one in the middle never.
    let mut body = block(DVec3::new(3.0, 1.5, 1.0), 0.0);
    body.room = vec![
        Ball { part: 0, centre: DVec3::ZERO, radius: 0.3 },
        Ball { part: 1, centre: DVec3::Z * 0.45, radius: 0.06 },
    ];
    let t = all(&body, 200, 2);
    assert_eq!(t.parts[0], 0);
    assert!(t.parts[1] >= t.ended[1], "{:?}", t);
    assert!(t.touched == t.parts[1] && t.touched_soft >= t.touched);
    // On its roof the ball is 10 mm under the ground, give or take what the engine lets bodies sink in.
    assert!(t.least.is_some_and(|x| x < -0.005), "{:?}", t.least);
}

#[test]
fn what_cannot_tumble_is_refused() {
    let good = block(DVec3::ONE, 0.0);
    let refused = |body: Body| one(&body, &STILL).unwrap_err();
    assert_eq!(refused(Body { hull: vec![DVec3::ZERO; 9], ..good.clone() }), Refused::Hull);
    assert_eq!(
        refused(Body { hull: good.hull[..4].iter().map(|p| p.with_z(0.0)).collect(), ..good.clone() }),
        Refused::Hull
    );
    assert_eq!(refused(Body { hull: vec![DVec3::NAN; 9], ..good.clone() }), Refused::Hull);
    assert_eq!(refused(Body { hull: Vec::new(), ..good.clone() }), Refused::Hull);
    assert_eq!(refused(Body { mass: 0.0, ..good.clone() }), Refused::Mass);
    assert_eq!(refused(Body { inertia: DMat3::ZERO, ..good.clone() }), Refused::Mass);
    let stop = AtomicBool::new(true);
    let settings = Settings { runs: 10, seed: 1, ranges: RANGES, soft: 0.0 };
    assert_eq!(tumble(&good, &SIX, &settings, &|_| (), &stop), Err(Refused::Stopped));
}
