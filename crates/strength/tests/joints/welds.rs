//! Throats.

use strength::joints::{Node, Rules, Steel, check, correlation, fillet_strength, full_strength};

use crate::common::{S355, brace, chord, near, round};

/// Weld figures printed in SOURCES' standards: the simple method's 251.5 and 241.2 MPa for S355 (fu 490, 470); CIDECT's
/// throats 0.92 t, 0.96 t, 1.10 t for S235, S275, S355 (from memory), here with the tensile strengths that EN 1993-1-1 had.
#[test]
fn throats() {
    let steel = |y: f64, u: f64| Steel { yield_strength: y * 1e6, tensile_strength: u * 1e6, ..S355 };
    near(fillet_strength(&steel(355.0, 490.0), 1.25), 251.5e6, 1e-3);
    near(fillet_strength(&steel(355.0, 470.0), 1.25), 241.2e6, 1e-3);
    for (y, u, beta, a) in [(235.0, 360.0, 0.8, 0.92), (275.0, 430.0, 0.85, 0.96), (355.0, 510.0, 0.9, 1.10)] {
        let s = steel(y, u);
        assert_eq!(correlation(s.yield_strength), beta);
        assert!((full_strength(&s, &s, 1.25) - a).abs() < 0.01, "{y}");
    }
    // 10 kN on 33.7 × 3: 10 000/(π · 30.7) = 103.68 N for each mm of the wall's middle line.
    let node = Node { chord: chord(round(0.0483, 0.003)), braces: vec![brace("b", round(0.0337, 0.003), 90.0, 10e3)] };
    let w = check(&node, &Rules::default())[0].weld;
    near(w.wanted, 103.684 / 241.2e3, 1e-3);
    near(w.published.unwrap(), 0.0033, 1e-12);
    near(w.full, 2f64.sqrt() * 0.9 * 1.25 * 355.0 / 470.0 * 0.003, 1e-12);
    // Torque adds at right angles: thin walls, T/(2 π r² t).
    let mut twisted = node.clone();
    twisted.braces[0].torque = 200.0;
    let tau = 200.0 / round(0.0337, 0.003).twist;
    let sigma = 10e3 / round(0.0337, 0.003).area;
    let r = check(&twisted, &Rules::default());
    near(r[0].weld.wanted / w.wanted, (sigma * sigma + tau * tau).sqrt() / sigma, 1e-12);
    // A weld is told where the joint is not.
    let flat = Node { braces: vec![brace("b", round(0.0337, 0.003), 20.0, 10e3)], ..node };
    near(check(&flat, &Rules::default())[0].weld.wanted, w.wanted, 1e-12);
}
