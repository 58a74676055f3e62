//! Ground, loads, springs and tipping, against hand calculations.

mod common;

use common::{WHEELS, near, only, stand, words};
use shape::Level;
use stance::{GRAVITY, Hub, Rule, Side};

fn mass(x: f64, y: f64, z: f64, kg: f64) -> String {
    format!("[mass.m]\nat = [{x}, {y}, {z}]\nkg = {kg}\n")
}

#[test]
fn four_like_wheels_stand_on_the_level_and_another_tyre_moves_every_height() {
    let s = only(&format!("{WHEELS}{}", mass(0.0, 0.0, 500.0, 400.0)));
    let g = s.ground.unwrap();
    near(g.height, 0.0, 1e-12);
    near(g.normal.z, 1.0, 1e-12);
    let loads = s.loads.unwrap();
    assert_eq!(loads.rule, Rule::EqualRoll);
    near(loads.wheelbase, 2.0, 1e-12);
    near(loads.track.unwrap(), 1.4, 1e-12);
    near(loads.weight, 440.0 * GRAVITY, 1e-9);
    for w in &s.wheels {
        near(w.load.unwrap(), 110.0 * GRAVITY, 1e-9);
    }
    // 40 lower in front, 30 lower behind: the ground slopes by 10 in 2000, and a tilted disc touches with R √(1 + b²).
    let s = only(&format!(
        "{WHEELS}[stance.low]\nwheels = [{{ wheel = \"front\", radius = 260 }}, {{ wheel = \"rear\", loaded = 270 }}]\n"
    ));
    let g = s.ground.unwrap();
    let b = -g.normal.x / g.normal.z;
    let k = (1.0 + b * b).sqrt();
    near(b, (0.27 * k - 0.26 * k) / 2.0, 1e-12);
    for w in &s.wheels {
        near(g.over(w.hub), w.loaded, 1e-12);
        near(w.gap, 0.0, 1e-12);
    }
    // The nose stands lower on smaller tyres.
    assert!(s.nose_up.unwrap() < 0.0);
}

#[test]
fn axle_and_corner_loads_follow_from_moments() {
    // Centre of gravity of all but the wheels 200 ahead of the middle and 70 to the left.
    let s = only(&format!("{WHEELS}{}", mass(200.0, 70.0, 500.0, 400.0)));
    let loads = s.loads.unwrap();
    let w = 440.0 * GRAVITY;
    let front = (400.0 * 1.2 + 20.0 * 2.0) / 2.0 * GRAVITY;
    near(loads.axles[0].load.unwrap(), front, 1e-8);
    near(loads.axles[1].load.unwrap(), w - front, 1e-8);
    // The rolling moment 400 · 70 is shared by halves: each axle's left wheel carries (half of it)/track more.
    let more = 0.5 * 400.0 * GRAVITY * 0.07 / 1.4;
    let load = |name: &str| s.wheels.iter().find(|w| w.name == name).unwrap().load.unwrap();
    near(load("front"), front / 2.0 + more, 1e-8);
    near(load("front~"), front / 2.0 - more, 1e-8);
    near(load("rear"), (w - front) / 2.0 + more, 1e-8);
    near(load("rear~"), (w - front) / 2.0 - more, 1e-8);
}

/// atan(T / 2h) for a rigid vehicle: 45.000°, 50.194°, 52.431°, 56.310°.
#[test]
fn tilt_limits_are_those_of_statics() {
    for (factor, degrees) in [(1.0, 45.000), (1.2, 50.194), (1.3, 52.431), (1.5, 56.310)] {
        let h = 700.0 / factor;
        // Wheels of a gram, so that the mass is the centre of gravity.
        let s = only(&format!("{}{}", WHEELS.replace("kg = 10", "kg = \"0.001 g\""), mass(100.0, 0.0, h, 1000.0)));
        let loads = s.loads.unwrap();
        near(loads.stability_factor.unwrap(), factor, 1e-6);
        for e in &loads.edges {
            match e.side {
                Side::Left | Side::Right => near(e.angle.to_degrees(), degrees, 5e-4),
                // Over the front axle 900 ahead, over the rear one 1100 behind.
                Side::Front => near(e.angle, (900.0 / h).atan(), 1e-6),
                Side::Rear => near(e.angle, (1100.0 / h).atan(), 1e-6),
            }
        }
        assert_eq!(loads.edges.len(), 4);
    }
}

#[test]
fn three_wheels_are_statics_and_tip_over_slanting_edges() {
    let body = format!(
        "{}{}",
        WHEELS.replacen("mirror = true", "", 1).replacen("700, 300", "0, 300", 1),
        mass(0.0, 0.0, 600.0, 300.0)
    );
    let s = only(&body);
    let loads = s.loads.unwrap();
    assert_eq!(loads.rule, Rule::Statics);
    // One wheel in front at x = 1000, two behind: 10·1000 - 20·1000 + 0 over 330.
    let front = (10.0 * 2.0 + 300.0) / 2.0 * GRAVITY;
    near(loads.axles[0].load.unwrap(), front, 1e-8);
    // The edge from (1, 0) to (-1, 0.7): its distance from the centre of gravity at (xg, 0).
    let xg = -10.0 / 330.0;
    let d = (1.0 - xg) * 0.7 / (4.0f64 + 0.49).sqrt();
    let left = loads.edges.iter().find(|e| e.side == Side::Left).unwrap();
    near(left.distance, d, 1e-9);
    assert_eq!(loads.edges.len(), 3);
}

#[test]
fn a_wheel_that_hangs_is_named_with_its_height() {
    // The left front hub 8 higher, as a wheel of its own.
    let body = format!(
        "[wheel.other]\nat = [1000, -700, 300]\nradius = 300\nwidth = 150\nkg = 10\n{}{}",
        WHEELS.replacen("mirror = true", "", 1).replacen("700, 300]", "700, 308]", 1),
        mass(-100.0, -50.0, 400.0, 300.0)
    );
    let a = stand(&body);
    let look = words(&a, Level::Look);
    assert!(look.iter().any(|w| w.contains("front hangs 8 mm over the plane")), "{look:?}");
    // Fitted by least squares: each stands a quarter of it off.
    for w in &a.stances[0].wheels {
        near(w.gap.abs(), 0.002, 2e-5);
    }
}

const SPRUNG: &str = r#"
[wheel.front]
at = [1000, 700, 300]
radius = 300
width = 150
kg = 10
bump = 80
droop = 80
spring = { rate = 20, free = 60 }
mirror = true
[wheel.rear]
at = [-1000, 700, 300]
radius = 310
loaded = 300
width = 150
kg = 15
bump = 80
droop = 80
spring = { rate = 30, free = 70 }
mirror = true
[stance.laden]
springs = true
"#;

/// Worked by hand: 400 kg of sprung mass 100 behind the middle, springs that leave the car level.
#[test]
fn hubs_settle_where_springs_carry_the_load() {
    let level = SPRUNG.replace("free = 70", "free = 51.827792");
    let s = only(&format!("{level}{}", mass(-100.0, 0.0, 500.0, 400.0)));
    // Sprung load: front 400·900/2000 = 180 kg, rear 220 kg; on each wheel 90 and 110 kg.
    // Front: 90·9.80665/20 = 44.129925 mm from free, which hangs 60 under: the hub is 15.870075 under its place.
    // Rear: 110·9.80665/30 = 35.957717 from 51.827792 under: the same.
    for w in &s.wheels {
        near(w.travel, -0.015_870_075, 1e-9);
        assert_eq!(w.state, Hub::Sprung);
    }
    // Hubs 15.87 lower in the frame: so is the ground.
    near(s.ground.unwrap().height, -0.015_870_075, 1e-9);
    near(
        s.loads.unwrap().height,
        0.3 * 50.0 / 450.0 + 0.5 * 400.0 / 450.0 - s.ground.unwrap().height - 0.015_870_075 * 50.0 / 450.0,
        1e-9,
    );
    let s = only(&format!("{SPRUNG}{}", mass(-100.0, 30.0, 500.0, 400.0)));
    // The equilibrium itself, exactly: loads carry the weight, and moments about the ground's axes vanish.
    let g = s.ground.unwrap();
    let (mut sum, mut mx, mut my) = (0.0, 0.0, 0.0);
    for w in &s.wheels {
        let p = g.place(w.contact);
        let load = w.load.unwrap();
        (sum, mx, my) = (sum + load, mx + load * p.x, my + load * p.y);
        near(g.over(w.contact), 0.0, 1e-9);
        let (rate, free, kg) = if w.name.starts_with('f') { (2e4, 0.06, 10.0) } else { (3e4, 0.07, 15.0) };
        near(load, rate * (w.travel + free) + kg * GRAVITY, 1e-6);
    }
    let c = g.place(s.mass.centre);
    near(sum, 450.0 * GRAVITY, 1e-6);
    near(mx, 450.0 * GRAVITY * c.x, 1e-6);
    near(my, 450.0 * GRAVITY * c.y, 1e-6);
    assert_eq!(s.loads.unwrap().rule, Rule::Springs);
}

/// Exactly by hand: springs and mass so chosen that the car stays level, on tyres with a rate.
#[test]
fn tyres_give_by_their_load() {
    let text = SPRUNG
        .replace("free = 70", "free = 60")
        .replace("kg = 15", "kg = 10")
        .replace("rate = 30", "rate = 20")
        .replace("radius = 310\nloaded = 300", "radius = 300")
        .replace("mirror = true", "tyre_rate = 150\nmirror = true");
    let s = only(&format!("{text}{}", mass(0.0, 0.0, 500.0, 400.0)));
    let load = 110.0 * GRAVITY;
    for w in &s.wheels {
        near(w.load.unwrap(), load, 1e-7);
        near(w.loaded, 0.3 - load / 150e3, 1e-12);
        near(w.travel, 100.0 * GRAVITY / 20e3 - 0.06, 1e-12);
        near(s.ground.unwrap().over(w.hub), w.loaded, 1e-12);
    }
    // Held hubs on the same tyres.
    let s = only(&format!("{}{}", text.replace("springs = true", ""), mass(0.0, 0.0, 500.0, 400.0)));
    for w in &s.wheels {
        near(w.load.unwrap(), load, 1e-7);
        near(w.travel, 0.0, 0.0);
        near(w.loaded, 0.3 - load / 150e3, 1e-12);
    }
}

#[test]
fn travel_is_limited_and_reported() {
    // 1,200 kg over the front: 20 N/mm would take far more than 80 of bump.
    let a = stand(&format!("{SPRUNG}{}", mass(300.0, 0.0, 500.0, 1200.0)));
    let w = &a.stances[0].wheels[0];
    assert_eq!(w.state, Hub::Bump);
    near(w.travel, 0.08, 1e-12);
    assert!(words(&a, Level::Look).contains(&"laden: front has risen as far as it can under the load"));
    let sum: f64 = a.stances[0].wheels.iter().map(|w| w.load.unwrap()).sum();
    near(sum, 1250.0 * GRAVITY, 1e-6);
    // A stiff corner that is drawn short hangs.
    let text = SPRUNG.replace("rate = 20, free = 60", "rate = 2000, free = 1").replace("droop = 80", "droop = 200");
    let a = stand(&format!("{text}{}", mass(-980.0, 600.0, 500.0, 600.0)));
    let what = words(&a, Level::Look).join("\n");
    assert!(what.contains("front~ hangs: its spring would have to pull") || what.contains("front~ is clear"), "{what}");
}

#[test]
fn riders_left_out_and_part_of_a_tank() {
    let a = stand(&format!(
        "{WHEELS}[mass.tank]\nat = [-500, 0, 400]\nkg = 40\n[mass.box]\nat = [0, 0, 400]\nkg = 100\nmirror = false\n\
         [occupant.rider]\nhip = [0, 0, 200]\nstature = 1750\nkg = 75\n\
         [stance.full]\n[stance.light]\nwithout = [\"rider\"]\npart = [{{ mass = \"tank\", part = 0.25 }}]\n"
    ));
    near(a.stances[0].mass.mass, 40.0 + 40.0 + 100.0 + 75.0, 1e-9);
    near(a.stances[1].mass.mass, 40.0 + 10.0 + 100.0, 1e-9);
    near(a.stances[1].mass.centre.x, -0.5 * 10.0 / 150.0, 1e-12);
}

#[test]
fn an_empty_tank_still_hangs_there() {
    let a = stand(&format!(
        "{WHEELS}[mass.tank]\nat = [-500, 0, 400]\nkg = 40\nsize = [200, 300, 100]\n[mass.box]\nat = [0, 0, 400]\nkg = 100\n\
         [stance.full]\n[stance.empty]\npart = [{{ mass = \"tank\", part = 0 }}]\n[stance.out]\nwithout = [\"tank\"]\n"
    ));
    let low = |i: usize| a.stances[i].lowest.iter().find(|p| p.name == "tank").map(|p| p.height);
    near(low(1).unwrap(), low(0).unwrap(), 1e-12);
    assert!(low(2).is_none());
    near(a.stances[1].mass.mass, a.stances[2].mass.mass, 1e-12);
}

#[test]
fn stands_hold_undersides_at_their_heights() {
    let rails = "[point]\na = [1000, 300, 0]\nb = [-1000, 300, 0]\n[tube.rail]\nsection = \"b\"\npath = [\"a\", \"b\"]\nmirror = true\n";
    let stand_at = |x: i32, h: i32, t: &str| format!("{{ under = \"{t}\", x = {x}, height = {h} }}");
    let body = |hs: [i32; 4]| {
        format!(
            "{rails}[stance.bench]\nstands = [{}, {}, {}, {}]\n",
            stand_at(800, hs[0], "rail"),
            stand_at(800, hs[1], "rail~"),
            stand_at(-800, hs[2], "rail"),
            stand_at(-800, hs[3], "rail~")
        )
    };
    let s = only(&body([450; 4]));
    // 80 high, so its underside is 40 under its middle.
    near(s.ground.unwrap().height, -0.49, 1e-12);
    assert_eq!(s.lowest[0].name, "rail");
    near(s.lowest[0].height, 0.45, 1e-12);
    // 16 higher at the rear in 1600: the floor falls by 0.573 degrees to the nose... and every stand keeps its height.
    let s = only(&body([450, 450, 466, 466]));
    let g = s.ground.unwrap();
    near(s.nose_up.unwrap().sin(), -0.016 / 1.6, 1e-4);
    for f in &s.stands {
        near(g.over(f.at), f.height, 1e-12);
    }
    let a = stand(&body([450, 450, 450, 460]));
    assert!(words(&a, Level::Look).iter().any(|w| w.contains("the stand under")), "{:?}", a.findings);
    // Wheels are weighed unless they are off.
    let with = only(&format!("{WHEELS}{}", body([450; 4]))).mass.mass;
    let off = only(&format!("{WHEELS}{}wheels_off = true\n", body([450; 4]))).mass.mass;
    near(with - off, 40.0, 1e-9);
    near(off, only(&body([450; 4])).mass.mass, 1e-9);
    // Two stands, a stand beside the tube.
    for (list, word) in [
        (
            stand_at(0, 450, "rail") + ", " + &stand_at(500, 450, "rail") + ", " + &stand_at(-500, 450, "rail"),
            "do not hold",
        ),
        (
            stand_at(1500, 450, "rail") + ", " + &stand_at(0, 450, "rail~") + ", " + &stand_at(-500, 450, "rail"),
            "reach over",
        ),
    ] {
        let a = stand(&format!("{rails}[stance.bench]\nstands = [{list}]\n"));
        assert!(words(&a, Level::NotChecked).iter().any(|w| w.contains(word)), "{:?}", a.findings);
    }
}

#[test]
fn impossible_cases_are_findings() {
    let one = "[wheel.only]\nat = [0, 700, 300]\nradius = 300\nwidth = 150\nkg = 10\nmirror = true\n";
    let axle = "[wheel.other]\nat = [0, 500, 300]\nradius = 300\nwidth = 150\nkg = 10\nmirror = true\n";
    for (body, word) in [
        (String::new(), "no wheels"),
        (one.to_owned(), "two wheels or fewer"),
        (format!("{one}{axle}"), "on one line"),
        (format!("{WHEELS}[stance.x]\nsprings = true\n"), "has no spring"),
    ] {
        let a = stand(&format!("{body}{}", common::cross("c", 0.0, 200.0)));
        let list = words(&a, Level::NotChecked);
        assert!(list.iter().any(|w| w.contains(word)), "{word}: {list:?}");
        let json = serde_json::to_string(&a).unwrap();
        assert!(!json.contains("NaN"));
    }
    let a = stand(&format!("{WHEELS}{}", mass(-1500.0, 0.0, 500.0, 400.0)));
    let list = words(&a, Level::Mend);
    assert!(list.iter().any(|w| w.contains("it tips backward")), "{list:?}");
}
