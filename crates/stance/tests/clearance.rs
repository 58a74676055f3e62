//! Lowest places and the angles of ramps, against the published definitions' worked numbers.

mod common;

use common::{WHEELS, cross, near, only, stand, words};
use shape::Level;
use stance::Governed;

/// The angles of a design of cross tubes under the wheels' usual ground.
fn angles(tubes: &str) -> [Option<Governed>; 3] {
    let s = only(&format!("{WHEELS}{tubes}"));
    [s.approach, s.departure, s.breakover]
}

/// What a point gives, 49 CFR 523.2: x ahead of the hub, z over the ground.
fn point(x: f64, z: f64, r: f64) -> f64 {
    (r / x.hypot(r - z)).asin() - ((r - z) / x).atan()
}

/// The oracle's figures are of a point: a tube of almost no thickness stands for it.
fn thin(tubes: &str) -> [Option<Governed>; 3] {
    let s = only(&format!("{WHEELS}{tubes}").replace("section = \"t\"", "section = \"wire\"").replace(
        "[wheel.front]",
        "[section.wire]\nshape = \"round\"\nod = 0.2\nwall = 0.05\nmaterial = \"E355+N\"\n[wheel.front]",
    ));
    [s.approach, s.departure, s.breakover]
}

fn wire(name: &str, x: f64, z: f64) -> String {
    format!(
        "[point]\n{name}_p = [{x}, 300, {z}]\n[tube.{name}]\nsection = \"t\"\npath = [\"{name}_p\", \"{name}_p~\"]\n"
    )
}

#[test]
fn approach_and_departure_of_the_worked_examples() {
    // x 600, z 300, R 300: 30.000°; x 600, z 200: 20.089°. The wire's radius of 0.1 takes a hundredth of a degree off.
    for (z, degrees) in [(300.0, 30.000), (200.0, 20.089)] {
        let [approach, departure, _] = thin(&(wire("nose", 1600.0, z)));
        near(approach.as_ref().unwrap().angle.to_degrees(), degrees, 0.012);
        assert_eq!(approach.unwrap().name, "nose");
        assert!(departure.is_none());
        let [approach, departure, _] = thin(&(wire("tail", -1600.0, z)));
        near(departure.unwrap().angle.to_degrees(), degrees, 0.012);
        assert!(approach.is_none());
    }
    near(point(0.6, 0.2, 0.3).to_degrees(), 20.089, 5e-4);
}

/// A line tangent to two circles: the tyre's, and the tube's from below.
#[test]
fn a_round_cross_tube_is_touched_on_its_underside() {
    for (x, z) in [(1400.0, 250.0), (1600.0, 110.0), (1900.0, 400.0)] {
        let [approach, ..] = angles(&cross("nose", x, z - 10.0));
        let (dx, dz) = (x / 1e3 - 1.0, 0.3 - z / 1e3);
        let exact = ((0.3 - 0.01) / dx.hypot(dz)).asin() - dz.atan2(dx);
        near(approach.unwrap().angle, exact, 1e-9);
    }
}

#[test]
fn breakover_of_the_worked_example() {
    // Wheelbase 2000, the middle 200 over the ground, R 300: 23.315°.
    let [.., breakover] = thin(&wire("belly", 0.0, 200.1));
    near(breakover.unwrap().angle.to_degrees(), 23.315, 6e-4);
    // A flat belly is met between its ends; its highest angle governs nothing.
    let rail = "[point]\na = [600, 300, 200.1]\nb = [-500, 300, 200.1]\n[tube.rail]\nsection = \"t\"\npath = [\"a\", \"b\"]\nmirror = true\n";
    let [.., breakover] = thin(rail);
    let b = breakover.unwrap();
    near(b.angle.to_degrees(), 23.315, 6e-4);
    near(b.at.x, 0.0, 1e-5);
}

/// The least over many places of the underside, by the definition.
#[test]
fn breakover_is_the_least_over_the_underside() {
    let body = format!(
        "{}{}{}",
        cross("one", 350.0, 190.0),
        cross("two", -450.0, 160.0),
        "[point]\na = [700, 250, 260]\nb = [-700, 200, 180]\n[tube.rail]\nsection = \"b\"\npath = [\"a\", \"b\"]\nmirror = true\n"
    );
    let [.., found] = angles(&body);
    let found = found.unwrap();
    let s = common::shape(&body);
    let mut least = (f64::INFINITY, String::new());
    for t in &s.tubes {
        let n = 400;
        for i in 0..=n {
            let p = t.chain.point(t.chain.length() * i as f64 / n as f64);
            for k in 0..720 {
                let d = t.outline.point(t.outline.station(t.outline.perimeter() * k as f64 / 720.0));
                let q = t.frames[0].at(p).place(d);
                let a = point(1.0 - q.x, q.z, 0.3) + point(q.x + 1.0, q.z, 0.3);
                if a < least.0 {
                    least = (a, t.name.clone());
                }
            }
        }
    }
    assert_eq!(found.name, least.1);
    assert!(found.angle <= least.0 + 1e-12, "{} {}", found.angle, least.0);
    near(found.angle, least.0, 1e-5);
}

#[test]
fn what_stands_within_the_tyre_is_in_nobodys_way() {
    // Behind the tyre's front in side view, and over the hub.
    let [approach, ..] = angles(&format!("{}{}", cross("within", 1150.0, 250.0), cross("high", 1200.0, 900.0)));
    assert!(approach.is_none(), "{approach:?}");
    // Just out of the circle, between the angles that are looked at first.
    for i in 0..40 {
        let a = (-40.0 + i as f64).to_radians();
        let reach: f64 = 300.0 - 10.0 + 0.5;
        let body = cross("peeps", 1000.0 + reach * a.cos(), 300.0 + reach * a.sin() - 10.0);
        let [approach, ..] = angles(&body);
        let exact = ((0.3 - 0.01) / (reach / 1e3)).asin() + a;
        if exact < 1.5 {
            near(approach.expect("it stands out").angle, exact, 1e-9);
        }
    }
}

#[test]
fn the_lowest_places_have_stations_and_limits() {
    let body = format!(
        "{WHEELS}{}[point]\na = [700, 250, 100]\nb = [-700, 250, 130]\n[tube.rail]\nsection = \"b\"\npath = [\"a\", \"b\"]\nmirror = true\n\
         [plate.skid]\nthickness = 4\nmaterial = \"S355J2H\"\nside = \"below\"\n\
         outline = {{ origin = \"a\", x = [1, 0, 0], y = [0, 1, 0], corners = [[-200, -100], [-100, -100], [-100, 0], [-200, 0]] }}\n\
         [mass.sump]\nat = [0, 0, 200]\nkg = 50\nsize = [200, 200, 260]\n",
        cross("bar", -300.0, 90.0)
    );
    let a = stand(&body);
    let s = &a.stances[0];
    let order: Vec<&str> = s.lowest.iter().map(|l| l.name.as_str()).collect();
    // Rail: 100 less 40 cos of its slope, lowest at its front end.
    assert_eq!(order, ["rail", "rail~", "sump", "bar", "skid"]);
    let slope = (30.0f64 / 1400.0).atan();
    near(s.lowest[0].height, 0.1 - 0.04 * slope.cos(), 1e-12);
    near(s.lowest[0].station.unwrap(), 0.0, 1e-12);
    near(s.lowest[2].height, 0.07, 1e-12);
    near(s.lowest[3].height, 0.09, 1e-12);
    near(s.lowest[4].height, 0.096, 1e-12);
    let f = &a.findings[0];
    assert_eq!((f.what.as_str(), f.level), ("drawn: rail runs nearer to the ground than wanted", Level::Look));
    let a = stand(&format!("{body}[limits]\nclearance = 50\napproach = 80\nbreakover = 30\n"));
    let list = words(&a, Level::Mend);
    assert_eq!(list, ["drawn: the ramp breakover angle is less than wanted: sump is in the way"]);
}

/// A template's trunk is two balls of 200 mm, round the hip and between the shoulders (Formula SAE Rules 2026, F.5.6.5).
#[test]
fn what_lies_under_the_ground_is_told_with_its_depth_in_each_stance() {
    let rider = "[occupant.rider]\nfigure = \"template\"\npercentile = 95\nhip = [0, 0, 60]\nback = 20\n";
    let low = format!("{}{}", cross("bar", 0.0, -32.0), cross("rod", 300.0, -15.0));
    let stances = "[stance.driven]\n[stance.parked]\nwithout = [\"rider\"]\n";
    let a = stand(&format!("{WHEELS}{rider}{low}{}{stances}", cross("high", -300.0, 5.0)));
    let part = &a.stances[0].people[0];
    assert_eq!((part.person.as_str(), part.part), ("rider", "trunk"));
    near(part.height, -0.04, 1e-12);
    assert!(a.stances[1].people.is_empty());
    let told: Vec<&str> = words(&a, Level::Mend).into_iter().filter(|w| w.contains("under the ground")).collect();
    let bars = "bar is under the ground, by 32 mm; and rod by 15 mm";
    assert_eq!(
        told,
        [
            format!("driven: {bars}"),
            "driven: the trunk of rider is under the ground, by 40 mm".to_owned(),
            format!("parked: {bars}"),
        ]
    );
    // Higher by as much: nothing is under it, and what just lies on it is not.
    let up = WHEELS.replace("300]", "260]");
    let a =
        stand(&format!("{up}{}{}{stances}", rider, cross("bar", 0.0, -40.0)).replace("without = [\"rider\"]\n", ""));
    near(a.stances[0].lowest[0].height, 0.0, 1e-12);
    near(a.stances[0].people[0].height, 0.0, 1e-12);
    assert!(words(&a, Level::Mend).iter().all(|w| !w.contains("under the ground")), "{:?}", a.findings);
}

#[test]
fn on_stands_too_low_for_the_rest_of_it() {
    let rails = "[point]\na = [1000, 300, 0]\nb = [-1000, 300, 0]\n[tube.rail]\nsection = \"b\"\npath = [\"a\", \"b\"]\nmirror = true\n";
    let at = |x: i32, t: &str| format!("{{ under = \"{t}\", x = {x}, height = 100 }}");
    let list = [at(800, "rail"), at(800, "rail~"), at(-800, "rail"), at(-800, "rail~")].join(", ");
    let a = stand(&format!("{rails}{}[stance.bench]\nstands = [{list}]\n", cross("keel", 0.0, -180.0)));
    // The rails' undersides are at -40 and stand 100 high.
    let told = words(&a, Level::Mend);
    assert!(told.contains(&"bench: keel is under the ground, by 40 mm"), "{told:?}");
}
