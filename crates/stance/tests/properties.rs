//! A design that is mirrored, turned end for end, moved, or written in inches stands as before.

mod common;

use std::sync::Arc;

use proptest::prelude::*;
use stance::{Answer, Stood};

type Place = [f64; 3];

#[derive(Clone, Debug)]
struct Car {
    tubes: Vec<(Place, Place, bool)>,
    hubs: Vec<(f64, f64, f64, f64)>,
    mass: (Place, f64),
}

fn car() -> impl Strategy<Value = Car> {
    let place = || [-1600.0..1600.0f64, -600.0..600.0f64, 250.0..900.0f64];
    let tubes = prop::collection::vec((place(), place(), any::<bool>()), 1..6)
        .prop_filter("tubes have length", |t| t.iter().all(|(a, b, _)| (a[0] - b[0]).abs() > 50.0));
    // Three wheels, so that they always fit a plane: one in front, two behind, or the other way round.
    let hub = |x: f64, y: f64| (x - 80.0..x + 80.0, y - 60.0..y + 60.0, 260.0..340.0f64, 260.0..330.0f64);
    let hubs = prop_oneof![
        Just([(1000.0, 0.0), (-1000.0, 700.0), (-1000.0, -700.0)]),
        Just([(-1000.0, 0.0), (1000.0, 700.0), (1000.0, -700.0)])
    ]
    .prop_flat_map(move |h| h.map(|(x, y)| hub(x, y)).to_vec());
    let mass = (([-300.0..300.0f64, -80.0..80.0f64, 350.0..700.0f64]), 100.0..800.0f64);
    (tubes, hubs, mass).prop_map(|(tubes, hubs, mass)| Car { tubes, hubs, mass })
}

/// The car's file with every place moved by `to`, in millimetres or inches.
fn text(car: &Car, to: &dyn Fn(Place) -> Place, inches: bool) -> String {
    let k = if inches { 1.0 / 25.4 } else { 1.0 };
    let n = |v: f64| format!("{:.12}", v * k);
    let p = |q: Place| {
        let q = to(q);
        format!("[{}, {}, {}]", n(q[0]), n(q[1]), n(q[2]))
    };
    let mut out = format!(
        "[design]\nname = \"Test\"\nunits = \"{}\"\n[section.r]\nshape = \"round\"\nod = {}\nwall = {}\nmaterial = \"E355+N\"\n\
         [section.b]\nshape = \"box\"\nwidth = {}\nheight = {}\nwall = {}\nmaterial = \"S355J2H\"\n[point]\n",
        if inches { "in" } else { "mm" },
        n(40.0),
        n(2.0),
        n(40.0),
        n(40.0),
        n(3.0)
    );
    for (i, (a, b, _)) in car.tubes.iter().enumerate() {
        out += &format!("a{i} = {}\nb{i} = {}\n", p(*a), p(*b));
    }
    for (i, (.., boxed)) in car.tubes.iter().enumerate() {
        let section = if *boxed { "b" } else { "r" };
        out += &format!("[tube.t{i}]\nsection = \"{section}\"\npath = [\"a{i}\", \"b{i}\"]\n");
    }
    for (i, (x, y, z, r)) in car.hubs.iter().enumerate() {
        let (at, r, w) = (p([*x, *y, *z]), n(*r), n(150.0));
        out += &format!("[wheel.w{i}]\nat = {at}\nradius = {r}\nwidth = {w}\nkg = 12\n");
    }
    let (at, kg) = car.mass;
    out += &format!("[mass.m]\nat = {}\nkg = {kg}\n", p(at));
    let (l, h) = (n(1800.0), n(60.0));
    out + &format!("[obstacle.hump]\nhump = {{ length = {l}, height = {h} }}\n")
}

fn stand(text: &str) -> Answer {
    let reading = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", text)));
    let shape = shape::resolve(Arc::new(reading.design)).unwrap_or_else(|_| panic!("{text}"));
    stance::stand(&shape)
}

fn first(a: &Answer) -> &Stood {
    &a.stances[0]
}

fn close(a: f64, b: f64, by: f64, what: &str) -> Result<(), TestCaseError> {
    prop_assert!((a - b).abs() <= by, "{what}: {a} is not {b}");
    Ok(())
}

/// What no turn or shift changes; `swapped` if front and rear have changed places.
fn same(a: &Answer, b: &Answer, swapped: bool) -> Result<(), TestCaseError> {
    let (a, b) = (first(a), first(b));
    close(a.centre.unwrap().z, b.centre.unwrap().z, 1e-8, "height of the centre")?;
    close(a.mass.mass, b.mass.mass, 1e-6, "mass")?;
    for l in &a.lowest {
        let m = b.lowest.iter().find(|m| m.name == l.name).unwrap();
        close(l.height, m.height, 1e-8, &l.name)?;
    }
    for w in &a.wheels {
        let v = b.wheels.iter().find(|v| v.name == w.name).unwrap();
        close(w.load.unwrap(), v.load.unwrap(), 1e-3, &w.name)?;
    }
    let angle = |g: &Option<stance::Governed>| g.as_ref().map_or(f64::NAN, |g| g.angle);
    let (approach, departure) = if swapped { (&b.departure, &b.approach) } else { (&b.approach, &b.departure) };
    for (x, y, what) in [
        (&a.approach, approach, "approach"),
        (&a.departure, departure, "departure"),
        (&a.breakover, &b.breakover, "ramp"),
    ] {
        prop_assert_eq!(x.is_some(), y.is_some(), "{}", what);
        if x.is_some() {
            close(angle(x), angle(y), 1e-6, what)?;
        }
    }
    if !swapped {
        let least = |s: &Stood| s.crossings[0].least.as_ref().map(|m| m.clearance);
        if let (Some(x), Some(y)) = (least(a), least(b))
            && x > 0.0
        {
            close(x, y, 1.1e-4, "least over the hump")?;
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    #[test]
    fn stands_the_same_however_it_is_drawn(car in car(), shift in [-900.0..900.0f64, -400.0..400.0f64, -500.0..500.0f64]) {
        let plain = stand(&text(&car, &|p| p, false));
        prop_assert!(first(&plain).ground.is_some());
        same(&plain, &stand(&text(&car, &|p| [p[0], -p[1], p[2]], false)), false)?;
        same(&plain, &stand(&text(&car, &|p| [p[0] + shift[0], p[1] + shift[1], p[2] + shift[2]], false)), false)?;
        same(&plain, &stand(&text(&car, &|p| [-p[0], -p[1], p[2]], false)), true)?;
        same(&plain, &stand(&text(&car, &|p| p, true)), false)?;
        let json = serde_json::to_string(&plain).unwrap();
        prop_assert!(!json.contains("NaN"));
    }
}
