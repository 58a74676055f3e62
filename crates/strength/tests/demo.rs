//! The demos' models.

use std::path::Path;
use std::sync::Arc;

use frame::{Frame, Hold, Loads};
use geometry::DVec3;
use strength::{Stress, build};

fn shape(name: &str) -> shape::Shape {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let text = std::fs::read_to_string(path).expect("an example");
    let design = design::read(&text).expect("valid").design;
    shape::resolve(Arc::new(design)).expect("a shape")
}

#[test]
fn a_demo_is_one_piece_and_weighs_what_its_tubes_weigh() {
    for name in ["gorse.toml", "wren.toml"] {
        let shape = shape(name);
        let b = build(&shape, &[]);
        let pieces = frame::pieces(&b.model);
        assert_eq!(pieces.len(), 1, "{name}");
        let by_beams: f64 = b
            .model
            .beams
            .iter()
            .map(|x| x.length() * b.model.sections[x.section].area * b.model.sections[x.section].density)
            .sum();
        let by_tubes: f64 = shape
            .tubes
            .iter()
            .filter(|t| t.state != ::design::TubeState::Temporary)
            .map(|t| {
                let s = b.profiles[t.section.0].section;
                t.chain.length() * s.area * s.density
            })
            .sum();
        assert!((by_beams / by_tubes - 1.0).abs() < 1e-9, "{name}: {by_beams} {by_tubes}");
        eprintln!("{name}: {} nodes, {} beams", b.model.nodes.len(), b.model.beams.len());
        // Lifted by one corner: it balances to the last digits.
        let f = Frame::new(b.model.clone()).unwrap();
        let held = f.held(&Hold::fixed(0)).unwrap();
        let r = &held.solve(&[Loads { field: DVec3::NEG_Z * 9.81, ..Loads::default() }]).unwrap()[0];
        let foot = r.reactions[0].1;
        assert!((foot[2] / (by_beams * 9.81) - 1.0).abs() < 1e-9, "{foot:?}");
        assert!(r.residual < 1e-9, "{}", r.residual);
        let worst = b
            .beams
            .iter()
            .enumerate()
            .map(|(i, &(t, _))| Stress::of(&f.passed(r, i, 0, 0.0), &b.profiles[shape.tubes[t].section.0]).utilisation)
            .fold(0.0, f64::max);
        assert!(worst > 0.0 && worst.is_finite());
    }
}
