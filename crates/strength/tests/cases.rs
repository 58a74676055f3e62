//! Load cases of designs.

use std::path::Path;
use std::sync::Arc;

use strength::{Depth, strength};

fn shape(name: &str) -> shape::Shape {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let text = std::fs::read_to_string(path).expect("an example");
    let design = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, name, &text))).design;
    shape::resolve(Arc::new(design)).expect("a shape")
}

#[test]
fn the_demo_carries_its_loads() {
    let a = strength(&shape("gorse.toml"), Depth::Full);
    for f in &a.findings {
        eprintln!("{}", f.what);
    }
    for n in &a.without {
        eprintln!("{n:?}");
    }
    for c in &a.cases {
        eprintln!(
            "{}: {} moves {:.2} mm; residual {:.1e}",
            c.name,
            c.moved.name,
            c.moved.by.length() * 1e3,
            c.residual
        );
        for u in &c.used[..4] {
            eprintln!(
                "   {} {:.0} mm: {:.3} ({:.0} N, {:.0} N m)",
                u.tube,
                u.station * 1e3,
                u.stress.utilisation,
                u.stress.force,
                u.stress.bending
            );
        }
    }
    for v in &a.vibration {
        eprintln!("{v:?}");
    }
    for c in &a.cases {
        eprintln!("{} {:?}", c.name, c.buckling);
    }
    for c in a.cases.iter().filter_map(|c| c.crushed.as_ref()) {
        eprintln!("{} {} {:?} {:?} {} steps, {}", c.told, c.along, c.peak, c.yields, c.curve.len(), c.end);
        for h in &c.hinges {
            eprintln!("{h:?}");
        }
        eprintln!("{:?} {:?} {:?}", c.entry, c.drop, c.curve.last());
    }
    let v = a.advice.as_ref().unwrap();
    eprintln!("{} looked at, {:?}, {:?} {}", v.looked_at, v.left_out, v.aims, v.section);
    for b in v.braces.iter().take(14) {
        eprintln!("{:?} twin {} {:.2} kg {:.3?}", b.joins, b.twin, b.mass, b.gains);
    }
    for l in v.losses.iter().take(12) {
        eprintln!("{} {} {:.2} kg {:.4?}", l.tube, l.twin, l.mass, l.losses);
    }
    let r = a.rig.as_ref().unwrap();
    eprintln!(
        "torsion {:.0} N m/deg, bending {:.0} N/mm, {:?} {:?}",
        r.torsion.to_radians(),
        r.bending / 1e3,
        r.middle,
        r.places
    );
    eprintln!("{:?}\n{:?}", &r.torsion_shares[..6], &r.bending_shares[..6]);
    assert_eq!(a.cases.len(), 6);
    assert!(a.without.is_empty());
    for c in &a.cases {
        assert!(c.residual < 1e-9);
    }
}
