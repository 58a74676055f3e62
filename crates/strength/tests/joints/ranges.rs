//! Every range at its limit and just outside.

use strength::joints::{Brace, Hollow, Kind, Node, Report, Rules, Steel, check};

use crate::common::{S355, apart, boxed, brace, checked, chord, near, rad, refused, round, round_of};

/// Every range at its limit and just outside of it.
#[test]
fn ranges_hold_to_their_limits() {
    let outcome =
        |c: Hollow, b: Brace| check(&Node { chord: chord(c), braces: vec![b] }, &Rules::default()).remove(0).outcome;
    let s235 = Steel { yield_strength: 235e6, tensile_strength: 360e6, ..S355 };
    let edge = |good: (Hollow, Brace), bad: (Hollow, Brace), symbol: &str| {
        assert!(outcome(good.0, good.1).is_ok(), "{symbol}");
        let e = outcome(bad.0, bad.1).expect_err(symbol);
        let range = e.range.unwrap_or_else(|| panic!("{symbol}: {e:?}"));
        assert_eq!(range.symbol, symbol);
        assert!(!e.clause.is_empty() && !e.why.is_empty());
        let inside = range.least.is_none_or(|l| range.value >= l) && range.most.is_none_or(|m| range.value <= m);
        assert!(!inside, "{range:?}");
    };
    let (c, b) = (round(0.0483, 0.003), round(0.0337, 0.003));
    edge((c, brace("b", b, 30.0, 1.0)), (c, brace("b", b, 29.99, 1.0)), "θ");
    edge((c, brace("b", b, 150.0, 1.0)), (c, brace("b", b, 150.01, 1.0)), "θ");
    let t = |od: f64, wall: f64| brace("b", round_of(od, wall, s235), 90.0, 1.0);
    let r = |od: f64, wall: f64| round_of(od, wall, s235);
    edge((r(0.15, 0.003), t(0.03, 0.003)), (r(0.15, 0.003), t(0.0299, 0.0029)), "d1/d0");
    edge((c, t(0.0483, 0.003)), (c, t(0.0484, 0.003)), "d1/d0");
    edge((r(0.15, 0.003), t(0.04, 0.003)), (r(0.1501, 0.003), t(0.04, 0.003)), "d0/t0");
    edge((r(0.05, 0.005), t(0.04, 0.003)), (r(0.0499, 0.005), t(0.04, 0.003)), "d0/t0");
    edge((r(0.15, 0.004), t(0.125, 0.0025)), (r(0.15, 0.004), t(0.1251, 0.0025)), "d1/t1");
    edge((c, t(0.03, 0.003)), (c, t(0.0299, 0.003)), "d1/t1");
    // Class 2 in S355: 70 · 235/355 = 46.34.
    edge((round(0.139, 0.003), t(0.04, 0.003)), (round(0.1391, 0.003), t(0.04, 0.003)), "d0/t0");
    edge((c, t(0.0337, 0.0025)), (c, t(0.0337, 0.00249)), "t");
    let steel = |y: f64, u: f64, e: Option<f64>| {
        let s = Steel { yield_strength: y * 1e6, tensile_strength: u * 1e6, elongation: e, ..S355 };
        brace("b", round_of(0.0337, 0.003, s), 90.0, 1.0)
    };
    edge((c, steel(460.0, 560.0, None)), (c, steel(461.0, 560.0, None)), "f_y");
    edge((c, steel(355.0, 390.5, None)), (c, steel(355.0, 390.4, None)), "f_u/f_y");
    edge((c, steel(355.0, 470.0, Some(0.15))), (c, steel(355.0, 470.0, Some(0.149))), "elongation");
    let aside = |by: f64| Brace { aside: by * 0.0483, ..brace("b", b, 90.0, 1.0) };
    edge((c, aside(0.05)), (c, aside(-0.0501)), "offset of the axes");
    // Box chords.
    let sq = boxed(0.08, 0.08, 0.004);
    let p = |b: f64, h: f64, wall: f64| brace("b", boxed(b, h, wall), 90.0, 1.0);
    edge((sq, p(0.02, 0.03, 0.003)), (sq, p(0.0199, 0.03, 0.003)), "b1/b0");
    edge((sq, p(0.08, 0.06, 0.003)), (sq, p(0.0801, 0.06, 0.003)), "b1/b0");
    edge((sq, p(0.04, 0.08, 0.003)), (sq, p(0.04, 0.0801, 0.003)), "h1/b1");
    edge((sq, brace("b", round(0.032, 0.003), 90.0, 1.0)), (sq, brace("b", round(0.0319, 0.003), 90.0, 1.0)), "d1/b0");
    edge((sq, brace("b", round(0.064, 0.003), 90.0, 1.0)), (sq, brace("b", round(0.0641, 0.003), 90.0, 1.0)), "d1/b0");
    // Pressed, class 2 counts: 3 + 38 √(235/355) = 33.917; pulled 35.
    let wide = boxed(0.12, 0.12, 0.006);
    let thin = |side: f64, n: f64| brace("b", boxed(side, side, 0.0025), 90.0, n);
    edge((wide, thin(0.0847, -1.0)), (wide, thin(0.0849, -1.0)), "b1/t1");
    edge((wide, thin(0.0875, 1.0)), (wide, thin(0.0876, 1.0)), "b1/t1");
    let askew = |by: f64| Brace { skew: rad(by), ..p(0.04, 0.04, 0.003) };
    edge((sq, askew(5.0)), (sq, askew(-5.1)), "skew");
    let turned = |by: f64| Brace { azimuth: rad(by), ..p(0.04, 0.04, 0.003) };
    edge((sq, turned(5.0)), (sq, turned(45.0)), "skew");
    edge((sq, turned(-5.0)), (sq, turned(95.5)), "skew");
    // A box on a round chord; numbers that are none.
    assert_eq!(outcome(c, p(0.03, 0.03, 0.003)).unwrap_err().clause, "EN 1993-1-8, table 7.4");
    assert!(outcome(c, brace("b", b, 90.0, f64::NAN)).is_err());
    assert!(outcome(c, Brace { station: f64::INFINITY, ..brace("b", b, 90.0, 1.0) }).is_err());
    let mut broken = chord(c);
    broken.after[1] = f64::NAN;
    refused(&Node { chord: broken, braces: vec![brace("b", b, 90.0, 1.0)] }, 0);
}

/// Gaps, overlaps, eccentricities of pairs.
#[test]
fn pairs_hold_to_their_limits() {
    let (c, b) = (round(0.0889, 0.004), round(0.0424, 0.003));
    let pair = |angle: f64, gap: f64| {
        let p = apart(brace("l", b, 180.0 - angle, -1e3), brace("r", b, angle, 1e3), gap, 0.0889);
        check(&Node { chord: chord(c), braces: p.to_vec() }, &Rules::default())
    };
    let is = |r: &[Report], symbol: &str| {
        for r in r {
            assert_eq!(r.outcome.as_ref().expect_err(symbol).range.unwrap().symbol, symbol);
        }
    };
    let foot = 0.0424 / rad(45.0).sin();
    checked(&pair(45.0, 0.006)[0]);
    is(&pair(45.0, 0.005999), "g");
    is(&pair(45.0, 1e-6), "g");
    checked(&pair(45.0, -0.2501 * foot)[0]);
    is(&pair(45.0, -0.2499 * foot), "λ_ov");
    checked(&pair(45.0, -0.5999 * foot)[0]);
    is(&pair(45.0, -0.6001 * foot), "λ_ov");
    // e = (g + foot)/2 − d0/2 at 45°: 0.25 d0 is met at g = 1.5 d0 − foot.
    checked(&pair(45.0, 1.499 * 0.0889 - foot)[0]);
    is(&pair(45.0, 1.501 * 0.0889 - foot), "e");
    // On a box chord: 0.5 (1 − β) b0 ≤ g; beyond 1.5 (1 − β) b0 both stand alone. β = 0.6.
    let (c, b) = (boxed(0.1, 0.1, 0.004), boxed(0.06, 0.06, 0.003));
    let pair = |gap: f64| {
        let p = apart(brace("l", b, 135.0, -1e3), brace("r", b, 45.0, 1e3), gap, 0.1);
        check(&Node { chord: chord(c), braces: p.to_vec() }, &Rules::default())
    };
    assert_eq!(checked(&pair(0.0201)[0]).parts[0].kind, Kind::K);
    is(&pair(0.0199), "g/b0");
    assert_eq!(checked(&pair(0.0599)[0]).parts[0].kind, Kind::K);
    for r in pair(0.0601) {
        let parts = &checked(&r).parts;
        assert_eq!((parts.len(), parts[0].kind), (1, Kind::Y));
        near(parts[0].force, 1e3, 1e-12);
    }
    assert_eq!(pair(-0.01)[0].outcome.as_ref().unwrap_err().clause, "EN 1993-1-8, table 7.10");
    let narrow = boxed(0.034, 0.05, 0.003);
    let p = apart(brace("l", narrow, 135.0, -1e3), brace("r", narrow, 45.0, 1e3), 0.03, 0.1);
    is(&check(&Node { chord: chord(c), braces: p.to_vec() }, &Rules::default()), "b1/b0 with K");
}

/// Two braces at one point, along each other or nearly; one along the chord.
#[test]
fn braces_that_nearly_coincide() {
    let (c, b) = (round(0.0889, 0.004), round(0.0424, 0.003));
    for turn in [0.0, 1e-9, 1.0, 29.9] {
        let node = Node { chord: chord(c), braces: vec![brace("a", b, 60.0, 1e3), brace("b", b, 60.0 + turn, -1e3)] };
        let e = refused(&node, 0);
        assert_eq!((e.clause, e.range.unwrap().symbol), ("EN 1993-1-8, 7.1.2 (3)", "angle"));
    }
    for angle in [0.0, 1e-12, 5.0, 180.0] {
        let node = Node { chord: chord(c), braces: vec![brace("flat", b, angle, 1e3), brace("good", b, 90.0, -1e3)] };
        assert_eq!(refused(&node, 0).range.unwrap().symbol, "θ");
        // The other one stands in its range, but not by itself.
        let e = refused(&node, 1);
        assert!(e.why.contains("flat"), "{e:?}");
    }
}
